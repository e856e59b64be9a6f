"""A value beside the code's own: is it stricter, looser or the same? And a temperature typed in one unit as a limit."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from enum import StrEnum
from typing import Any

from app.kinds import Temperature

from ..scales import in_celsius, in_fahrenheit
from .adoption import is_looser, is_lower_stricter
from .limits import TemperatureLimit
from .plan import Provenance, dated, read_code
from .settings import parse_setting

_TENTH = Decimal("0.1")


class Compared(StrEnum):
    """How a value stands beside the code's own."""

    SAME = "same"
    STRICTER = "stricter"
    LOOSER = "looser"
    """Wants a variance, unless the code's own value is a house rule."""
    OTHER = "other"
    """Neither: a time of day, a name, a goal."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """A value beside the code's own."""

    compared: Compared
    code_value: Any
    source: Provenance

    @property
    def wants_variance(self) -> bool:
        """Whether it can be adopted with a named variance alone."""
        return self.compared is Compared.LOOSER and self.source.kind != "house"


_NO_ORDER = frozenset(["day_starts", "time_control_procedure", "cook_target", "cook_humidity"])


def compare(code: str, name: str, text: str, *, on: date) -> Comparison:
    """Hold a setting as it is typed to what its code says. Raises PlanRefused (unknown, type, range)."""
    values, sources = dated(read_code(code)["limits"], on)
    value, own = parse_setting(name, text), values[name]
    if name == "cook_table":  # it takes the place of the code's own core temperature
        compared = Compared.SAME if value is None else Compared.LOOSER
        return Comparison(compared, values["cook_core"], sources["cook_core"])
    return Comparison(_compared(name, value, own), own, sources[name])


def _compared(name: str, value: Any, own: Any) -> Compared:
    if value == own:
        return Compared.SAME
    if name in _NO_ORDER:
        return Compared.OTHER
    return Compared.LOOSER if is_looser(name, value, own) else Compared.STRICTER


def limit_of(name: str, value: Decimal, unit: str, *, beside: Iterable[TemperatureLimit]) -> TemperatureLimit:
    """Give a temperature typed in one unit as a limit in both.

    Where one of `beside` prints this value in that unit, the other is as printed there; else it is worked out, to a
    tenth of a degree on the stricter side.
    """
    printed = next((limit for limit in beside if limit.in_unit(unit) == value), None)
    if printed is not None:
        return printed
    typed = Temperature(value, unit)
    exact = in_celsius(typed) if unit == "F" else in_fahrenheit(typed)
    side = ROUND_FLOOR if is_lower_stricter(name) else ROUND_CEILING
    other = exact.quantize(_TENTH, side)
    return TemperatureLimit(value, other) if unit == "F" else TemperatureLimit(other, value)


_FAR, _TIMES_NEARER = 15, 3


def is_other_unit(value: Decimal, unit: str, *, beside: TemperatureLimit) -> bool:
    """Whether a number is likely of the other unit: far from the limit in this one, and much nearer in the other."""
    here = abs(value - beside.in_unit(unit))
    there = abs(value - beside.in_unit("C" if unit == "F" else "F"))
    return here > _FAR and here > _TIMES_NEARER * there
