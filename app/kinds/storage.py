"""Deliveries, and checks of cold and hot-holding units."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated

from .entry import Entry, Temperature
from .fields import BIRDS, LINE, PROBE, Choice, Code, Day
from .form import DISPLAYED, Indexed, May


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
    reason: Annotated[str | None, LINE, May(decision="rejected")] = None


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
