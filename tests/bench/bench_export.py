"""A year as CSV: readings and movements against reading the same rows, tables of days by the day; and the memory.

Run: python -m tests.bench.bench_export [ENTRIES]. Takes minutes: the year goes in through the ledger's own append.
"""

import sys
import tempfile
import time
import tracemalloc
from collections.abc import Iterable, Iterator
from datetime import timedelta
from statistics import median

from app import ledger, schema
from app.db import Database, milliseconds
from app.ledger.reading.period_reading import page_of
from app.server.spreadsheet import TABLES, Span, csv_lines, rows_of
from app.server.spreadsheet.entries import MOVING, READ
from tests.support import full_year as year

ROUNDS = 5
NEVER_OVER = 5
"""Times as long as reading the same rows."""
_FEW, _SOME = 10, 90
"""Days of which tables are made day by day."""
_OTHERS_KEPT = 1_000_000
"""Bytes: as many entries are kept after more days, but others, which may be longer."""
_FIRST = year.LAST - timedelta(days=year.DAYS)


def main() -> None:
    """Print the ratios, each the median of its rounds, the time a day, and all peaks."""
    entries = int(sys.argv[1]) if len(sys.argv) > 1 else year.ENTRIES
    with tempfile.TemporaryDirectory() as folder:
        database = Database(f"sqlite:///{folder}/year.sqlite3")
        schema.upgrade(database.url)
        year.fill(database, entries)
        for name, kinds in (("readings", READ), ("traces", MOVING)):
            _compare(database, name, [kind.KIND for kind in kinds])
        for name in (name for name, table in TABLES.items() if table.is_slow):
            _by_day(database, name)
        _year_of_days(database)
        database.engine.dispose()


def _compare(database: Database, name: str, kinds: list[str]) -> None:
    rounds = [(_seconds(_lines(database, name)), _seconds(_rows(database, kinds))) for _ in range(ROUNDS)]
    ratio = median(written_s / read_s for written_s, read_s in rounds)
    rows = sum(1 for _row in _rows(database, kinds))
    short, whole = (_peak(_lines(database, name, days)) for days in (30, year.DAYS))
    met = "met" if ratio <= NEVER_OVER and whole <= 2 * short else "NOT_MET"
    print(f"{name} of a year, {rows} rows: {rounds[0][0]:.2f} s, {ratio:.1f} times reading them ({met})")
    print(f"  memory at most {whole / 1e6:.1f} MB for a year, {short / 1e6:.1f} MB for thirty days")


def _by_day(database: Database, name: str) -> None:
    """Time and memory of a table for which each day is assessed."""
    taken = _seconds(_lines(database, name, _SOME))
    few, some = (_peak(_lines(database, name, days), after=_lines(database, name, _SOME)) for days in (_FEW, _SOME))
    met = "met" if some <= few + _OTHERS_KEPT else "NOT_MET"
    print(f"{name}: {taken / (_SOME + 1) * 1000:.0f} ms a day of the processor's time, {_SOME + 1} days")
    print(f"  memory at most {some / 1e6:.1f} MB, {few / 1e6:.1f} MB for {_FEW + 1} days ({met})")


def _year_of_days(database: Database) -> None:
    """Time and memory of the longest file that is made day by day, whole, as somebody asks for it once a year."""
    taken = _seconds(_lines(database, "days"))
    most = _peak(_lines(database, "days"), after=_lines(database, "days", _SOME))
    print(f"days of a year: {taken:.1f} s of the processor, memory at most {most / 1e6:.1f} MB")


def _lines(database: Database, name: str, days: int = year.DAYS) -> Iterator[object]:
    span = Span(code="S1", first=year.LAST - timedelta(days=days), last=year.LAST, as_of=year.NOW)
    with database.reading() as session:
        yield from csv_lines(*rows_of(session, name, span))


def _rows(database: Database, kinds: list[str]) -> Iterator[object]:
    """Read the rows that the table is made of, and nothing more."""
    with database.reading() as session:
        calendar = ledger.calendar_of(session, "S1")
        at, ends_at = milliseconds(calendar.start_of(_FIRST)), milliseconds(year.NOW)
        site_id, after_seq = 1, 0
        while page := page_of(session, kinds, site_id=site_id, at=at, ends_at=ends_at, after_seq=after_seq):
            yield from page
            after_seq, _root, at, _recorded, _body = page[-1]


def _seconds(lines: Iterator[object]) -> float:
    """Give the processor's time: the database works in this process, and others share the machine."""
    start = time.process_time()
    for _line in lines:
        pass
    return time.process_time() - start


def _peak(lines: Iterator[object], *, after: Iterable[object] = ()) -> int:
    """Give the most memory that lines take in bytes, `after` others: a process keeps so many entries and no more."""
    tracemalloc.start()
    for _line in after:
        pass
    before = tracemalloc.get_traced_memory()[0]
    tracemalloc.reset_peak()
    for _line in lines:
        pass
    peak = tracemalloc.get_traced_memory()[1] - before
    tracemalloc.stop()
    return peak


if __name__ == "__main__":
    main()
