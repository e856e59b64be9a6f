"""Reading a day: the entries that its assessment needs, found through the index and never by searching history."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import cast

from sqlalchemy import Table, bindparam, select
from sqlalchemy.orm import Session

from app import models
from app.db import Prepared, Source, connection_of, milliseconds
from app.kinds import Entry
from app.rules.day.assess import assess
from app.rules.day.register_calendar import register_calendar
from app.rules.day.registry import longest_after, openers_without_food
from app.rules.day.shown import Assessment

from .. import register
from ..index import rows
from ..register import SiteRow
from ..register_entries import read_register
from .beyond_food import BeyondFood, food_named
from .gathering import Gathering

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


class _Reading:
    """One day's entries being gathered."""

    def __init__(self, source: Source, row: SiteRow, day: date, as_of: datetime, through_seq: int | None) -> None:
        connection = connection_of(source)
        self.row, self.day, self.as_of = row, day, as_of
        self.head = rows.head(connection, row).seq
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
        # What was seen shortly before the day may be found wanting in it.
        of_day = self.found.seen_between(self.starts_at - longest_after(), self.ends_at)
        self.found.close_over(food_named(of_day) | self._open_subjects())
        self.found.close_over_what_came_of_trays(self.ends_at)
        beyond = BeyondFood(self.found, self.calendar, as_of=self.as_of)
        beyond.gather_doubted(of_day)
        self.found.follow()
        beyond.gather_told()
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

    def _gather_answers(self, of_day: Sequence[Entry]) -> None:
        """Gather sign-offs of the day, and answers to findings that are not about food; the others are in histories."""
        day = self.day.isoformat()
        others = (entry for entry in self.found.entries.values() if type(entry) in openers_without_food())
        openers = {entry.root for entry in (*of_day, *others)}
        self.found.about([f"day:{day}", f"answers:{day}", *(f"answers:{root}" for root in openers)])
