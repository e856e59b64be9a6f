"""A year's trends of one site, against `SELECT count(*)` over the same entries in the same run.

Run: python -m tests.bench.bench_trends [ENTRIES] [URL of an empty database, by default SQLite]. Takes minutes: the year
goes in through the ledger's own append.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from datetime import timedelta

from sqlalchemy import text

from app import clock, ledger, schema
from app.db import Database
from app.rules.figures import trends
from tests.support import full_year as year

ROUNDS, A_TIME, WITHIN_S, A_REQUEST_S = 40, 20, 1.0, 2


def main() -> None:
    """Print the ratio that the README quotes."""
    entries = int(sys.argv[1]) if len(sys.argv) > 1 else year.ENTRIES
    with tempfile.TemporaryDirectory() as folder:
        database = Database(sys.argv[2] if len(sys.argv) > 2 else f"sqlite:///{folder}/year.sqlite3")
        schema.upgrade(database.url)
        year.fill(database, entries)
        firsts_s = _first_requests_s(database)
        # In turn, so that whatever else the machine does falls on both; the best round of each.
        rounds = [(_seconds(lambda: _trends(database)), _seconds(lambda: _count(database))) for _ in range(ROUNDS)]
        trends_s, count_s = (min(times) for times in zip(*rounds, strict=True))
        name = database.engine.dialect.name
        database.engine.dispose()
    print(f"trends of a year, {entries} entries, {name}: {trends_s * 1000:.1f} ms, ", end="")
    print(f"{trends_s / count_s:.1f} times SELECT count(*), {count_s * 1000:.2f} ms (under 20)")
    print(f"the first time, when every day is assessed: {sum(firsts_s):.1f} s, {len(firsts_s)} requests; ", end="")
    print(f"the slowest request {max(firsts_s):.2f} s (at most {A_REQUEST_S})")


def _seconds(action: Callable[[], object]) -> float:
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def _count(database: Database) -> None:
    with database.reading() as session:
        session.scalar(text("SELECT count(*) FROM entries WHERE site_id = 1"))


def _trends(database: Database) -> trends.Trends:
    """Read a year as the page does: what was kept, what is new, and the last day as it stands."""
    first = year.LAST - timedelta(days=364)
    with database.reading() as session:
        found = ledger.past_days(session, "S1", first, year.LAST, as_of=year.NOW, at_most=A_TIME)
    assert found.missing == 0
    assert found.update is None
    return trends.add_up(found.days, first=first, last=year.LAST)


def _first_requests_s(database: Database) -> list[float]:
    """Give how long each request takes until every day's figures are kept."""
    times, missing = [], True
    while missing:
        start = time.perf_counter()
        missing = _missing_after_one(database)
        times.append(time.perf_counter() - start)
    return times


def _missing_after_one(database: Database) -> bool:
    """Read once as the page does; what was made anew is kept."""
    first, until = year.LAST - timedelta(days=364), clock.running_s() + WITHIN_S
    with database.reading() as session:
        found = ledger.past_days(
            *(session, "S1", first, year.LAST),
            as_of=year.NOW,
            at_most=A_TIME,
            go_on=lambda: clock.running_s() < until,
        )
    with database.writing() as session:
        if found.update is not None:
            ledger.keep_figures(session, "S1", found.update)
    return found.missing > 0


if __name__ == "__main__":
    main()
