"""The plan: dated limits with their sources, read from `app/plans/`, and what a site set on top of them."""

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime, time
from decimal import Decimal, InvalidOperation
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from .facts import Temperature

_FOLDER = Path(__file__).parent.parent / "plans"
_SHARED = "house"

GROUPS = (
    "cooking",
    "holding",
    "time_control",
    "cooling",
    "reheating",
    "cold_storage",
    "receiving",
    "probes",
    "balance",
    "foreign_body",
)


class PlanRefused(ValueError):
    """A setting that cannot be adopted: `name` is the setting, `code` says why (unknown, type, range, looser)."""

    def __init__(self, name: str, code: str, **values: object) -> None:
        super().__init__(f"{name}: {code}")
        self.name, self.code, self.values = name, code, values


@dataclass(frozen=True, slots=True)
class TemperatureLimit:
    """A limit as its source prints it in each unit. A reading is held against the value in its own unit."""

    F: Decimal
    C: Decimal

    def in_unit(self, unit: str) -> Decimal:
        """Give the printed value in the reading's unit."""
        return self.F if unit == "F" else self.C

    def at_or_above(self, reading: Temperature) -> bool:
        """Whether the reading is at or above the limit, unrounded."""
        return reading.value >= (self.F if reading.unit == "F" else self.C)

    def at_or_below(self, reading: Temperature) -> bool:
        """Whether the reading is at or below the limit, unrounded."""
        return reading.value <= (self.F if reading.unit == "F" else self.C)

    def printed(self) -> dict[str, Decimal]:
        """Give both values as a finding's `limit` shows them."""
        return {"F": self.F, "C": self.C}


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where a value comes from: `kind` is law, model_code, guidance or house; `house_set` where the site set it."""

    source: str
    kind: str
    since: date
    house_set: bool = False


@dataclass(frozen=True, slots=True)
class Band:
    """One band of the 2-hour/4-hour rule: what may become of the food, and where birds may go."""

    dispositions: tuple[str, ...]
    ways_out: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The values of a plan. Names are those of `plan --set`; minutes and seconds stand in the name."""

    cook_core: TemperatureLimit
    cook_dwell_s: int
    birds_checked_per_spit: int
    places_per_bird: tuple[str, ...]
    hot_holding: TemperatureLimit
    check_interval_min: int
    grace_min: int
    band_reheat_min: int
    band_discard_min: int
    time_control_min: int
    time_control_procedure: str
    cool_first: TemperatureLimit
    cool_first_min: int
    cool_total: TemperatureLimit
    cool_total_min: int
    reheat_core: TemperatureLimit
    reheat_dwell_s: int
    reheat_min: int
    cold_holding: TemperatureLimit
    receive_cold: TemperatureLimit
    probe_tolerance_c: Decimal
    probe_tolerance_f: Decimal
    cold_checks_per_day: int
    late_min: int
    date_mark_days: int
    day_starts: time
    start_checks: tuple[str, ...]
    opening_checks: tuple[str, ...]
    closing_checks: tuple[str, ...]
    interruption_min: int
    controls: frozenset[str]


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A plan version in force on a date: limits, provenance, dispositions and bands."""

    code: str
    title: str
    kind: str
    version: int
    adopted_by: str
    adopted_at: datetime
    variance: str | None
    authority: str | None
    second_stage: str
    """`total`: cool_total_min counts from the start; `further`: from reaching cool_first."""
    periods_out: str
    """`added_up`: times out of temperature add up; `one`: food out a second time is past the last limit at once."""
    limits: Limits
    sources: Mapping[str, Provenance]
    dispositions: Mapping[str, tuple[str, ...]]
    bands: Mapping[str, Band]

    def has(self, group: str) -> bool:
        """Whether the control group is in force."""
        return group in self.limits.controls

    def source(self, name: str) -> str:
        """Give the citation of a limit."""
        return self.sources[name].source


@dataclass(frozen=True, slots=True)
class Adopted:
    """A plan version as the site adopted it: the code's name and the settings on top, not yet resolved."""

    version: int
    code: str
    settings: tuple[tuple[str, str], ...]
    adopted_by: str
    adopted_at: datetime
    variance: str | None = None
    authority: str | None = None


def in_force(plans: Sequence[Adopted], at: datetime) -> Adopted:
    """Give the plan in force at a moment; the first one also holds for all time before it."""
    return next((plan for plan in reversed(plans) if plan.adopted_at <= at), plans[0])


@cache
def resolve(adopted: Adopted, on: date) -> Plan:
    """Read the code's values of that date and lay the site's settings over them.

    Raises PlanRefused for an unknown code or a bad setting.
    """
    code = read_code(adopted.code)
    values, sources = _dated(code["limits"], on)
    for name, text in adopted.settings:
        values[name] = parse_setting(name, text)
        sources[name] = Provenance("house: set by the site", "house", on, house_set=True)
    limits = Limits(**values)
    return Plan(
        code=adopted.code,
        title=code["title"],
        kind=code["kind"],
        version=adopted.version,
        adopted_by=adopted.adopted_by,
        adopted_at=adopted.adopted_at,
        variance=adopted.variance,
        authority=adopted.authority,
        second_stage=code["second_stage"],
        periods_out=code["periods_out"],
        limits=limits,
        sources=MappingProxyType(sources),
        dispositions=MappingProxyType({rule: tuple(names) for rule, names in code["dispositions"].items()}),
        bands=MappingProxyType({name: _band(band, limits) for name, band in code["bands"].items()}),
    )


def codes() -> tuple[str, ...]:
    """Give the names of the codes that can be adopted."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.toml") if path.stem != _SHARED))


@cache
def read_code(name: str) -> Mapping[str, Any]:
    """Read a code of law with what it builds on. Raises PlanRefused where there is none of that name."""
    if name not in codes():
        raise PlanRefused("code", "unknown", value=name)
    return _read(name)


def _read(name: str) -> Mapping[str, Any]:
    document = tomllib.loads((_FOLDER / f"{name}.toml").read_text("utf-8"), parse_float=Decimal)
    base = document.pop("base", None)
    return document if base is None else _merge(_read(base), document)


def _merge(below: Mapping[str, Any], above: Mapping[str, Any]) -> dict[str, Any]:
    merged = dict(below)
    for key, value in above.items():
        old = merged.get(key)
        merged[key] = _merge(old, value) if isinstance(old, dict) and isinstance(value, dict) else value
    return merged


def _dated(limits: Mapping[str, Any], on: date) -> tuple[dict[str, Any], dict[str, Provenance]]:
    values: dict[str, Any] = {}
    sources: dict[str, Provenance] = {}
    for name, versions in limits.items():
        row = next((row for row in reversed(versions) if row["from"] <= on), versions[0])
        values[name] = _typed(name, row)
        sources[name] = Provenance(row["source"], row["kind"], row["from"])
    return values, sources


def _typed(name: str, row: Mapping[str, Any]) -> Any:
    kind = _TYPES[name]
    if kind == "TemperatureLimit":
        return TemperatureLimit(Decimal(row["F"]), Decimal(row["C"]))
    value = row["value"]
    if kind == "time":
        return time.fromisoformat(value)
    if kind == "Decimal":
        return Decimal(value)
    if kind in ("tuple", "frozenset"):
        return tuple(value) if kind == "tuple" else frozenset(value)
    return value


def _band(band: Mapping[str, Any], limits: Limits) -> Band:
    named = bool(limits.time_control_procedure)
    return Band(
        (*band["dispositions"], *(band.get("with_procedure_dispositions", ()) if named else ())),
        (*band["ways_out"], *(band.get("with_procedure_ways_out", ()) if named else ())),
    )


def _type_name(annotation: Any) -> str:
    return str(getattr(annotation, "__origin__", annotation).__name__)


_TYPES = {field.name: _type_name(field.type) for field in fields(Limits)}

SETTINGS = tuple(_TYPES)
"""Names that `plan --set` takes."""

_LOWER_IS_STRICTER = {
    "check_interval_min",
    "grace_min",
    "band_reheat_min",
    "band_discard_min",
    "time_control_min",
    "cool_first",
    "cool_first_min",
    "cool_total",
    "cool_total_min",
    "reheat_min",
    "cold_holding",
    "receive_cold",
    "probe_tolerance_c",
    "probe_tolerance_f",
    "late_min",
    "date_mark_days",
    "interruption_min",
}

_HIGHEST = {"birds_checked_per_spit": 500, "date_mark_days": 366, "cold_checks_per_day": 96}
_PLACES = ("breast", "thigh")


def parse_setting(name: str, text: str) -> Any:
    """Read one setting, e.g. `hot_holding` `140F/60C`. Raises PlanRefused (unknown, type, range)."""
    if name not in _TYPES:
        raise PlanRefused(name, "unknown")
    readers = {
        "TemperatureLimit": _read_temperature,
        "int": _read_count,
        "Decimal": _read_decimal,
        "time": _read_time,
        "tuple": _read_list,
        "frozenset": _read_list,
        "str": _read_text,
    }
    kind = _TYPES[name]
    value: Any = readers[kind](name, text.strip())
    return frozenset(value) if kind == "frozenset" else value


def _read_temperature(name: str, text: str) -> TemperatureLimit:
    fahrenheit, slash, celsius = text.partition("/")
    if not (slash and fahrenheit[-1:].upper() == "F" and celsius[-1:].upper() == "C"):
        raise PlanRefused(name, "type", expected="165F/74C")
    f, c = _read_decimal(name, fahrenheit[:-1]), _read_decimal(name, celsius[:-1])
    if not (-60 <= f <= 600 and -50 <= c <= 315):
        raise PlanRefused(name, "range", low="-60F/-50C", high="600F/315C")
    if abs((f - 32) * 5 / 9 - c) > 1:  # the codes round by up to half a degree; more is a slip of the keyboard
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
    allowed = {"places_per_bird": _PLACES, "controls": GROUPS}.get(name)
    for item in items:
        if allowed is not None and item not in allowed:
            raise PlanRefused(name, "unknown", value=item)
        if not (item.isascii() and item.replace("_", "").replace("-", "").isalnum() and len(item) <= 32):
            raise PlanRefused(name, "type", expected="names with commas between")
    if not items and name == "places_per_bird":
        raise PlanRefused(name, "missing")
    return items


def _read_text(name: str, text: str) -> str:
    if len(text) > 200 or not text.isprintable():
        raise PlanRefused(name, "type", expected="one line of text")
    return text


def check_adoption(code: str, settings: Mapping[str, str], *, on: date, variance: str | None = None) -> None:
    """Refuse what is looser than the code's own values without a named variance. House values are the site's.

    Raises PlanRefused (unknown, type, range, looser).
    """
    document = read_code(code)
    values, sources = _dated(document["limits"], on)
    for name, text in settings.items():
        value = parse_setting(name, text)
        if sources[name].kind != "house" and not variance and _is_looser(name, value, values[name]):
            raise PlanRefused(name, "looser", value=text, source=sources[name].source)
    both = {**values, **{name: parse_setting(name, text) for name, text in settings.items()}}
    in_order = [("band_reheat_min", "band_discard_min")]
    if document["second_stage"] == "total":
        in_order.append(("cool_first_min", "cool_total_min"))
    for low, high in in_order:
        if both[low] > both[high]:
            raise PlanRefused(low, "range", low=1, high=both[high])


def _is_looser(name: str, value: Any, code: Any) -> bool:
    pairs: tuple[tuple[Decimal, Decimal], ...]
    if isinstance(value, TemperatureLimit):
        pairs = ((value.F, code.F), (value.C, code.C))
    elif isinstance(value, (int, Decimal)):
        pairs = ((Decimal(value), Decimal(code)),)
    else:
        return not set(code) <= set(value)
    if name in _LOWER_IS_STRICTER:
        return any(mine > theirs for mine, theirs in pairs)
    return any(mine < theirs for mine, theirs in pairs)
