"""Adopting a plan: a site may be stricter than the code of law, and looser only with a named variance."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from .limits import TemperatureLimit
from .plan import dated, read_code
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


def check_adoption(code: str, settings: Mapping[str, str], *, on: date, variance: str | None = None) -> None:
    """Refuse what is looser than the code's own values without a named variance. House values are the site's.

    Raises PlanRefused (unknown, type, range, looser).
    """
    document = read_code(code)
    values, sources = dated(document["limits"], on)
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
