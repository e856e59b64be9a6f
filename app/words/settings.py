"""The values of a plan in words, as the plan page and the printed log show them."""

from collections.abc import Iterable
from datetime import time
from decimal import Decimal
from typing import cast

from app.rules.plans.limits import GROUPS, Limits, TablePair, TemperatureLimit

from . import measures, names
from .checks import check_words
from .clock import time_of_day
from .marking import N_, say
from .marking import gettext as _

_SPECIES = {"chicken": N_("chicken"), "turkey": N_("turkey"), "other": N_("mixed or other poultry")}
_HUMIDITY = {
    "humid_part": N_("relative humidity of 90 percent or more for a part of the cook"),
    "direct_heat": N_("none: the birds turn over the flame"),
    "moist_cooking": N_("none: cooked moist"),
    "large_product": N_("none: birds of 10 lb or more in an oven held at 250 °F or more"),
}
_CHECK_LISTS = ("start_checks", "opening_checks", "closing_checks")


def setting_value(limits: Limits, name: str) -> str:
    """Give the value of a plan setting in words: `165 °F / 74 °C`, `1 h 30 min`, `breast`."""
    return value_words(name, getattr(limits, name))


def value_words(name: str, value: object) -> str:
    """Give a value that a setting may have in words."""
    if value is None:
        return _("none")
    if isinstance(value, TablePair):
        return _pair(value)
    if name == "cook_humidity":
        return say(_HUMIDITY, str(value)) if value else _("not asked for")
    if isinstance(value, TemperatureLimit):
        return measures.limit(value)
    if isinstance(value, time):
        return time_of_day(value)
    if isinstance(value, int):
        return _count(name, value)
    if isinstance(value, Decimal):
        return _("± %(degrees)s", degrees=measures.degrees(value, name[-1].upper()))
    if isinstance(value, str):
        return value or _("none named")
    return _names(name, cast(Iterable[str], value))


def species_word(species: str) -> str:
    """Give the word for what a published table of times is for."""
    return say(_SPECIES, species)


def humidity_word(way: str) -> str:
    """Give the words for how a table's humidity is met."""
    return say(_HUMIDITY, way)


def _pair(pair: TablePair) -> str:
    """Give a pair of a table in words: `chicken, 150 °F, 12 % fat`."""
    row = measures.degrees(pair.row_f, "F")
    fat = _("fat not known") if pair.fat_percent is None else _("%(fat)s %% fat", fat=measures.number(pair.fat_percent))
    return f"{say(_SPECIES, pair.species)}, {row}, {fat}"


def _count(name: str, value: int) -> str:
    if name.endswith("_min"):
        return measures.minutes(value)
    if name.endswith("_s"):
        return measures.duration(value)
    return measures.number(value)


def _names(name: str, codes: Iterable[str]) -> str:
    if name == "controls":
        return ", ".join(names.group_word(group) for group in GROUPS if group in codes)
    if name == "time_control_ways":
        return ", ".join(map(names.to_word, codes))
    words = [check_words(code).title if name in _CHECK_LISTS else names.place_word(code) for code in codes]
    return "; ".join(words) if name in _CHECK_LISTS else ", ".join(words)
