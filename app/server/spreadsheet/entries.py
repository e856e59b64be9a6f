"""Tables with a row an entry: readings and movements of birds, in order of time, straight from the ledger's bytes.

Times are the kitchen's own with their offset from UTC; a temperature stands under the unit that it was read in.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from decimal import Decimal
from functools import lru_cache
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app import ledger
from app.db import milliseconds, moment
from app.kinds import KINDS, Entry, OvenSetting, RawOut, Receiving
from app.kinds.form import FILL, OPEN, TAKE, Shown, form_of, once_a_kind
from app.rules.day.register_calendar import RegisterCalendar

from .cells import Row

READ = tuple(
    kind
    for kind in KINDS.values()
    if kind is not OvenSetting
    and any(isinstance(one.type, Shown) and one.attribute == "reading" for one in form_of(kind).declared)
)
"""Kinds that may carry a reading; the set point of an oven is none."""
MOVING = (*(kind for kind in KINDS.values() if kind.flows is not Entry.flows), Receiving, RawOut)

WHEN: Row = ("business_day", "local_time", "utc_offset_h")
READINGS: Row = (
    *WHEN,
    *("kind", "load", "spit", "bird", "place", "tray", "batch", "reheat", "lot", "unit_code", "unit_kind", "of"),
    *("temperature_F", "temperature_C", "held_s", "probe", "late", "written_local_time", "written_utc_offset_h"),
    *("person", "corrected", "entry_id"),
)
MOVEMENTS: Row = (
    *WHEN,
    *("kind", "from_kind", "from", "way", "into_kind", "into", "birds", "lot", "supplier", "person", "corrected"),
    "entry_id",
)


@lru_cache(maxsize=64)
def hours(offset: str) -> str:
    """Give an offset from UTC, such as `-05:30`, as a number of hours: `-5.5`."""
    minutes = int(offset[1:3]) * 60 + int(offset[4:6])
    return f"{Decimal(minutes if offset[0] == '+' else -minutes) / 60:f}"


_QUARTER_MS = 15 * 60 * 1000
"""Every offset from UTC is a multiple of a quarter of an hour: inside one the local hour stays the same."""

_When = tuple[str, str, str]


class Clock:
    """The kitchen's clock along the days: the business day and the local time of one moment after the other."""

    def __init__(self, calendar: RegisterCalendar) -> None:
        self._calendar, self._ends_ms, self._day, self._zone = calendar, -1, "", ZoneInfo("UTC")
        self._quarters: dict[int, tuple[str, int, str]] = {}
        self._minutes: dict[int, _When] = {}

    def when(self, at_ms: int) -> _When:
        """Give business day, local time and offset in hours of a moment that is not before the one asked for last."""
        if at_ms >= self._ends_ms:
            day = self._calendar.day_of(moment(at_ms))
            self._ends_ms = round(self._calendar.bounds(day)[1].timestamp() * 1000)
            self._day, self._zone = day.isoformat(), self._calendar.zone_of(day)
            self._quarters.clear()
            self._minutes.clear()
        return self._of_minute(at_ms)

    def local(self, at_ms: int) -> tuple[str, str]:
        """Give local time and offset in hours of any moment, on the clock of the day that was asked for last."""
        return self._of_minute(at_ms)[1:]

    def _of_minute(self, at_ms: int) -> _When:
        minute, rest = divmod(at_ms, 60_000)
        known = self._minutes.get(minute) or self._minute(minute)
        return known if rest < 1000 else (known[0], f"{known[1][:-2]}{rest // 1000:02d}", known[2])

    def _minute(self, minute: int) -> _When:
        """Give the first second of a minute of the clock."""
        quarter, rest = divmod(minute, 15)
        known = self._quarters.get(quarter)
        if known is None:
            text = moment(quarter * _QUARTER_MS).astimezone(self._zone).isoformat(" ", "seconds")
            known = self._quarters[quarter] = (text[:14], int(text[14:16]), hours(text[19:]))
        hour, first, offset = known
        found = self._minutes[minute] = (self._day, f"{hour}{first + rest:02d}:00", offset)
        return found


def readings(
    session: Session, code: str, calendar: RegisterCalendar, starts_at: datetime, ends_at: datetime
) -> Iterator[Row]:
    """Give every reading that counts."""
    clock, units = Clock(calendar), {item.code: item.kind for item in calendar.site.equipment.values()}
    found = ledger.counted_between(session, code, READ, starts_at, ends_at, with_field="temperature")
    for seen_ms, recorded_ms, body, first in found:
        get = body.get
        read = get("temperature")
        if read is None:
            continue
        day, local, offset = clock.when(seen_ms)
        entered, is_mended, spit, bird = first.get("entered_at"), first is not body, get("spit"), get("bird")
        written_ms = recorded_ms
        if entered or is_mended:  # rarely: else the column says when it was written
            written_ms = milliseconds(datetime.fromisoformat(entered or first["recorded_at"]))
        unit_code, is_f = get("unit_code", ""), body["unit"] == "F"
        yield (
            day,
            local,
            offset,
            body["kind"],
            get("load", ""),
            str(spit) if spit else "",
            str(bird) if bird else "",
            get("place", ""),
            get("tray", ""),
            get("batch", ""),
            get("reheat", ""),
            get("lot", ""),
            unit_code,
            units.get(unit_code, ""),
            get("of", ""),
            read if is_f else "",
            "" if is_f else read,
            get("held_s", ""),
            get("probe", ""),
            "yes" if first["late"] else "no",
            *clock.local(written_ms),
            get("person", ""),
            "yes" if is_mended else "no",
            first["id"],
        )


def movements(
    session: Session, code: str, calendar: RegisterCalendar, starts_at: datetime, ends_at: datetime
) -> Iterator[Row]:
    """Give every movement of birds that counts: deliveries, what was loaded, pulled, moved, and went out."""
    clock = Clock(calendar)
    for seen_ms, _recorded_ms, body, first in ledger.counted_between(session, code, MOVING, starts_at, ends_at):
        when, get = clock.when(seen_ms), body.get
        corrected = "yes" if first is not body else "no"
        about = (get("lot", ""), get("supplier", ""), get("person", ""), corrected, first["id"])
        for moved in movements_of(body):
            yield (*when, body["kind"], *moved, *about)


_Moved = tuple[str, str, str, str, str, str]


class _Way(NamedTuple):
    """How entries of a kind name what birds leave, what they go into, and how many are thrown away at once."""

    source: tuple[str, str]
    """Kind of subject and field; two empty texts where birds come from nothing that is named."""
    targets: tuple[tuple[str, str], ...]
    lost: str


@once_a_kind
def _way(cls: type[Entry]) -> _Way:
    named = [("spit" if name.of == "load" else name.of, field, name.role) for field, name in form_of(cls).named()]
    taken = [(kind, field) for kind, field, role in named if role == TAKE]
    filled = tuple((kind, field) for kind, field, role in named if role in (FILL, OPEN))
    fields = form_of(cls).all_fields()
    return _Way(taken[0] if taken else ("", ""), filled, next((name for name in _LOST if name in fields), ""))


_LOST = ("discarded_birds", "discarded")


def movements_of(body: Mapping[str, Any]) -> Iterable[_Moved]:
    """Give from kind and name, way, into kind and name, and birds of each movement that an entry records.

    Said by the fields of the hashed object: to make an entry of each costs more than all the rest of its row.
    """
    cls, birds = KINDS[body["kind"]], str(body["birds"])
    if cls is Receiving:
        return (("", "", body["decision"], "", "", birds),)
    if cls is RawOut:
        return (("lot", body["lot"], body["to"], "", "", birds),)
    (kind, field), targets, lost_in = _way(cls)
    taken = _label(body, kind, field) if kind else ""
    lost = _count(body[lost_in]) if lost_in in body else 0
    for into, named in targets:
        if named in body:
            put = (kind, taken, body.get("to", ""), into, _label(body, into, named), birds)
            return (put, (kind, taken, "discarded", "", "", str(lost))) if lost else (put,)
    out = str(Decimal(birds) + lost) if lost else birds
    return ((kind, taken, body.get("to", "discarded"), "", "", out),)


def _count(lost: str | int | list[int]) -> Decimal:
    return Decimal(len(lost)) if isinstance(lost, list) else Decimal(lost)


def _label(body: Mapping[str, Any], kind: str, field: str) -> str:
    name: str = body[field]
    return f"{name}/{body['spit']}" if kind == "spit" else name
