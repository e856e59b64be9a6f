"""The plan: dated limits with their sources, read from `app/codes/`, and what a site set on top of them."""

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from ..lethality import table_pair
from .limits import Limits, TemperatureLimit
from .settings import TYPES, PlanRefused, parse_setting

_FOLDER = Path(__file__).parent.parent.parent / "codes"
_SHARED = "house"


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

    def items(self, checks: str) -> tuple[str, ...]:
        """Give the items of `start_checks`, `opening_checks` or `closing_checks`."""
        found: tuple[str, ...] = getattr(self.limits, checks)
        return found

    @property
    def late_after(self) -> timedelta:
        """How long after it was seen an entry may be written without being late."""
        return timedelta(minutes=self.limits.late_min)

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
    if len(plans) == 1:  # nearly always, and it is asked for every entry of a day
        return plans[0]
    return next((plan for plan in reversed(plans) if plan.adopted_at <= at), plans[0])


def any_on_table(plans: Iterable[Adopted]) -> bool:
    """Whether one of some plans rests on a table pair."""
    return any(name == "cook_table" for plan in plans for name, _text in plan.settings)


@cache
def resolve(adopted: Adopted, on: date) -> Plan:
    """Read the code's values of that date and lay the site's settings over them.

    Raises PlanRefused for an unknown code or a bad setting.
    """
    code = read_code(adopted.code)
    limits, sources = limits_on(adopted.code, dict(adopted.settings), on)
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
        dispositions=MappingProxyType({rule: tuple(names) for rule, names in code.get("dispositions", {}).items()}),
        bands=MappingProxyType({name: _band(band, limits) for name, band in code["bands"].items()}),
    )


def limits_on(code: str, settings: Mapping[str, str], on: date) -> tuple[Limits, dict[str, Provenance]]:
    """Give the code's limits of a date with a site's settings over them. Raises PlanRefused as `resolve` does."""
    values, sources = dated(read_code(code)["limits"], on)
    for name, text in settings.items():
        values[name] = parse_setting(name, text)
        sources[name] = Provenance("house: set by the site", "house", on, house_set=True)
    _rest_on_table(values, sources, on)
    return Limits(**values), sources


def _rest_on_table(values: dict[str, Any], sources: dict[str, Provenance], on: date) -> None:
    """Put the limits of the plan's table pair, if it has one, where the site set none of its own."""
    pair = values["cook_table"]
    if pair is None:
        return
    tolerances = {"tolerance_f": values["probe_tolerance_f"], "tolerance_c": values["probe_tolerance_c"]}
    for name, value in table_pair.limits_of(pair, **tolerances).items():
        if not sources[name].house_set:
            values[name] = value
            sources[name] = Provenance(table_pair.source_of(pair), "guidance", table_pair.since(pair))


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


def dated(limits: Mapping[str, Any], on: date) -> tuple[dict[str, Any], dict[str, Provenance]]:
    values: dict[str, Any] = {}
    sources: dict[str, Provenance] = {}
    for name, versions in limits.items():
        row = next((row for row in reversed(versions) if row["from"] <= on), versions[0])
        values[name] = _typed(name, row)
        sources[name] = Provenance(row["source"], row["kind"], row["from"])
    return values, sources


def _typed(name: str, row: Mapping[str, Any]) -> Any:
    kind = TYPES[name]
    if row.get("none"):
        return None
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
