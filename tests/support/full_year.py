"""A year of a busy kitchen, for the benches: a dozen loads a day, some birds thrown away, some checks missed."""

import random
import uuid
from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from app import ledger, register
from app.db import Database
from tests.support import busy_day

ENTRIES = 150_000
DAYS = 380
"""Each has about 400 entries."""
LAST = date(2026, 4, 14)
NOW = datetime(2026, 4, 15, 13, 0, tzinfo=UTC)
"""The morning after: the last day is over and not settled, so it is assessed anew each time."""
_BATCH = 1_000
_BEGAN = datetime(2025, 1, 1, tzinfo=UTC)
_COOK = ledger.Caller("cook", "Casey Cook", "cook", "tablet:A")

_Row = tuple[datetime, dict[str, Any]]


def fill(database: Database, entries: int) -> None:
    """Set the kitchen up and append a year of so many entries."""
    _set_up(database)
    _append(database, list(_year())[-entries:])


def _set_up(database: Database) -> None:
    hashed = register.hash_password("a bench of oak and a clock", login="pat")
    with database.writing() as session:
        site = register.add_site(session, "S1", name="Bench kitchen", timezone="America/Chicago", at=_BEGAN)
        lead = register.add_person(
            session, site, "pat", name="Pat Porter", role="in_charge", password=hashed, at=_BEGAN
        )
        register.add_person(session, site, "cook", name="Casey Cook", role="cook", password=hashed, at=_BEGAN)
        for kind, code in (("oven", "east"), ("hot_unit", "pass"), ("cold_unit", "walk-in"), ("probe", "blue")):
            register.add_equipment(session, site, kind, code, at=_BEGAN)
        register.adopt_plan(session, site, None, {}, by=lead, at=_BEGAN)


def _append(database: Database, drafts: Sequence[_Row]) -> None:
    for start in range(0, len(drafts), _BATCH):
        batch = drafts[start : start + _BATCH]
        with database.writing() as session:
            results = ledger.append(session, "S1", [draft for _, draft in batch], by=_COOK, at=batch[-1][0])
        refused = [result for result in results if result.status != "accepted"]
        assert all(error.code == "order" for result in refused for error in result.errors), refused[0]


def _year() -> Iterator[_Row]:
    """Give the days of a busy kitchen: a dozen loads each, some birds thrown away, some checks missed."""
    rng = random.Random(1)
    for number in range(DAYS):
        start = datetime(2026, 4, 14, 11, tzinfo=UTC) - timedelta(days=DAYS - 1 - number)
        yield from sorted(_day(start, f"D{number}", rng), key=lambda row: row[0])


def _day(start: datetime, name: str, rng: random.Random) -> Iterator[_Row]:
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


def _row(start: datetime, minute: float, kind: str, fields: dict[str, Any]) -> _Row:
    at = start + timedelta(minutes=minute)
    plain = {name: str(value) if isinstance(value, Decimal) else value for name, value in fields.items()}
    return at, {"id": str(uuid.uuid4()), "kind": kind, "observed_at": at.isoformat(), **plain}
