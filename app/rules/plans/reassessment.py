"""When a plan is to be looked at again: once a year, after a change, and after a look that found it wanting."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from app.kinds import PlanReassessed

from ..facts import Equipment
from .adopted_values import Adopted

A_YEAR = timedelta(days=365)
"""At least once a year: 9 CFR 417.4(a)(3), for inspected plants; here a house rule after it."""
_UNITS = ("oven", "hot_unit", "cold_unit")


class Occasion(StrEnum):
    """Why a plan is to be looked at again."""

    YEAR = "year"
    VERSION = "version"
    """A new version was adopted since: what does the change do to the hazards?"""
    EQUIPMENT = "equipment"
    """An oven, a hot-holding unit or a cold unit came or went since."""
    TO_CHANGE = "to_change"
    """The last look said that the plan is to be changed, and no version was adopted since."""


@dataclass(frozen=True, slots=True)
class Reassessment:
    """How things stand: when the plan was last looked at as a whole, by when again, and why sooner."""

    last_at: datetime
    """The last look, or the first adoption."""
    due_at: datetime
    occasions: tuple[Occasion, ...]
    """Empty while it is not due."""

    @property
    def is_due(self) -> bool:
        """Whether it is asked for now."""
        return bool(self.occasions)


def reassessment(
    plans: Sequence[Adopted], looks: Sequence[PlanReassessed], equipment: Sequence[Equipment], *, as_of: datetime
) -> Reassessment:
    """Give when a plan is to be looked at again. `plans` and `looks` are in order of time."""
    done = [look for look in looks if look.observed_at <= as_of]
    last_at = done[-1].observed_at if done else plans[0].adopted_at
    found = []
    if as_of >= last_at + A_YEAR:
        found.append(Occasion.YEAR)
    if plans[-1].adopted_at > last_at:
        found.append(Occasion.VERSION)
    if any(_changed_after(item, last_at) for item in equipment if item.kind in _UNITS):
        found.append(Occasion.EQUIPMENT)
    if done and done[-1].outcome == "plan_to_change" and plans[-1].adopted_at <= last_at:
        found.append(Occasion.TO_CHANGE)
    return Reassessment(last_at, last_at + A_YEAR, tuple(found))


def _changed_after(item: Equipment, moment: datetime) -> bool:
    return any(at is not None and at > moment for at in (item.since, item.retired_at))
