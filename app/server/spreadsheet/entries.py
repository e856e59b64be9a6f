"""Tables with a row an entry: readings and movements of birds, in order of time, straight from the ledger's bytes.

Times are the kitchen's own with their offset from UTC; a temperature stands under the unit that it was read in.
"""

from collections.abc import Iterator, Mapping
from datetime import datetime
from decimal import Decimal
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app import ledger
from app.db import milliseconds, moment
from app.kinds import KINDS, OvenSetting, RawOut, Receiving
from app.kinds.form import Shown, form_of
from app.kinds.reading import entry_of
from app.rules.day.register_calendar import RegisterCalendar

from .cells import Row

READ = tuple(
    kind
    for kind in KINDS.values()
    if kind is not OvenSetting
    and any(isinstance(one.type, Shown) and one.attribute == "reading" for one in form_of(kind).declared)
)
"""Kinds that may carry a reading; the set point of an oven is none."""
MOVING = (*(kind for kind in KINDS.values() if kind.flows is not KINDS["note"].flows), Receiving, RawOut)

WHEN: Row = ("business_day", "local_time", "utc_offset_h")
READINGS: Row = (
    *WHEN,
    *("kind", "load", "spit", "bird", "place", "tray", "batch", "reheat", "lot", "unit_code", "unit_kind", "of"),
    *("temperature_F", "temperature_C", "held_s", "probe", "late", "written_local_time", "person", "corrected"),
    "entry_id",
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


class Clock:
    """The kitchen's clock along the days: the business day and the local time of one moment after the other."""

    def __init__(self, calendar: RegisterCalendar) -> None:
        self._calendar, self._ends_ms, self._day, self._zone = calendar, -1, "", ZoneInfo("UTC")
        self._quarters: dict[int, tuple[str, int, str]] = {}
        self._minutes: dict[int, tuple[str, str]] = {}

    def when(self, at_ms: int) -> tuple[str, str, str]:
        """Give business day, local time and offset in hours of a moment that is not before the one asked for last."""
        if at_ms >= self._ends_ms:
            day = self._calendar.day_of(moment(at_ms))
            self._ends_ms = round(self._calendar.bounds(day)[1].timestamp() * 1000)
            self._day, self._zone = day.isoformat(), self._calendar.zone_of(day)
            self._quarters.clear()
            self._minutes.clear()
        return (self._day, *self._local(at_ms))

    def local(self, at_ms: int) -> str:
        """Give a moment on the clock of the day that was asked for last."""
        return self._local(at_ms)[0]

    def _local(self, at_ms: int) -> tuple[str, str]:
        minute, rest = divmod(at_ms, 60_000)
        known = self._minutes.get(minute)
        if known is None:
            known = self._minutes[minute] = self._minute(minute)
        return f"{known[0]}{rest // 1000:02d}", known[1]

    def _minute(self, minute: int) -> tuple[str, str]:
        """Give a minute of the clock without its seconds, and the offset."""
        quarter, rest = divmod(minute, 15)
        known = self._quarters.get(quarter)
        if known is None:
            text = moment(quarter * _QUARTER_MS).astimezone(self._zone).isoformat(" ", "seconds")
            known = self._quarters[quarter] = (text[:14], int(text[14:16]), hours(text[19:]))
        hour, first, offset = known
        return f"{hour}{first + rest:02d}:", offset


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
        when, entered = clock.when(seen_ms), first.get("entered_at")
        is_mended = first is not body
        if entered or is_mended:  # rarely: else the column says when it was written
            written_ms = milliseconds(datetime.fromisoformat(entered or first["recorded_at"]))
        else:
            written_ms = recorded_ms
        unit_code, is_f = get("unit_code"), body["unit"] == "F"
        yield (
            *(*when, body["kind"], get("load"), get("spit"), get("bird"), get("place")),
            *(get("tray"), get("batch"), get("reheat"), get("lot")),
            *(unit_code, units.get(unit_code) if unit_code else None, get("of")),
            *(read if is_f else None, None if is_f else read, get("held_s"), get("probe")),
            *("yes" if first["late"] else "no", clock.local(written_ms), get("person")),
            *("yes" if is_mended else "no", first["id"]),
        )


def movements(
    session: Session, code: str, calendar: RegisterCalendar, starts_at: datetime, ends_at: datetime
) -> Iterator[Row]:
    """Give every movement of birds that counts: deliveries, what was loaded, pulled, moved, and went out."""
    clock = Clock(calendar)
    for seen_ms, _recorded_ms, body, first in ledger.counted_between(session, code, MOVING, starts_at, ends_at):
        when = clock.when(seen_ms)
        about = (body.get("lot"), body.get("supplier"), body.get("person"), "yes" if first is not body else "no")
        for moved in _moved(body, str(first["id"])):
            yield (*when, body["kind"], *moved, *about, first["id"])


def _moved(body: Mapping[str, Any], root: str) -> Iterator[Row]:
    """Give from kind and name, way, into kind and name, and birds of each movement that an entry records."""
    if body["kind"] in (Receiving.KIND, RawOut.KIND):
        is_out = body["kind"] == RawOut.KIND
        yield (
            *(("lot", body["lot"]) if is_out else (None, None)),
            body.get("to") or body.get("decision"),
            None,
            None,
            body["birds"],
        )
        return
    flows = entry_of(body, root_seq=body["seq"], root=root).flows()
    sources = [flow for flow in flows if flow.birds < 0]
    targets = [flow for flow in flows if flow.birds > 0]
    source = sources[0].subject if sources else None
    out = -sum(flow.birds for flow in sources)
    for flow in targets:
        yield (
            source and source.kind,
            source and source.label,
            body.get("to"),
            flow.subject.kind,
            flow.subject.label,
            flow.birds,
        )
        out -= flow.birds
    if source and out > 0:
        way = body.get("to") if not targets else "discarded"
        yield (source.kind, source.label, way or "discarded", None, None, out)
