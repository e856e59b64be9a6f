"""What a change of the plan would have changed: past days judged by it as well, and what is then found held beside."""

import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy.orm import Session

from app import clock, ledger
from app.kinds import Entry, PlanAdopted
from app.rules.day.assess import assess
from app.rules.facts import Finding
from app.rules.plans.plan import Adopted

DAYS = 28
"""Four weeks, the running day among them."""
_LONGEST_S = 60.0
"""The page is there before: a part of it is fetched. A kitchen that takes longer is told how many days were counted."""


@dataclass(frozen=True, slots=True)
class Effect:
    """Findings by rule that would not be there, and that would be there besides."""

    days: int
    """How many days were looked at, back from today."""
    of_days: int
    gone: Mapping[str, int]
    new: Mapping[str, int]

    @property
    def is_whole(self) -> bool:
        """Whether all days were looked at."""
        return self.days == self.of_days

    @property
    def is_none(self) -> bool:
        """Whether no finding would be different."""
        return not (self.gone or self.new)


def effect_of(
    session: Session, site: str, change: Adopted, *, as_of: datetime, longest_s: float = _LONGEST_S
) -> Effect:
    """Judge the last four weeks by their plans, and by these with a change on top; for so many seconds at most."""
    until = clock.running_s() + longest_s
    newest = ledger.read_plans(session, site)[-1]
    changed = _Changed(newest, change)
    gone, new, days = dict[str, Finding](), dict[str, Finding](), 0
    today = ledger.today(session, site, as_of)
    for number in range(DAYS):
        if clock.running_s() > until:
            break
        entries = ledger.day_entries(session, site, day := today - timedelta(days=number), as_of=as_of)
        was = {finding.key: finding for finding in assess(day, entries, as_of=as_of).findings}
        would = {finding.key: finding for finding in assess(day, changed.of(entries), as_of=as_of).findings}
        gone |= {key: was[key] for key in was.keys() - would.keys()}
        new |= {key: would[key] for key in would.keys() - was.keys()}
        days += 1
    return Effect(days, DAYS, _by_rule(gone.values()), _by_rule(new.values()))


def _by_rule(findings: Any) -> Mapping[str, int]:
    return dict(Counter(finding.rule for finding in findings).most_common())


class _Changed:
    """Entries as they would be, had every plan that they hold had a change on top."""

    def __init__(self, newest: Adopted, change: Adopted) -> None:
        self._same_code = newest.code == change.code
        self._settings = dict(change.settings)
        self._values = _values(change)
        before = _values(newest)
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


def _values(adopted: Adopted) -> dict[str, Any]:
    values: dict[str, Any] = json.loads(adopted.values)
    return values
