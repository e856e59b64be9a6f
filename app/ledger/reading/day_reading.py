"""Reading a day: the entries that its assessment needs, found through the index and never by searching history."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import cast

from sqlalchemy import Table, bindparam, select
from sqlalchemy.orm import Session

from app import models
from app.db import EPOCH, Prepared, Source, connection_of, milliseconds
from app.kinds import Entry, ProbeCheck, UnitCheck, of_kind, probe_of, value_of
from app.kinds.naming import names_of
from app.rules.day.assess import assess
from app.rules.day.register_calendar import register_calendar
from app.rules.day.shown import Assessment
from app.rules.meaning.storage import is_within
from app.rules.plans.plan import any_on_table
from app.rules.subjects import probes
from app.rules.subjects.runs import LOOK_AGAIN

from .. import register
from ..index import rows
from ..register import SiteRow
from ..register_entries import read_register
from .gathering import Gathering, all_hold

_SPAN = cast(Table, models.SubjectSpan.__table__).c
_HELD = select(_SPAN.subject).where(_SPAN.site_id == bindparam("site_id"))
_HELD_NOW = Prepared(_HELD.where(_SPAN.shown_until.is_(None), _SPAN.opened_at <= bindparam("until")))
_HELD_SINCE = Prepared(_HELD.where(_SPAN.shown_until >= bindparam("since"), _SPAN.opened_at < bindparam("ends_at")))
_HELD_THEN = Prepared(_HELD.where(_SPAN.shown_until > bindparam("as_of"), _SPAN.opened_at <= bindparam("as_of")))
_MOVED_AFTER = Prepared(
    _HELD.where(_SPAN.opened_seq <= bindparam("through_seq"), _SPAN.last_seq > bindparam("through_seq"))
)
"""Emptied or mended since then: how long it held birds in the ledger as it was, its entries tell."""


def day_entries(
    session: Session, code: str, day: date, *, as_of: datetime, through_seq: int | None = None
) -> list[Entry]:
    """Give the register, and every version of every entry that the assessment of a business day needs, by seq."""
    return _Reading(session, register.get_site_row(session, code), day, as_of, through_seq).everything()


def assess_day(
    session: Session, code: str, day: date, *, as_of: datetime, through_seq: int | None = None
) -> Assessment:
    """Assess a business day from the ledger. `through_seq` over the head is the head."""
    return assess_site_day(session, register.get_site_row(session, code), day, as_of=as_of, through_seq=through_seq)


def assess_site_day(
    source: Source, row: SiteRow, day: date, *, as_of: datetime, through_seq: int | None = None
) -> Assessment:
    """Assess a business day of the site of a row."""
    reading = _Reading(source, row, day, as_of, through_seq)
    return assess(day, reading.everything(), as_of=as_of, through_seq=reading.through_seq)


_AN_INSTANT = timedelta(milliseconds=1)
"""The shortest time that the ledger tells apart: what is seen at a pull's own instant counts for it."""


class _Reading:
    """One day's entries being gathered."""

    def __init__(self, source: Source, row: SiteRow, day: date, as_of: datetime, through_seq: int | None) -> None:
        connection = connection_of(source)
        self.row, self.day, self.as_of = row, day, as_of
        self.head, _hash = rows.head(connection, row)
        self.through_seq = self.head if through_seq is None else min(through_seq, self.head)
        self.register = read_register(connection, row)
        self.calendar = register_calendar(self.register, through_seq=self.through_seq)
        self.starts_at, self.ends_at = self.calendar.bounds(day)
        self.found = Gathering(connection, row.id, through_seq=self.through_seq)

    def everything(self) -> list[Entry]:
        """Give the site's register and what belongs to the day."""
        return [*self.register, *self.entries()]

    def entries(self) -> list[Entry]:
        """Gather everything of the kitchen, by seq."""
        # A warm unit counts half an hour after its check: one checked shortly before the day is found wanting in it.
        of_day = self.found.seen_between(self.starts_at - LOOK_AGAIN, self.ends_at)
        named = {f"{kind}:{name}" for entry in of_day for kind, name in names_of(entry)}
        self.found.close_over(named | self._open_subjects())
        self.found.close_over_what_came_of_trays(self.ends_at)
        self._gather_probes(of_day)
        self.found.follow()
        self._gather_doubts()
        self._gather_units(of_day)
        self._gather_around()
        self._gather_answers(of_day)
        return [self.found.entries[seq] for seq in sorted(self.found.entries)]

    def _open_subjects(self) -> set[str]:
        """Give what may have held birds at the day's start, or holds them at `as_of`."""
        starts_at, ends_at, as_of = map(milliseconds, (self.starts_at, self.ends_at, self.as_of))
        held = self._subjects(_HELD_NOW, until=max(ends_at, as_of))
        held |= self._subjects(_HELD_SINCE, since=min(starts_at, as_of), ends_at=ends_at)
        if as_of >= ends_at:
            held |= self._subjects(_HELD_THEN, as_of=as_of)
        if self.through_seq < self.head:
            held |= self._subjects(_MOVED_AFTER, through_seq=self.through_seq)
        return held

    def _subjects(self, statement: Prepared, **moments: int) -> set[str]:
        return {row[0] for row in statement.run(self.found.connection, site_id=self.row.id, **moments)}

    # ---- probes, units, equipment -----------------------------------------------------------------------------

    def _gather_probes(self, of_day: Sequence[Entry]) -> None:
        """Gather each probe's checks since it last passed; if one failed today, what was read with it since then."""
        first, last = self._stretch(of_day)
        checks = {f"check:{code}" for entry in of_day if (code := probe_of(entry)) is not None}
        self.found.about_between(checks, first, last)
        self.found.look_back(checks, first, until=self._passes)
        failed = {entry.probe for entry in of_day if isinstance(entry, ProbeCheck) and not self._passes(entry)}
        doubted = [
            entry
            for code in failed
            for entry in self.found.about_between([f"probe:{code}"], self._last_passed_at(code), last)
        ]
        # What a failed probe puts in doubt is set aside, wherever it went since.
        self.found.close_over({f"{kind}:{name}" for entry in doubted for kind, name in names_of(entry)})

    def _gather_doubts(self) -> None:
        """Gather the checks that tell whether a reading here is in doubt: from it to its probe's next pass."""
        read: dict[str, list[datetime]] = {}
        for entry in self.found.entries.values():
            code = probe_of(entry)
            if code is not None:
                read.setdefault(f"check:{code}", []).append(entry.observed_at)
        for checks, moments in read.items():
            self.found.about_between([checks], min(moments), max(moments) + _AN_INSTANT)
            self.found.look_on([checks], max(moments) + _AN_INSTANT, self.as_of, until=self._passes)

    def _last_passed_at(self, code: str) -> datetime:
        def passed(check: Entry) -> bool:
            return check.observed_at < self.starts_at and probe_of(check) == code and self._passes(check)

        checks = (versions for versions in self.found.versions.values() if versions[0].kind == "probe_check")
        return max((versions[0].observed_at for versions in checks if all_hold(versions, passed)), default=EPOCH)

    def _passes(self, check: Entry) -> bool:
        if not isinstance(check, ProbeCheck):
            return False
        return probes.judge_check(check, site=self.calendar.site, plan=self.calendar.plan_at(check.observed_at)).passes

    def _stretch(self, of_day: Sequence[Entry]) -> tuple[datetime, datetime]:
        """Give the day, and what mended entries reach beyond it: their other versions may be of other days."""
        seen = [entry.observed_at for entry in of_day]
        return min([self.starts_at, self.as_of, *seen]), max([self.ends_at, *seen])

    def _gather_units(self, of_day: Sequence[Entry]) -> None:
        """Gather the checks of today's units back to a good one and on to the next: a run may reach beyond the day."""
        units = {f"unit:{check.unit_code}" for check in of_kind(of_day, UnitCheck)}
        first, last = self._stretch(of_day)
        self.found.about_between(units, first, last)
        self.found.look_back(units, first, until=self._is_cold)
        self.found.look_on(units, last, self.as_of, until=self._is_cold)

    def _is_cold(self, check: Entry) -> bool:
        if not isinstance(check, UnitCheck):
            return False
        return is_within("cold_unit", self.calendar.plan_at(check.observed_at), check.reading)

    def _gather_around(self) -> None:
        """Gather the deliveries of the lots loaded, and when ovens and hot units were out while they were in use."""
        entries = list(self.found.entries.values())
        lots = {f"delivery:{lot}" for entry in entries if (lot := value_of(entry, "lot")) is not None}
        units = {
            f"equipment:{code}"
            for entry in entries
            for name in ("oven", "hot_unit")
            if (code := value_of(entry, name)) is not None
        }
        self.found.about(lots)
        if units:
            first = min((entry.observed_at for entry in entries), default=self.starts_at)
            last = max((entry.observed_at for entry in entries), default=self.ends_at)
            self.found.about_between(units, first, last)
            if any_on_table(self.calendar.plans):
                # The pull of a load that began the day before rests on its oven's humidity too.
                self.found.about_between(["kind:oven_setting"], first, last + _AN_INSTANT)
            self.found.look_back(units, first, until=_is_back)
            self.found.look_on(units, last, self.as_of, until=_is_back)

    def _gather_answers(self, of_day: Sequence[Entry]) -> None:
        """Gather sign-offs of the day, and answers to findings that are not about food; the others are in histories."""
        day = self.day.isoformat()
        openers = {entry.root for entry in of_day} | {
            entry.root for entry in self.found.entries.values() if entry.kind in _OPENERS
        }
        self.found.about([f"day:{day}", f"answers:{day}", *(f"answers:{root}" for root in openers)])


_OPENERS = ("unit_check", "receiving", "probe_check", "corrective_action")
"""Kinds that findings about units, deliveries and probes rest on, wherever in time they were seen."""


def _is_back(entry: Entry) -> bool:
    return entry.kind == "equipment_back"
