"""Chilled batches: their cooling, where they stand, and what leaves them cold."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from .entry import Entry, Flow, Subject, Temperature, once_an_entry
from .fields import COLD_UNIT, CONFIRMED, LINE, PROBE, QUARTERS, Choice, Name
from .form import DISPLAYED, FILL, MOVE, READ, TAKE, Indexed, May


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CoolingReading(Entry):
    """The temperature of a batch."""

    KIND = "cooling_reading"
    IS_READING = True
    batch: Annotated[str, Name("batch", READ)]
    reading: Annotated[Temperature, DISPLAYED]
    probe: Annotated[str, PROBE, Indexed("probe")]
    confirmed: Annotated[bool, CONFIRMED] = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BatchMoved(Entry):
    """A batch is put into another cold unit."""

    KIND = "batch_moved"
    batch: Annotated[str, Name("batch", MOVE)]
    cold_unit: Annotated[str, COLD_UNIT]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BatchOut(Entry):
    """Birds leave a batch without being reheated for hot holding."""

    KIND = "batch_out"
    batch: Annotated[str, Name("batch", TAKE)]
    birds: Annotated[Decimal, QUARTERS]
    to: Annotated[str, Choice(("served_cold", "reheated_to_order", "prepared", "donated", "discarded"))]
    into: Annotated[str | None, Name("batch", FILL), May(to="prepared")] = None
    """The batch that what was prepared opens, or is added to; without one it was used at once."""
    product: Annotated[str | None, LINE, May(to="prepared")] = None
    recipient: Annotated[str | None, LINE, May(to="donated")] = None

    @once_an_entry("_flows")
    def flows(self) -> tuple[Flow, ...]:
        """The birds leave the batch; what was prepared from them may be kept in another."""
        taken = Flow(Subject("batch", self.batch), -self.birds, "batch")
        return (taken,) if self.into is None else (taken, Flow(Subject("batch", self.into), self.birds, "into"))
