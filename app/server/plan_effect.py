"""What a change of the plan would have changed: past days judged by it as well, and what is then found held beside."""

import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Any, ClassVar, Self

from sqlalchemy.orm import Session

from app import clock, ledger
from app.kinds import Entry, PlanAdopted
from app.rules.day.assess import assess
from app.rules.plans.plan import Adopted

DAYS = 28
"""Four weeks, the running day among them."""


@dataclass(frozen=True, slots=True)
class Change:
    """A next version of the plan, as far as days are judged by it."""

    code: str
    settings: Mapping[str, str]
    values: Mapping[str, Any]

    @classmethod
    def of(cls, adopted: Adopted) -> Self:
        """Give the change that a version would be."""
        return cls(adopted.code, dict(adopted.settings), json.loads(adopted.values))


@dataclass(frozen=True, slots=True)
class Effect:
    """Findings that would not be there, and that would be there besides, as far as days were looked at: key → rule."""

    days: int = 0
    """How many days were looked at, back from today."""
    gone: Mapping[str, str] = field(default_factory=dict)
    new: Mapping[str, str] = field(default_factory=dict)
    of_days: ClassVar[int] = DAYS

    @property
    def is_whole(self) -> bool:
        """Whether all days were looked at."""
        return self.days >= self.of_days

    @property
    def is_none(self) -> bool:
        """Whether no finding would be different."""
        return not (self.gone or self.new)

    @property
    def gone_by_rule(self) -> Mapping[str, int]:
        """How many findings of each rule would not be there."""
        return dict(Counter(self.gone.values()).most_common())

    @property
    def new_by_rule(self) -> Mapping[str, int]:
        """How many findings of each rule would be there besides."""
        return dict(Counter(self.new.values()).most_common())


def count_on(
    session: Session, site: str, change: Change, so_far: Effect, *, as_of: datetime, longest_s: float
) -> Effect:
    """Judge further days of the last four weeks by their plans, and by these with a change on top.

    Goes on for so many seconds, and counts one day at least.
    """
    until = clock.running_s() + longest_s
    changed = _Changed(Change.of(ledger.read_plans(session, site)[-1]), change)
    today, found = ledger.today(session, site, as_of), so_far
    while not found.is_whole:
        found = _with_day(session, site, changed, found, day=today - timedelta(days=found.days), as_of=as_of)
        if clock.running_s() >= until:
            break
    return found


def _with_day(
    session: Session, site: str, changed: "_Changed", so_far: Effect, *, day: date, as_of: datetime
) -> Effect:
    entries = ledger.day_entries(session, site, day, as_of=as_of)
    was = {finding.key: finding.rule for finding in assess(day, entries, as_of=as_of).findings}
    would = {finding.key: finding.rule for finding in assess(day, changed.of(entries), as_of=as_of).findings}
    gone = {key: was[key] for key in was.keys() - would.keys()}
    new = {key: would[key] for key in would.keys() - was.keys()}
    return Effect(so_far.days + 1, {**so_far.gone, **gone}, {**so_far.new, **new})


class _Changed:
    """Entries as they would be, had every plan that they hold had a change on top."""

    def __init__(self, newest: Change, change: Change) -> None:
        self._same_code = newest.code == change.code
        self._settings = dict(change.settings)
        self._values = dict(change.values)
        before = newest.values
        self._differing = {
            name: value for name, value in self._values.items() if _held(before.get(name)) != _held(value)
        }
        self._known: dict[int, PlanAdopted] = {}

    def of(self, entries: Sequence[Entry]) -> list[Entry]:
        """Give the entries of a day so; each adoption is changed once, so that what is kept by it is found again."""
        return list(self._each(entries))

    def _each(self, entries: Sequence[Entry]) -> Iterator[Entry]:
        for entry in entries:
            if not isinstance(entry, PlanAdopted):
                yield entry
                continue
            if entry.seq not in self._known:
                self._known[entry.seq] = self._change(entry)
            yield self._known[entry.seq]

    def _change(self, entry: PlanAdopted) -> PlanAdopted:
        if not self._same_code:
            return replace(entry, values=self._values, settings=self._settings)
        settings = dict(entry.settings)
        if _TABLE in self._differing:
            settings.pop(_TABLE, None)
            settings |= {name: text for name, text in self._settings.items() if name == _TABLE}
        return replace(entry, values={**entry.values, **self._differing}, settings=settings)


_TABLE = "cook_table"
"""Which plans rest on a table is told by their settings."""


def _held(value: Any) -> Any:
    """Give what holds, without where it comes from and since when."""
    return value["value"] if isinstance(value, dict) and "value" in value else value
