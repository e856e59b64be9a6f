"""The settings of a plan as a site types them, e.g. `hot_holding` `140F/60C`."""

from dataclasses import fields
from datetime import time
from decimal import Decimal, InvalidOperation
from types import UnionType
from typing import Any, get_args

from app.kinds import Temperature

from ..lethality import table_pair
from ..lethality import tables as lethality
from ..lethality.conditions import HumidityWay
from .limits import GROUPS, Limits, TablePair, TemperatureLimit


class PlanRefused(ValueError):
    """A setting that cannot be adopted: `name` is the setting, `code` says why.

    Codes: unknown, type, range, looser, missing, under_table, under_limit.
    """

    def __init__(self, name: str, code: str, **values: object) -> None:
        super().__init__(f"{name}: {code}")
        self.name, self.code, self.values = name, code, values


def _type_name(annotation: Any) -> str:
    if isinstance(annotation, UnionType):
        annotation = get_args(annotation)[0]
    return str(getattr(annotation, "__origin__", annotation).__name__)


TYPES = {field.name: _type_name(field.type) for field in fields(Limits)}

SETTINGS = tuple(TYPES)
"""Names that `plan --set` takes."""

_HIGHEST = {"birds_checked_per_spit": 500, "date_mark_days": 366, "cold_checks_per_day": 96}
_PLACES = ("breast", "thigh")
WAYS_OUT = ("served", "prepared", "donated", "discarded")
"""Where birds held by time alone may be allowed to go: none of them goes back under temperature control."""
_MAY_BE_NONE = ("cook_target", "cook_table")


def parse_setting(name: str, text: str) -> Any:
    """Read one setting, e.g. `hot_holding` `140F/60C`. Raises PlanRefused (unknown, type, range)."""
    if name not in TYPES:
        raise PlanRefused(name, "unknown")
    readers = {
        "TemperatureLimit": _read_temperature,
        "int": _read_count,
        "Decimal": _read_decimal,
        "time": _read_time,
        "tuple": _read_list,
        "frozenset": _read_list,
        "str": _read_text,
        "TablePair": _read_pair,
    }
    kind = TYPES[name]
    if name in _MAY_BE_NONE and not text.strip():
        return None
    value: Any = readers[kind](name, text.strip())
    return frozenset(value) if kind == "frozenset" else value


def _read_temperature(name: str, text: str) -> TemperatureLimit:
    fahrenheit, slash, celsius = text.partition("/")
    if not (slash and fahrenheit[-1:].upper() == "F" and celsius[-1:].upper() == "C"):
        raise PlanRefused(name, "type", expected="165F/74C")
    f, c = _read_decimal(name, fahrenheit[:-1]), _read_decimal(name, celsius[:-1])
    if not (-60 <= f <= 600 and -50 <= c <= 315):
        raise PlanRefused(name, "range", low="-60F/-50C", high="600F/315C")
    if abs(Temperature(f, "F").celsius - c) > 1:  # codes round by up to half a degree; more is a slip of the keyboard
        raise PlanRefused(name, "differs", expected="165F/74C")
    return TemperatureLimit(f, c)


def _read_decimal(name: str, text: str) -> Decimal:
    try:
        value = Decimal(text)
    except InvalidOperation:
        raise PlanRefused(name, "type", expected="number") from None
    if not value.is_finite() or round(value, 2) != value:
        raise PlanRefused(name, "type", expected="number")
    if name.startswith("probe_tolerance") and not 0 < value <= 10:
        raise PlanRefused(name, "range", low="0.01", high="10")
    return value


def _read_count(name: str, text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 6):
        raise PlanRefused(name, "type", expected="whole number")
    low = 0 if name in ("cook_dwell_s", "reheat_dwell_s", "grace_min", "cold_checks_per_day", "late_min") else 1
    high = _HIGHEST.get(name, 86400 if name.endswith("_s") else 10080)
    if not low <= int(text) <= high:
        raise PlanRefused(name, "range", low=low, high=high)
    return int(text)


def _read_time(name: str, text: str) -> time:
    hours, colon, minutes = text.partition(":")
    if not (colon and text.isascii() and hours.isdigit() and len(minutes) == 2 and minutes.isdigit()):
        raise PlanRefused(name, "type", expected="04:00")
    if int(hours) > 23 or int(minutes) > 59:
        raise PlanRefused(name, "range", low="00:00", high="23:59")
    return time(int(hours), int(minutes))


def _read_list(name: str, text: str) -> tuple[str, ...]:
    items = tuple(dict.fromkeys(item.strip() for item in text.split(",") if item.strip()))
    allowed = {"places_per_bird": _PLACES, "controls": GROUPS, "time_control_ways": WAYS_OUT}.get(name)
    for item in items:
        if allowed is not None and item not in allowed:
            raise PlanRefused(name, "unknown", value=item)
        if not (item.isascii() and item.replace("_", "").replace("-", "").isalnum() and len(item) <= 32):
            raise PlanRefused(name, "type", expected="names with commas between")
    if not items and name in ("places_per_bird", "time_control_ways"):
        raise PlanRefused(name, "missing")
    return items


def _read_pair(name: str, text: str) -> TablePair:
    """Read e.g. `chicken 150F 12%`; without the fat it is not known, and the fattest column counts."""
    species, row, fat = [*text.split(), *[""] * 3][:3]
    if len(text.split()) > 3 or row[-1:].upper() != "F" or fat[-1:] not in ("", "%"):
        raise PlanRefused(name, "type", expected="chicken 150F 12%")
    if species not in [*lethality.Species]:
        raise PlanRefused(name, "unknown", value=species)
    rows = table_pair.printed_rows()
    row_f, percent = _read_decimal(name, row[:-1]), _read_decimal(name, fat[:-1]) if fat else None
    if row_f not in rows:
        raise PlanRefused(name, "range", low=f"{min(rows)}F", high=f"{max(rows)}F")
    if percent is not None and not 0 <= percent <= 100:
        raise PlanRefused(name, "range", low="0%", high="100%")
    return TablePair(species, row_f, percent)


def _read_text(name: str, text: str) -> str:
    if name == "cook_humidity" and text and text not in tuple(HumidityWay):
        raise PlanRefused(name, "unknown", value=text)
    if len(text) > 200 or not text.isprintable():
        raise PlanRefused(name, "type", expected="one line of text")
    return text
