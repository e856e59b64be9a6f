"""Equipment in use: checks of probes, and what goes out of use and comes back."""

from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Annotated, Any

from .entry import Cases, Entry, Temperature
from .fields import LINES, PROBE, Choice, Code, Flag, Measured
from .form import DISPLAYED, REFERENCE, Indexed, May, Must


def _with_or_without(no_display: Any) -> str:
    return "without" if no_display is None else "with" if no_display is True else ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProbeCheck(Entry):
    """A probe is held against ice, boiling water, or another thermometer."""

    KIND = "probe_check"
    ABOUT = ("probe", "probe")
    CASES = MappingProxyType({"no_display": Cases(("without", "with"), _with_or_without)})
    probe: Annotated[str, PROBE, Indexed("check")]
    method: Annotated[str, Choice(("ice_point", "boiling_point", "comparison"))]
    no_display: Annotated[bool, Flag(only_true=True)] = False
    adjusted: Annotated[bool, Flag()]
    reading: Annotated[Temperature | None, DISPLAYED, Must(no_display="without")] = None
    pressure_hpa: Annotated[Decimal | None, Measured(300, 1100, "hPa"), May(method="boiling_point")] = None
    altitude_m: Annotated[Decimal | None, Measured(-500, 9000, "m"), May(method="boiling_point")] = None
    reference: Annotated[Temperature | None, REFERENCE, Must(method="comparison")] = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EquipmentOut(Entry):
    """A piece of equipment goes out of use."""

    KIND = "equipment_out"
    ABOUT = ("code", "equipment")
    IS_WORK = False
    code: Annotated[str, Code(), Indexed("equipment")]
    cause: Annotated[str | None, LINES] = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EquipmentBack(Entry):
    """A piece of equipment is in use again."""

    KIND = "equipment_back"
    ABOUT = ("code", "equipment")
    IS_WORK = False
    code: Annotated[str, Code(), Indexed("equipment")]
    cause: Annotated[str | None, LINES] = None
