"""A busy day of invented entries for the benches: loads of four spits, their readings, trays with their checks."""

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from app.kinds import Entry, Temperature
from app.kinds.reading import entry_of, fields_of
from app.rules import facts
from app.rules.plans import plan

DAY = date(2026, 4, 14)
START = datetime(2026, 4, 14, 11, 0, tzinfo=UTC)
AS_OF = datetime(2026, 4, 15, 8, 59, tzinfo=UTC)
ADOPTED = plan.Adopted(1, "us_food_code_2022", (), "pat", datetime(2026, 1, 1, tzinfo=UTC))
SITE = facts.Site(
    "S1",
    "Bench kitchen",
    ZoneInfo("America/Chicago"),
    equipment={"blue": facts.Equipment("blue", "probe", "dual"), "pass": facts.Equipment("pass", "hot_unit")},
)


def entries(number: int) -> list[Entry]:
    """Give that many typed entries of one day, seen in the order they were written."""
    rows = _rows()
    told = [_entry(seq, *next(rows)) for seq in range(1, number)]
    return [*told, _mended(told, number)]


def _mended(told: list[Entry], seq: int) -> Entry:
    """A reading typed wrong and mended: the last one of the cooking."""
    wrong = next(row for row in reversed(told) if row.kind == "cook_reading")
    own_id = f"00000000-0000-4000-8000-{seq:012x}"
    reading = Temperature(Decimal("171.4"), "F")
    return replace(wrong, seq=seq, id=own_id, amends=wrong.id, amend_reason="digits swapped", reading=reading)


def with_mendings(number: int, mendings: int) -> list[Entry]:
    """Give a day of that many entries of which so many mend a reading or a pull: another value, or a tie counted."""
    rows = _rows()
    told = [_entry(seq, *next(rows)) for seq in range(1, number - mendings + 1)]
    mendable = [row for row in told if row.kind in ("cook_reading", "hold_reading", "spit_pulled")]
    spread = [mendable[place * len(mendable) // mendings] for place in range(mendings)]
    return [*told, *(_corrected(row, len(told) + place) for place, row in enumerate(spread, start=1))]


def _corrected(wrong: Entry, seq: int) -> Entry:
    """An entry that was typed wrong and is mended."""
    own_id = f"00000000-0000-4000-8000-{seq:012x}"
    better = {"ties_removed": 4} if wrong.kind == "spit_pulled" else {"reading": Temperature(Decimal("171.4"), "F")}
    return replace(wrong, seq=seq, id=own_id, amends=wrong.id, amend_reason="digits swapped", **better)


_TEXT = (Decimal, date)
"""What stands in the JSON as a string."""


def as_json(rows: list[Entry]) -> bytes:
    """Give the same entries as the JSON that a client would have sent."""
    return json.dumps([_plain(row) for row in rows]).encode()


def _plain(row: Entry) -> dict[str, Any]:
    fields = {name: str(value) if isinstance(value, _TEXT) else value for name, value in fields_of(row).items()}
    if row.amends:
        fields["amends"] = row.amends
    own = {"seq": row.seq, "id": row.id, "kind": row.kind, "person": row.person, "via": row.via, "late": row.late}
    times = {"observed_at": row.observed_at.isoformat(), "recorded_at": row.recorded_at.isoformat()}
    chain = {"v": 1, "site": "S1", "previous_hash": f"{row.seq:064x}"}
    return own | times | chain | fields


def _entry(seq: int, kind: str, minute: float, fields: dict[str, Any]) -> Entry:
    at = START + timedelta(minutes=minute)
    own_id = f"00000000-0000-4000-8000-{seq:012x}"
    return typed_entry(kind, fields, seq=seq, id=own_id, observed_at=at, recorded_at=at, root_seq=seq, root=own_id)


def typed_entry(kind: str, fields: dict[str, Any], **of_every_entry: Any) -> Any:
    """Give an entry from the values of its fields in the exchange format."""
    plain = {name: str(value) if isinstance(value, _TEXT) else value for name, value in fields.items()}
    moments = {"observed_at": "2026-01-01T00:00:00Z", "recorded_at": "2026-01-01T00:00:00Z"}
    body = {"kind": kind, "seq": 0, "id": "", "person": "cook", "via": "tablet:A", "late": False, **moments, **plain}
    return replace(entry_of(body, root_seq=0, root=""), **of_every_entry)


def _temperature(value: str, probe: str = "blue") -> dict[str, Any]:
    return {"temperature": Decimal(value), "unit": "F", "probe": probe}


def _rows() -> Iterator[tuple[str, float, dict[str, Any]]]:
    yield "probe_check", 0, {"probe": "blue", "method": "ice_point", "adjusted": False, **_ice("32.4")}
    yield "receiving", 1, {**DELIVERY, **_temperature("38")}
    load = 0
    while True:
        load += 1
        yield from load_rows(f"A-L{load}", (load * 7) % 600)


DELIVERY = {"product": "whole chicken", "lot": "0412-7", "supplier": "Prairie Poultry", "birds": 400} | {
    "state": "chilled",
    "decision": "accepted",
}


def _ice(value: str) -> dict[str, Any]:
    return {"temperature": Decimal(value), "unit": "F"}


def load_rows(load: str, start: float) -> Iterator[tuple[str, float, dict[str, Any]]]:
    """Give (kind, minute, fields) of one load of four spits, from the start to the last bird served."""
    checks = dict.fromkeys(("water", "grease", "birds", "spits"), True)
    yield "load_started", start, {"load": load, "oven": "east", "checks": checks}
    for spit in range(1, 5):
        own = {"load": load, "spit": spit}
        yield "spit_loaded", start + spit, {**own, "birds": 5, "lot": "0412-7", "ties": 5, "skewers": 2}
    for spit in range(1, 5):
        own, ready, tray = {"load": load, "spit": spit}, start + 80 + spit, f"{load}-T{spit}"
        for bird in (1, 4):
            yield "cook_reading", ready, {**own, "bird": bird, "place": "breast", **_temperature("171.2")}
        pulled = {"tray": tray, "hot_unit": "pass", "birds": 5, "ties_removed": 5, "skewers_removed": 2}
        yield "spit_pulled", ready + 3, {**own, **pulled}
        value = "131.5" if spit == 4 and load.endswith("3") else "148.6"
        yield "hold_reading", ready + 60, {"tray": tray, **_temperature(value)}
        yield "tray_out", ready + 70, {"tray": tray, "birds": Decimal(2), "to": "served"}
        yield "hold_reading", ready + 120, {"tray": tray, **_temperature("141")}
        yield "tray_out", ready + 130, {"tray": tray, "birds": Decimal(3), "to": "served"}
