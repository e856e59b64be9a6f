"""Deliveries, and checks of cold and hot-holding units."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated

from .entry import Entry, Temperature
from .fields import BIRDS, COLD_UNIT, CONFIRMED, LINE, PROBE, Choice, Code, Day
from .form import DISPLAYED, Indexed, May, Must


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Receiving(Entry):
    """A delivery is accepted or rejected."""

    KIND = "receiving"
    ABOUT = ("lot", "receiving")
    product: Annotated[str, LINE]
    lot: Annotated[str, LINE, Indexed("delivery")]
    supplier: Annotated[str, LINE]
    birds: Annotated[int, BIRDS]
    state: Annotated[str, Choice(("chilled", "frozen"))]
    probe: Annotated[str | None, PROBE, Indexed("probe")] = None
    decision: Annotated[str, Choice(("accepted", "rejected"))]
    use_by: Annotated[date | None, Day()] = None
    reading: Annotated[Temperature | None, DISPLAYED, May(state="chilled")] = None
    confirmed: Annotated[bool, CONFIRMED, May(state="chilled")] = False
    reason: Annotated[str | None, LINE, May(decision="rejected")] = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RawOut(Entry):
    """Raw birds of a lot leave without having been loaded."""

    KIND = "raw_out"
    ABOUT = ("lot", "receiving")
    lot: Annotated[str, LINE, Indexed("raw")]
    birds: Annotated[int, BIRDS]
    to: Annotated[str, Choice(("discarded", "returned_to_supplier", "other"))]
    reason: Annotated[str | None, LINE] = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class UnitCheck(Entry):
    """The temperature of a unit's air, or of food in it."""

    KIND = "unit_check"
    ABOUT = ("unit_code", "unit")
    IS_READING = True
    unit_code: Annotated[str, Code(kinds=("cold_unit", "hot_unit")), Indexed("unit")]
    of: Annotated[str, Choice(("air", "food"))]
    reading: Annotated[Temperature, DISPLAYED]
    probe: Annotated[str | None, PROBE, Indexed("probe")] = None
    confirmed: Annotated[bool, CONFIRMED] = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Thawing(Entry):
    """Frozen birds of a lot begin to thaw at the moment seen. A record: no rule judges it."""

    KIND = "thawing"
    ABOUT = ("lot", "receiving")
    lot: Annotated[str, LINE]
    birds: Annotated[int, BIRDS]
    how: Annotated[str, Choice(("cold_unit", "running_water", "cooking"))]
    cold_unit: Annotated[str | None, COLD_UNIT, Must(how="cold_unit")] = None
