"""Reheating for hot holding: started from a batch, read, done into a tray."""

from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Annotated, Any

from .entry import Cases, Entry, Flow, Subject, Temperature, once_an_entry
from .fields import CONFIRMED, HELD, HOT_UNIT, PROBE, QUARTERS, Measured, Name
from .form import DISPLAYED, FILL, OPEN, READ, TAKE, Indexed, May, Must
from .values import BadValue, read_number


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReheatStarted(Entry):
    """Birds of a batch begin to be reheated."""

    KIND = "reheat_started"
    batch: Annotated[str, Name("batch", TAKE)]
    birds: Annotated[Decimal, QUARTERS]
    reheat: Annotated[str, Name("reheat", OPEN)]

    @once_an_entry("_flows")
    def flows(self) -> tuple[Flow, ...]:
        """The birds leave the batch and open the reheat."""
        taken = Flow(Subject("batch", self.batch), -self.birds, "batch")
        return (taken, Flow(Subject("reheat", self.reheat), self.birds, "reheat"))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReheatReading(Entry):
    """The temperature of a reheat."""

    KIND = "reheat_reading"
    IS_READING = True
    reheat: Annotated[str, Name("reheat", READ)]
    reading: Annotated[Temperature, DISPLAYED]
    probe: Annotated[str, PROBE, Indexed("probe")]
    held_s: Annotated[Decimal | None, HELD] = None
    """For how long the reading was held, in seconds."""
    confirmed: Annotated[bool, CONFIRMED] = False


_NONE_OR_MORE = Measured(0, 500, "birds", step=25)


def _some_or_none(birds: Any) -> str:
    try:
        return "none" if read_number(birds)[1] == 0 else "some"
    except BadValue:
        return "some"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReheatDone(Entry):
    """Birds of a reheat go into a tray; several may follow until none is left."""

    KIND = "reheat_done"
    CASES = MappingProxyType({"birds": Cases(("some", "none"), _some_or_none)})
    reheat: Annotated[str, Name("reheat", TAKE)]
    tray: Annotated[str | None, Name("tray", FILL), Must(birds="some")] = None
    hot_unit: Annotated[str | None, HOT_UNIT, May(birds="some")] = None
    birds: Annotated[Decimal, _NONE_OR_MORE]
    discarded: Annotated[Decimal, _NONE_OR_MORE, May(birds="some"), Must(birds="none")] = Decimal(0)
    """Birds thrown away; all of them where no birds go into a tray."""

    @once_an_entry("_flows")
    def flows(self) -> tuple[Flow, ...]:
        """The birds leave the reheat; what was not thrown away goes into the tray."""
        taken = Flow(Subject("reheat", self.reheat), -(self.birds + self.discarded), "reheat")
        return (taken,) if self.tray is None else (taken, Flow(Subject("tray", self.tray), self.birds, "tray"))
