"""What birds bring along while they are out of temperature: where they were last known hot, and their sum so far."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import NamedTuple

from app.kinds import Entry, HoldReading

NONE = timedelta(0)


class Part(NamedTuple):
    """Birds of one origin: sum out before `anchor`; `counts` while time out runs; `known` hot at the anchor."""

    before: timedelta
    anchor: datetime
    counts: bool
    known: bool
    cooked_at: datetime
    fill: Entry
    was_low: bool
    """In a run of low readings that ended; being low again is a second time out."""
    is_low: bool = False
    """In a run of low readings now."""

    def out_for(self, at: datetime) -> timedelta:
        """Sum of time out at a moment."""
        return self.before + max(at - self.anchor, NONE) if self.counts else self.before

    def reaches(self, limit: timedelta, *, since: datetime) -> datetime | None:
        """When the sum reaches a limit, at or after `since`; None if it does not as things stand."""
        if self.before >= limit:
            return since
        return max(since, self.anchor + (limit - self.before)) if self.counts else None


@dataclass(slots=True, eq=False)
class LowRun:
    """A run of low readings in one tray, from its worst-case start to the good reading or emptying that ended it."""

    since: datetime
    entries: list[HoldReading]
    ended_at: datetime | None = None


@dataclass(slots=True)
class Carried:
    """What birds bring along into a batch, a reheat or back onto a spit."""

    out_for: timedelta
    cooked_at: datetime
    was_low: bool

    def copy(self) -> "Carried":
        """Give the same, to which more can be added."""
        return Carried(self.out_for, self.cooked_at, self.was_low)

    def add(self, other: "Carried") -> None:
        """Mix in more birds: the largest sum, the earliest moments."""
        self.out_for = max(self.out_for, other.out_for)
        self.cooked_at = min(self.cooked_at, other.cooked_at)
        self.was_low = self.was_low or other.was_low
