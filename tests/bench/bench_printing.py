"""A cook's POST while 20 logs are asked for, against the quiet server: at most 1.5 × at the median, 3 × at the 99th.

Run: python -m tests.bench.bench_printing
"""

import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Event

from demo_data import kitchen
from tests.support.served import Client, Served, is_kept, percentile, serving_demo

LOGS, WRITES, PAUSE_S = 20, 600, 0.02
COOK, IN_CHARGE = "wren", "ines"


def main() -> None:
    """Print both times, and how they compare."""
    with tempfile.TemporaryDirectory() as folder, serving_demo(Path(folder)) as served:
        _write(served.person(COOK), WRITES // 4)  # everything is loaded
        quiet = _write(served.person(COOK), WRITES)
        busy, drawn_s = _while_drawing(served)
    print(f"{LOGS} logs drawn in {drawn_s:.0f} s, {len(busy)} writes meanwhile")
    for name, percent, most in (("median", 50, 1.5), ("99th percentile", 99, 3.0)):
        alone, beside = percentile(quiet, percent) * 1000, percentile(busy, percent) * 1000
        print(f"POST, {name}: quiet {alone:.1f} ms, meanwhile {beside:.1f} ms, {beside / alone:.2f} × (at most {most})")


def _while_drawing(served: Served) -> tuple[list[float], float]:
    done, took = Event(), list[float]()
    today = datetime.now(UTC).date()
    with ThreadPoolExecutor(LOGS + 1) as pool:
        writing = pool.submit(_write_until, served.person(COOK), done, took)
        start = time.perf_counter()
        asked = [pool.submit(_draw, served, (today - timedelta(days=1 + n)).isoformat()) for n in range(LOGS)]
        for one in asked:
            one.result()
        drawn_s = time.perf_counter() - start
        done.set()
        writing.result()
    return took, drawn_s


def _draw(served: Served, day: str) -> None:
    """Ask for a log until it is there, waiting as long as the server says."""
    client = served.person(IN_CHARGE)
    while True:
        answer = client.get(f"/api/v1/sites/{kitchen.SITE}/days/{day}/log.pdf")
        if answer.status == 200:
            return
        if answer.status != 503:
            raise RuntimeError(answer.body[:500])
        time.sleep(answer.retry_after_s)


def _write_until(client: Client, done: Event, took: list[float]) -> None:
    while not done.is_set():
        took += _write(client, 10)


def _write(client: Client, times: int) -> list[float]:
    took = []
    for _ in range(times):
        answer = client.write()
        if not is_kept(answer):
            raise RuntimeError(answer.body[:500])
        took.append(answer.took_s)
        time.sleep(PAUSE_S)
    return took


if __name__ == "__main__":
    main()
