"""The plan: dated limits with their sources, read from `app/codes/`, and what a site set on top of them."""

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from ..lethality import table_pair
from .adopted_values import Adopted as Adopted
from .adopted_values import Attachment as Attachment
from .adopted_values import Band as Band
from .adopted_values import Dispositions, controls_of_code, read_values, value_of_code
from .adopted_values import Provenance as Provenance
from .limits import GROUPS, Limits, TemperatureLimit
from .settings import TYPES, PlanRefused, parse_setting

_FOLDER = Path(__file__).parent.parent.parent / "codes"
_SHARED = "house"
_BEFORE_ADOPTION = _FOLDER / "before_adoption"
"""The codes as they stood when plans did not hold their own values yet; never changed any more."""


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
    loosened: tuple[str, ...]
    """The settings that the variance allows to be looser than the code, as far as the adoption said so."""
    authority: str | None
    second_stage: str
    """`total`: cool_total_min counts from the start; `further`: from reaching cool_first."""
    periods_out: str
    """`added_up`: times out of temperature add up; `one`: food out a second time is past the last limit at once."""
    limits: Limits
    sources: Mapping[str, Provenance]
    dispositions: Dispositions
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
    """Give what a version holds: as written at its adoption, else the code's values of a date with its settings.

    Raises PlanRefused for an unknown code or a bad setting.
    """
    if adopted.values:
        return _as_written(adopted)
    return _by_code(adopted, read_code(adopted.code), on)


def before_adoption(adopted: Adopted, on: date, *, settings: bool = True) -> Plan:
    """Give what a version held while plans were still read from the codes at each assessment: by those codes.

    With `settings` false, what the code itself gave. Only an upgrade of a database of that time asks for it.
    """
    code, now = _read(adopted.code, _BEFORE_ADOPTION), _read(now_called(adopted.code))
    known = {**code, "limits": {**now["limits"], **code["limits"]}}
    return _by_code(adopted if settings else replace(adopted, settings=()), known, on)


def _by_code(adopted: Adopted, code: Mapping[str, Any], on: date) -> Plan:
    limits, sources = _limits_of(code, dict(adopted.settings), on)
    return _plan(
        adopted,
        title=code["title"],
        kind=code["kind"],
        second_stage=code["second_stage"],
        periods_out=code["periods_out"],
        limits=limits,
        sources=MappingProxyType(sources),
        dispositions=MappingProxyType(
            {rule: dict.fromkeys(_VERDICTS, tuple(names)) for rule, names in code.get("dispositions", {}).items()}
        ),
        bands=MappingProxyType({name: _band(band, limits) for name, band in code["bands"].items()}),
    )


def code_says(adopted: Adopted, name: str) -> tuple[Any, Provenance] | None:
    """Give what its code itself says of a setting, and where; None where the version says the same.

    Of an adopted version: what the code said when it was adopted. Raises PlanRefused for an unknown code.
    """
    if adopted.values:
        return value_of_code(adopted.values, name)
    on = adopted.adopted_at.date()
    limits, sources = limits_on(adopted.code, {}, on)
    is_same = resolve(adopted, on).sources[name] == sources[name]
    return None if is_same else (getattr(limits, name), sources[name])


def new_groups(adopted: Adopted, on: date) -> tuple[str, ...]:
    """Give the groups of rules that its code asks for on a date and did not yet when a version was adopted.

    They come into force with the next adoption. Raises PlanRefused for an unknown code.
    """
    if not adopted.values:
        return ()
    since = limits_on(adopted.code, {}, on)[0].controls - controls_of_code(adopted.values)
    return tuple(group for group in GROUPS if group in since - resolve(adopted, on).limits.controls)


_VERDICTS = ("not_met", "not_shown")


@cache
def _as_written(adopted: Adopted) -> Plan:
    written = read_values(adopted.values, _otherwise(adopted))
    return _plan(adopted, **{field.name: getattr(written, field.name) for field in fields(written)})


def _plan(adopted: Adopted, **held: Any) -> Plan:
    return Plan(
        code=adopted.code,
        version=adopted.version,
        adopted_by=adopted.adopted_by,
        adopted_at=adopted.adopted_at,
        variance=adopted.variance,
        loosened=adopted.loosened,
        authority=adopted.authority,
        **held,
    )


def _otherwise(adopted: Adopted) -> tuple[Limits, Mapping[str, Provenance]]:
    """Give what fills in for settings that came with a later edition: the code's own, else the house's."""
    name = adopted.code if adopted.code in codes() else DEFAULT_CODE
    return limits_on(name, {}, adopted.adopted_at.date())


DEFAULT_CODE = "us_food_code_2022"


def limits_on(code: str, settings: Mapping[str, str], on: date) -> tuple[Limits, dict[str, Provenance]]:
    """Give the code's limits of a date with a site's settings over them. Raises PlanRefused as `resolve` does."""
    return _limits_of(read_code(code), settings, on)


def _limits_of(code: Mapping[str, Any], settings: Mapping[str, str], on: date) -> tuple[Limits, dict[str, Provenance]]:
    values, sources = dated(code["limits"], on)
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


_NOW_CALLED = {"uk_2013": "england_2013"}
"""Codes that got another name; plans adopted under the old one go on."""


def now_called(code: str) -> str:
    """Give the name that a code has today."""
    return _NOW_CALLED.get(code, code)


def codes() -> tuple[str, ...]:
    """Give the names of the codes that can be adopted."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.toml") if path.stem != _SHARED))


@cache
def read_code(name: str) -> Mapping[str, Any]:
    """Read a code of law with what it builds on. Raises PlanRefused where there is none of that name."""
    if now_called(name) not in codes():
        raise PlanRefused("code", "unknown", value=name)
    return _read(now_called(name))


def _read(name: str, folder: Path | None = None) -> Mapping[str, Any]:
    document = tomllib.loads(((folder or _FOLDER) / f"{name}.toml").read_text("utf-8"), parse_float=Decimal)
    base = document.pop("base", None)
    return document if base is None else _merge(_read(base, folder), document)


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
