"""How long `assess` takes, against `json.loads` of the same entries in the same run, in a process as it is served.

Run: python -m tests.bench.bench_assess
"""

import json
import time
from collections.abc import Callable

from app.kinds import Entry
from app.rules import facts
from app.rules.plans import plan
from app.server.garbage import collect_less_often
from tests.support import busy_day, full_day
from tests.support.set_up import assess

BUSY, LONG, MENDINGS = 400, 14_400, 20


def main() -> None:
    """Print the ratios that the README quotes."""
    collect_less_often()
    busy = _compare(busy_day.entries(BUSY), rounds=60)
    full = _compare(full_day.entries(), rounds=60, site=full_day.SITE, adopted=full_day.ADOPTED)
    mended = _compare(busy_day.with_mendings(BUSY, MENDINGS), rounds=60)
    long = _compare(busy_day.entries(LONG), rounds=8)
    for what, taken, at_most in (
        (f"{BUSY} entries", busy, 10),
        (f"{full_day.ENTRIES} entries of every kind", full, 10),
        (f"{BUSY} entries, {MENDINGS} of them mendings", mended, 15),
    ):
        ratio = taken[0] / taken[1]
        print(f"assess, {what}: {taken[0] * 1000:.1f} ms, {ratio:.1f} times json.loads (at most {at_most})")
    growth = (long[0] / LONG) / (busy[0] / BUSY)
    print(f"assess, {LONG} entries: {long[0] * 1000:.0f} ms, {growth:.2f} times as long an entry (at most 1.3)")


def _compare(
    rows: list[Entry], *, rounds: int, site: facts.Site = busy_day.SITE, adopted: plan.Adopted = busy_day.ADOPTED
) -> tuple[float, float]:
    text = busy_day.as_json(rows)

    def judge() -> object:
        return assess(busy_day.DAY, rows, site=site, plans=[adopted], as_of=busy_day.AS_OF)

    judge()
    pairs = [(_seconds(judge), _seconds(lambda: json.loads(text))) for _ in range(rounds)]
    # The best round of each: what the work takes without whatever else the machine was doing.
    return min(pair[0] for pair in pairs), min(pair[1] for pair in pairs)


def _seconds(action: Callable[[], object]) -> float:
    start = time.process_time()
    action()
    return time.process_time() - start


if __name__ == "__main__":
    main()
