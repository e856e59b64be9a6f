"""One tray's time out of temperature: its parts, its runs of low readings, and the sum at a moment."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta

from app.kinds import Entry, HoldReading

from . import holders
from .parts import NONE, LowRun, Part


@dataclass(slots=True, eq=False)
class TrayExposure:
    """A tray's life in temperature."""

    tray: holders.Tray
    by_time_from: int | None = None
    """The place in the day's order from which it is held by time alone, not by temperature."""
    out_at_start: timedelta = NONE
    """The sum when time as the control started, whether or not that start is met."""
    parts: list[Part] = field(default_factory=list)
    runs: list[LowRun] = field(default_factory=list)
    out_at: dict[str, timedelta] = field(default_factory=dict)
    """Id of a tray_out → the sum at that instant."""
    reached: tuple[datetime, Entry] | None = None
    """When the sum reached the discard band while birds were in the tray, and the entry in whose run it did."""
    frozen: timedelta | None = None
    """The sum, standing still under time as the control or since the tray was emptied."""
    out_again_at: datetime | None = None
    """Since when birds are out a second time, under a code that defends one time only."""
    since: datetime | None = None
    upcoming: HoldReading | None = None
    """The next reading, where it is a low one."""

    @property
    def run(self) -> LowRun | None:
        """The run of low readings that goes on now."""
        return self.runs[-1] if self.runs and self.runs[-1].ended_at is None else None

    @property
    def known_hot_at(self) -> datetime | None:
        """The last known-hot moment of all that is in the tray; None where part of it was never known hot."""
        if not self.parts or not all(part.known for part in self.parts):
            return None
        return min(part.anchor for part in self.parts)

    def is_out_again(self, at: datetime) -> bool:
        """Whether birds were out a second time by then, under a code that defends one time only."""
        return self.out_again_at is not None and self.out_again_at <= at

    def out_for(self, at: datetime) -> timedelta:
        """Sum of time out of temperature at a moment."""
        if self.frozen is not None:
            return self.frozen
        if len(self.parts) == 1:  # as nearly always
            return self.parts[0].out_for(at)
        return max([part.out_for(at) for part in self.parts], default=NONE)
