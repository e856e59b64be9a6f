"""Hot holding: trays read, moved, emptied, or put under time as the control."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Annotated

from .entry import Entry, Flow, Subject, Temperature, once_an_entry
from .fields import BIRDS, COLD_UNIT, CONFIRMED, HOT_UNIT, LINE, NUMBER, PROBE, QUARTERS, Choice, Instant, Name
from .form import DISPLAYED, FILL, MOVE, READ, TAKE, As, Indexed, May, Must


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HoldReading(Entry):
    """The temperature of the food in a tray."""

    KIND = "hold_reading"
    IS_READING = True
    tray: Annotated[str, Name("tray", READ)]
    reading: Annotated[Temperature, DISPLAYED]
    probe: Annotated[str, PROBE, Indexed("probe")]
    confirmed: Annotated[bool, CONFIRMED] = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrayMoved(Entry):
    """A tray is put into another hot-holding unit."""

    KIND = "tray_moved"
    tray: Annotated[str, Name("tray", MOVE)]
    hot_unit: Annotated[str, HOT_UNIT]


_TO = ("served", "prepared", "donated", "discarded", "chilled", "reheated", "other_tray", "returned_to_oven")
_REASONS = ("quality", "end_of_day", "dropped", "time", "temperature", "returned", "other")
_METHODS = ("cut_up", "shallow_pan", "ice_bath", "rapid_chiller", "other")
_KEPT_COLD = May(to=("chilled", "prepared"))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrayOut(Entry):
    """Birds leave a tray."""

    KIND = "tray_out"
    tray: Annotated[str, Name("tray", TAKE)]
    to: Annotated[str, Choice(_TO)]
    birds: Annotated[Decimal, QUARTERS, As(BIRDS, to="returned_to_oven")]
    reason: Annotated[str | None, Choice(_REASONS), May(to="discarded")] = None
    batch: Annotated[str | None, Name("batch", FILL), Must(to="chilled"), May(to="prepared")] = None
    """What was chilled, or prepared and kept cold, opens it or is added to it; prepared without one: used at once."""
    product: Annotated[str | None, LINE, May(to="prepared")] = None
    cold_unit: Annotated[str | None, COLD_UNIT, _KEPT_COLD] = None
    method: Annotated[str | None, Choice(_METHODS), _KEPT_COLD] = None
    reading: Annotated[Temperature | None, DISPLAYED, _KEPT_COLD] = None
    probe: Annotated[str | None, PROBE, Indexed("probe"), _KEPT_COLD] = None
    confirmed: Annotated[bool, CONFIRMED, _KEPT_COLD] = False
    recipient: Annotated[str | None, LINE, May(to="donated")] = None
    reheat: Annotated[str | None, Name("reheat", FILL), Must(to="reheated")] = None
    into: Annotated[str | None, Name("tray", FILL), Must(to="other_tray")] = None
    load: Annotated[str | None, Name("load", FILL), Must(to="returned_to_oven")] = None
    spit: Annotated[int | None, NUMBER, Must(to="returned_to_oven")] = None

    @once_an_entry("_flows")
    def flows(self) -> tuple[Flow, ...]:
        """The birds leave the tray, and may go into something else."""
        taken = Flow(Subject("tray", self.tray), -self.birds, "tray")
        target = self._target()
        return (taken,) if target is None else (taken, Flow(target[0], self.birds, target[1]))

    def _target(self) -> tuple[Subject, str] | None:
        if self.batch is not None:
            return Subject("batch", self.batch), "batch"
        if self.reheat is not None:
            return Subject("reheat", self.reheat), "reheat"
        if self.into is not None:
            return Subject("tray", self.into), "into"
        return None if self.load is None else (Subject("spit", self.load, self.spit), "spit")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TimeControlStarted(Entry):
    """From now on a tray is held by time, not by temperature."""

    KIND = "time_control_started"
    tray: Annotated[str, Name("tray", MOVE)]
    marked_discard_by: Annotated[datetime | None, Instant()] = None
    """What the label says."""
