"""Reheating for hot holding: started from a batch, read, done into a tray."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from .entry import Entry, Flow, Subject, Temperature
from .fields import CONFIRMED, HELD, HOT_UNIT, PROBE, QUARTERS, Measured, Name
from .form import DISPLAYED, FILL, OPEN, READ, TAKE, Indexed


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReheatStarted(Entry):
    """Birds of a batch begin to be reheated."""

    KIND = "reheat_started"
    batch: Annotated[str, Name("batch", TAKE)]
    birds: Annotated[Decimal, QUARTERS]
    reheat: Annotated[str, Name("reheat", OPEN)]

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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReheatDone(Entry):
    """Birds of a reheat go into a tray; several may follow until none is left."""

    KIND = "reheat_done"
    reheat: Annotated[str, Name("reheat", TAKE)]
    tray: Annotated[str, Name("tray", FILL)]
    hot_unit: Annotated[str | None, HOT_UNIT] = None
    birds: Annotated[Decimal, QUARTERS]
    discarded: Annotated[Decimal, Measured(0, 500, "birds", step=25)] = Decimal(0)
    """Birds thrown away."""

    def flows(self) -> tuple[Flow, ...]:
        """The birds leave the reheat; what was not thrown away goes into the tray."""
        taken = Flow(Subject("reheat", self.reheat), -(self.birds + self.discarded), "reheat")
        return (taken, Flow(Subject("tray", self.tray), self.birds, "tray"))
