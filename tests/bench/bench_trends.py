"""A year's trends of one site, against `SELECT count(*)` over the same entries in the same run.

Run: python -m tests.bench.bench_trends [ENTRIES] [URL of an empty database, by default SQLite]. Takes minutes: the year
goes in through the ledger's own append.
"""

import random
import sys
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from sqlalchemy import text

from app import ledger, register, schema
from app.db import Database
from app.rules.figures import trends
from tests.support import busy_day

ENTRIES, BATCH, ROUNDS = 150_000, 1_000, 40
DAYS = 380
"""Each has about 400 entries."""
LAST = date(2026, 4, 14)
NOW = datetime(2026, 4, 15, 13, 0, tzinfo=UTC)
"""The morning after: the last day is over and not settled, so it is assessed anew each time."""
BEGAN = datetime(2025, 1, 1, tzinfo=UTC)
A_TIME = 20
COOK = ledger.Caller("cook", "Casey Cook", "cook", "tablet:A")

Row = tuple[datetime, dict[str, Any]]


def main() -> None:
    """Print the ratio that the README quotes."""
    entries = int(sys.argv[1]) if len(sys.argv) > 1 else ENTRIES
    with tempfile.TemporaryDirectory() as folder:
        database = Database(sys.argv[2] if len(sys.argv) > 2 else f"sqlite:///{folder}/year.sqlite3")
        schema.upgrade(database.url)
        fill(database, entries)
        first_s = _seconds(lambda: _add_up_all(database))
        # In turn, so that whatever else the machine does falls on both; the best round of each.
        rounds = [(_seconds(lambda: _trends(database)), _seconds(lambda: _count(database))) for _ in range(ROUNDS)]
        trends_s, count_s = (min(times) for times in zip(*rounds, strict=True))
        name = database.engine.dialect.name
        database.engine.dispose()
    print(f"trends of a year, {entries} entries, {name}: {trends_s * 1000:.1f} ms, ", end="")
    print(f"{trends_s / count_s:.1f} times SELECT count(*), {count_s * 1000:.2f} ms (under 20)")
    print(f"the first time, when every day is assessed: {first_s:.1f} s, {A_TIME} days a request")


def fill(database: Database, entries: int) -> None:
    """Set the kitchen up and append a year of so many entries."""
    _set_up(database)
    _append(database, list(_year())[-entries:])


def _seconds(action: Callable[[], object]) -> float:
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def _count(database: Database) -> None:
    with database.reading() as session:
        session.scalar(text("SELECT count(*) FROM entries WHERE site_id = 1"))


def _trends(database: Database) -> trends.Trends:
    """Read a year as the page does: what was kept, what is new, and the last day as it stands."""
    first = LAST - timedelta(days=364)
    with database.reading() as session:
        found = ledger.past_days(session, "S1", first, LAST, as_of=NOW, at_most=A_TIME)
    assert found.missing == 0
    assert found.update is None
    return trends.add_up(found.days, first=first, last=LAST)


def _add_up_all(database: Database) -> None:
    missing = True
    while missing:
        with database.reading() as session:
            found = ledger.past_days(session, "S1", LAST - timedelta(days=364), LAST, as_of=NOW, at_most=A_TIME)
        with database.writing() as session:
            if found.update is not None:
                ledger.keep_figures(session, "S1", found.update)
        missing = found.missing > 0


def _set_up(database: Database) -> None:
    hashed = register.hash_password("a bench of oak and a clock", login="pat")
    with database.writing() as session:
        site = register.add_site(session, "S1", name="Bench kitchen", timezone="America/Chicago", at=BEGAN)
        lead = register.add_person(session, site, "pat", name="Pat Porter", role="in_charge", password=hashed, at=BEGAN)
        register.add_person(session, site, "cook", name="Casey Cook", role="cook", password=hashed, at=BEGAN)
        for kind, code in (("oven", "east"), ("hot_unit", "pass"), ("cold_unit", "walk-in"), ("probe", "blue")):
            register.add_equipment(session, site, kind, code, at=BEGAN)
        register.adopt_plan(session, site, None, {}, by=lead, at=BEGAN)


def _append(database: Database, drafts: Sequence[Row]) -> None:
    for start in range(0, len(drafts), BATCH):
        batch = drafts[start : start + BATCH]
        with database.writing() as session:
            results = ledger.append(session, "S1", [draft for _, draft in batch], by=COOK, at=batch[-1][0])
        refused = [result for result in results if result.status != "accepted"]
        assert all(error.code == "order" for result in refused for error in result.errors), refused[0]


def _year() -> Iterator[Row]:
    """Give the days of a busy kitchen: a dozen loads each, some birds thrown away, some checks missed."""
    rng = random.Random(1)
    for number in range(DAYS):
        start = datetime(2026, 4, 14, 11, tzinfo=UTC) - timedelta(days=DAYS - 1 - number)
        yield from sorted(_day(start, f"D{number}", rng), key=lambda row: row[0])


def _day(start: datetime, name: str, rng: random.Random) -> Iterator[Row]:
    ice = {"probe": "blue", "method": "ice_point", "adjusted": False, "temperature": "32.2", "unit": "F"}
    yield _row(start, 0, "probe_check", ice)
    cold = {"temperature": "38", "unit": "F", "probe": "blue"}
    yield _row(start, 1, "receiving", {**busy_day.DELIVERY, "lot": name, **cold})
    for minute in (5, 400, 700):
        yield _row(start, minute, "unit_check", {"unit_code": "walk-in", "of": "air", "temperature": "38", "unit": "F"})
    for load in range(12):
        for kind, minute, fields in busy_day.load_rows(f"{name}-{load}", 10 + load * 45):
            if kind != "hold_reading" or rng.random() > 0.08:
                yield _row(start, minute, kind, _varied(kind, fields, name, rng))


def _varied(kind: str, fields: dict[str, Any], lot: str, rng: random.Random) -> dict[str, Any]:
    if kind == "spit_loaded":
        return {**fields, "lot": lot, "mean_weight": rng.choice(["3.1", "3.4", "3.8"]), "weight_unit": "lb"}
    if kind == "tray_out" and rng.random() < 0.1:
        return {**fields, "to": "discarded", "reason": "end_of_day"}
    return fields


def _row(start: datetime, minute: float, kind: str, fields: dict[str, Any]) -> Row:
    at = start + timedelta(minutes=minute)
    plain = {name: str(value) if isinstance(value, Decimal) else value for name, value in fields.items()}
    return at, {"id": str(uuid.uuid4()), "kind": kind, "observed_at": at.isoformat(), **plain}


if __name__ == "__main__":
    main()
