"""The figures of past days, for trends: kept once nothing but a new entry changes them, made anew where one did.

Nothing is added to what an entry costs. Whoever reads looks through what was written since the mark, forgets the days
that it touches, and makes their figures anew from an assessment. What is kept is never the truth: thrown away, it is
made again from the ledger.
"""

import hashlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, cast

from sqlalchemy import Connection, Table, delete, func, select
from sqlalchemy.orm import Session

from app import models, rules
from app.db import connection_of
from app.rules.facts import Equipment, Site
from app.rules.figures.day_figures import DayFigures, figures

from .. import register
from ..index import rows
from ..index.rows import ENTRY
from ..reading import day_reading
from ..register import SiteRow
from ..register_entries import calendar_of_row
from .day_figures_text import details_text, read_figures, sums_text
from .touched_days import TouchedDays

_KEPT = cast(Table, models.KeptFigures.__table__).c
_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class FiguresUpdate:
    """What a reading found out and may be kept: days that no longer hold, days made anew, the head that was read."""

    mark: int | None
    head: int
    stale: tuple[date, ...]
    made: tuple[tuple[DayFigures, str], ...]
    """With the basis of each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PastDays:
    """The figures of the days that were asked for and are over, the oldest first."""

    first: date | None
    """The first day that can be had: not before the first entry; None where there is no day at all."""
    days: tuple[DayFigures, ...]
    missing: int
    """How many are still to be made: more than were allowed in one reading."""
    update: FiguresUpdate | None
    """What `keep_figures` may keep; None where there is nothing new."""


def past_days(
    session: Session,
    code: str,
    first: date,
    last: date,
    *,
    as_of: datetime,
    at_most: int,
    go_on: Callable[[], bool] = lambda: True,
    details: bool = False,
) -> PastDays:
    """Give the figures of the days from `first` to `last` that have ended and are not before the first entry.

    At most so many days are made anew to be kept, the newest first, and no further one once `go_on` says no; days that
    time alone may still change are made in any case. With `details` they have their single readings and spits.
    """
    reading = _KeptDays(session, code, as_of)
    return reading.read(first, last, made_while=lambda made: made < at_most and (not made or go_on()), details=details)


def keep_figures(session: Session, code: str, update: FiguresUpdate) -> None:
    """Keep what a reading found out. The session must come from Database.writing().

    Where somebody else kept figures meanwhile nothing is kept: theirs stand, and the next reading makes what it lacks.
    """
    row = register.get_site_row(session, code, lock=True)
    connection = connection_of(session)
    if _mark(connection, row.id) != update.mark:
        return
    gone = [*update.stale, *(day.day for day, _basis in update.made)]
    if gone:
        connection.execute(delete(models.KeptFigures).where(_KEPT.site_id == row.id, _KEPT.day.in_(gone)))
    for day, basis in update.made:
        session.add(
            models.KeptFigures(site_id=row.id, day=day.day, basis=basis, sums=sums_text(day), details=details_text(day))
        )
    session.merge(models.FiguresMark(site_id=row.id, through_seq=update.head))
    session.flush()


def kept_days(session: Session, code: str, first: date, last: date, *, as_of: datetime) -> set[date]:
    """Give the days whose kept figures a reading would believe."""
    return _KeptDays(session, code, as_of).believed(first, last)


def days_made_anew(session: Session, code: str, days: Iterable[date], *, as_of: datetime) -> Iterator[DayFigures]:
    """Make the figures of days anew, whatever is kept."""
    kept = _KeptDays(session, code, as_of)
    return map(kept.make, sorted(days))


def _mark(connection: Connection, site_id: int) -> int | None:
    mark = cast(Table, models.FiguresMark.__table__).c
    found: int | None = connection.execute(select(mark.through_seq).where(mark.site_id == site_id)).scalar()
    return found


class _KeptDays:
    """The kept figures of one site, as they stand against its ledger."""

    def __init__(self, session: Session, code: str, as_of: datetime) -> None:
        self.connection, self.as_of = connection_of(session), as_of
        self.row: SiteRow = register.get_site_row(session, code)
        self.calendar = calendar_of_row(self.connection, self.row)
        self.site: Site = self.calendar.site
        self.head = rows.head(self.connection, self.row).seq
        self.mark = _mark(self.connection, self.row.id)

    def read(self, first: date, last: date, *, made_while: Callable[[int], bool], details: bool) -> PastDays:
        stale = self._stale()
        wanted = self._wanted(first, last)
        days = self._kept(wanted, stale, details)
        lacking = [day for day in reversed(wanted) if day not in days]
        settled = [day for day in lacking if self._is_settled(day)]
        days |= {day: self.make(day) for day in lacking if day not in settled}
        anew: list[DayFigures] = []
        while len(anew) < len(settled) and made_while(len(anew)):
            anew.append(self.make(settled[len(anew)]))
        days |= {one.day: one for one in anew}
        made = tuple((one, self._basis(one.day)) for one in anew)
        is_new = bool(made or stale) or (self.mark or 0) != self.head
        return PastDays(
            first=wanted[0] if wanted else None,
            days=tuple(days[day] for day in sorted(days)),
            missing=len(settled) - len(anew),
            update=FiguresUpdate(self.mark, self.head, tuple(stale), made) if is_new and not self._is_ahead() else None,
        )

    def believed(self, first: date, last: date) -> set[date]:
        """Give the kept days that hold, as far as the mark says."""
        return {day for day, *_texts in self._rows([first, last], self._stale(), details=False)}

    def _wanted(self, first: date, last: date) -> list[date]:
        begun = rows.first_seen(self.connection, self.row.id)
        if begun is None:
            return []
        first = max(first, self.calendar.day_of(begun))
        last = min(last, self.calendar.day_of(self.as_of) - _ONE_DAY)
        return [first + _ONE_DAY * number for number in range((last - first).days + 1)]

    def _kept(self, wanted: Sequence[date], stale: set[date], details: bool) -> dict[date, DayFigures]:
        """Give what is kept; what cannot be read (an older program wrote it, or somebody else) is made anew."""
        read = {}
        for day, *texts in self._rows(wanted, stale, details):
            with suppress(ValueError, TypeError, LookupError):
                read[day] = read_figures(day, *texts)
        return read

    def _rows(self, wanted: Sequence[date], stale: set[date], details: bool) -> list[tuple[Any, ...]]:
        if not wanted or self.mark is None:
            return []
        columns = (_KEPT.day, _KEPT.basis, _KEPT.sums, *((_KEPT.details,) if details else ()))
        within = (_KEPT.site_id == self.row.id, _KEPT.day >= wanted[0], _KEPT.day <= wanted[-1])
        found = self.connection.execute(select(*columns).where(*within)).all()
        return [(day, *texts) for day, basis, *texts in found if day not in stale and basis == self._basis(day)]

    def _stale(self) -> set[date]:
        """Give the kept days that what was written since the mark may have changed."""
        if self.mark is None or self.mark == self.head:
            return set()
        kept = set(self.connection.execute(select(_KEPT.day).where(_KEPT.site_id == self.row.id)).scalars())
        if not kept:
            return set()
        touched = TouchedDays(
            *(self.connection, self.row),
            calendar=self.calendar,
            after_seq=self.mark,
            head=self.head,
            until=self.calendar.bounds(max(kept))[1],
        )
        return kept & touched.days

    def make(self, day: date) -> DayFigures:
        """Make a day's figures from its assessment."""
        return figures(day_reading.assess_site_day(self.connection, self.row, day, as_of=self.as_of))

    def _settles_at(self, day: date) -> datetime:
        """Give the end of the next business day: the last moment at which time alone still finds something."""
        return self.calendar.bounds(day + _ONE_DAY)[1]

    def _is_settled(self, day: date) -> bool:
        return self.as_of >= self._settles_at(day)

    def _is_ahead(self) -> bool:
        """Whether something is in the ledger that was seen later than now (clocks differ): it does not count yet."""
        newest = select(func.max(ENTRY.observed_at)).where(ENTRY.site_id == self.row.id)
        seen_at = self.connection.execute(newest).scalar()
        return seen_at is not None and seen_at > self.as_of

    def _basis(self, day: date) -> str:
        """Give what a day's figures rest on besides entries; what was set up after it settled is of no account."""
        settles_at, site = self._settles_at(day), self.site
        first, *later = self.calendar.plans
        return _digest(
            self.calendar.zone_of(day).key,
            site.altitude_at(settles_at),
            (first, *(plan for plan in later if plan.adopted_at < settles_at)),
            tuple(_as_of(item, settles_at, site) for item in site.equipment.values() if _is_listed(item, settles_at)),
        )


def _is_listed(item: Equipment, settles_at: datetime) -> bool:
    return item.since is None or item.since < settles_at


def _as_of(item: Equipment, settles_at: datetime, site: Site) -> Equipment:
    retired = item.retired_at is not None and item.retired_at < settles_at
    return replace(item, scale=site.scale_at(item.code, settles_at), retired_at=item.retired_at if retired else None)


@lru_cache(maxsize=1024)
def _digest(*of_the_day: object) -> str:
    return hashlib.sha256(f"{_rules_digest()} {of_the_day}".encode()).hexdigest()


@cache
def _rules_digest() -> str:
    """Give what tells one version of rules, codes and reading from another: what one made, another makes anew."""
    app = Path(rules.__file__).parent.parent
    files = [
        *app.glob("kinds/**/*.py"),
        *app.glob("rules/**/*.py"),
        *app.glob("ledger/**/*.py"),
        *app.glob("codes/**/*.toml"),
    ]
    texts = b"".join(hashlib.sha256(path.read_bytes()).digest() for path in sorted(files))
    return hashlib.sha256(texts).hexdigest()


def forget_figures(connection: Connection, site_id: int) -> None:
    """Throw the kept figures of a site away."""
    for model in (models.KeptFigures, models.FiguresMark):
        connection.execute(delete(model).where(model.site_id == site_id))
