"""Adopting a plan: a site may be stricter than the code of law, and looser only with a named variance."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from ..lethality import table_pair
from .limits import Limits, TablePair, TemperatureLimit
from .plan import dated, limits_on, read_code
from .settings import PlanRefused, parse_setting

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
_HIGHER_IS_STRICTER = {
    "cook_core",
    "cook_dwell_s",
    "cook_target",
    "birds_checked_per_spit",
    "hot_holding",
    "reheat_core",
    "reheat_dwell_s",
    "cold_checks_per_day",
}
"""Every setting that is a number stands in one of the two."""


def check_setting(code: str, name: str, text: str, *, on: date, variance: str | None = None) -> None:
    """Refuse what is looser than the code's own value without a named variance. House values are the site's.

    A pair of a table, in place of the code's core temperature, is looser. Raises PlanRefused (unknown, type, range,
    looser).
    """
    looser_than = _looser_than(code, name, text, on)
    if looser_than and not variance:
        _values, sources = dated(read_code(code)["limits"], on)
        raise PlanRefused(name, "looser", value=parse_setting(name, text), source=sources[looser_than].source)


def _looser_than(code: str, name: str, text: str, on: date) -> str:
    """Give the name of the code's limit that a setting is looser than; empty where there is none."""
    values, sources = dated(read_code(code)["limits"], on)
    value = parse_setting(name, text)
    if name == "cook_table" and value is not None:
        return "cook_core"
    return name if sources[name].kind != "house" and is_looser(name, value, values[name]) else ""


def looser(code: str, settings: Mapping[str, str], *, on: date) -> tuple[str, ...]:
    """Give the settings that are looser than the code, each of which a variance must allow."""
    return tuple(name for name, text in settings.items() if _looser_than(code, name, text, on))


def check_adoption(code: str, settings: Mapping[str, str], *, on: date, variance: str | None = None) -> None:
    """Refuse settings that cannot be adopted, each by itself and all together.

    Raises PlanRefused (unknown, type, range, looser, missing, under_table, under_limit).
    """
    for name, text in settings.items():
        check_setting(code, name, text, on=on, variance=variance)
    limits, _sources = limits_on(code, settings, on)
    in_order = [("band_reheat_min", "band_discard_min")]
    if read_code(code)["second_stage"] == "total":
        in_order.append(("cool_first_min", "cool_total_min"))
    for low, high in in_order:
        if getattr(limits, low) > getattr(limits, high):
            raise PlanRefused(low, "range", low=1, high=getattr(limits, high))
    if limits.cook_table is not None:
        _check_pair(limits.cook_table, limits, settings)
    target = limits.cook_target
    if target is not None and is_looser("cook_target", target, limits.cook_core):  # it would say to stop too early
        raise PlanRefused("cook_target", "under_limit", value=settings["cook_target"], limit=limits.cook_core)


def _check_pair(pair: TablePair, limits: Limits, settings: Mapping[str, str]) -> None:
    """Refuse a pair whose humidity condition nobody says how to meet, and limits below it, variance or not."""
    if not limits.cook_humidity:
        raise PlanRefused("cook_humidity", "missing")
    for name, lowest in table_pair.lowest_limits_of(pair).items():
        if is_looser(name, getattr(limits, name), lowest):
            raise PlanRefused(name, "under_table", value=settings[name], source=table_pair.source_of(pair))


def is_lower_stricter(name: str) -> bool:
    """Whether of two values of a setting the lower one is the stricter. Raises LookupError where nobody said."""
    if name not in _LOWER_IS_STRICTER | _HIGHER_IS_STRICTER:
        raise LookupError(f"{name}: neither lower nor higher is said to be stricter")
    return name in _LOWER_IS_STRICTER


def is_looser(name: str, value: Any, code: Any) -> bool:
    """Whether a value is looser than the code's own, in either unit; a list: whether it leaves something out."""
    pairs: tuple[tuple[Decimal, Decimal], ...]
    if isinstance(value, TemperatureLimit):
        pairs = ((value.F, code.F), (value.C, code.C))
    elif isinstance(value, (int, Decimal)):
        pairs = ((Decimal(value), Decimal(code)),)
    elif name == "time_control_ways":
        return not set(value) <= set(code)
    else:
        return not set(code) <= set(value)
    if is_lower_stricter(name):
        return any(mine > theirs for mine, theirs in pairs)
    return any(mine < theirs for mine, theirs in pairs)
