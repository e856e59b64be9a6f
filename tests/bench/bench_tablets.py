"""50 tablets read the first page and write once a second each, for a minute: no error, and a write takes less than five
times as long as on the quiet server at the 99th percentile.

Run: python -m tests.bench.bench_tablets [SECONDS]
"""

import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import NamedTuple

from tests.support.served import Served, is_kept, percentile, serving_demo

TABLETS, SECONDS, QUIET_WRITES = 50, 60, 300


class Took(NamedTuple):
    """How long the reads and writes of one tablet took in seconds, and how many failed."""

    reads: list[float]
    writes: list[float]
    errors: int


def main() -> None:
    """Print how long reads and writes took, and how many failed."""
    seconds = int(sys.argv[1]) if len(sys.argv) > 1 else SECONDS
    with tempfile.TemporaryDirectory() as folder, serving_demo(Path(folder), tablets=TABLETS) as served:
        for number in range(4):
            served.tablet(number).get("/")  # everything is loaded
        quiet = [_quiet_write(served, number % TABLETS) for number in range(QUIET_WRITES)]
        with ThreadPoolExecutor(TABLETS) as pool:
            tablets = list(pool.map(lambda number: _use(served, number, seconds), range(TABLETS)))
    reads = [took for tablet in tablets for took in tablet.reads]
    writes = [took for tablet in tablets for took in tablet.writes]
    errors = sum(tablet.errors for tablet in tablets)
    alone, beside = percentile(quiet, 99) * 1000, percentile(writes, 99) * 1000
    print(f"{TABLETS} tablets for {seconds} s: {len(reads)} pages, {len(writes)} writes, {errors} errors (none)")
    median, slowest = percentile(reads, 50) * 1000, percentile(reads, 99) * 1000
    print(f"first page: median {median:.0f} ms, 99th percentile {slowest:.0f} ms")
    print(f"write, 99th percentile: quiet {alone:.1f} ms, then {beside:.1f} ms, {beside / alone:.2f} × (under 5)")


def _quiet_write(served: Served, number: int) -> float:
    answer = served.tablet(number).write()
    if not is_kept(answer):
        raise RuntimeError(answer.body[:500])
    time.sleep(0.01)
    return answer.took_s


def _use(served: Served, number: int, seconds: int) -> Took:
    """Read and write each second, each tablet at its own part of it; who is late goes on at once."""
    client, took = served.tablet(number), Took([], [], 0)
    errors, start = 0, time.monotonic() + number / TABLETS
    for second in range(seconds):
        time.sleep(max(0.0, start + second - time.monotonic()))
        page, write = client.get("/"), client.write()
        errors += (page.status != 200) + (not is_kept(write))
        took.reads.append(page.took_s)
        took.writes.append(write.took_s)
    return took._replace(errors=errors)


if __name__ == "__main__":
    main()
