"""The settings of a plan in words: what each is called, its value, and how that stands beside the code of law."""

from collections.abc import Iterable
from datetime import time
from decimal import Decimal
from typing import cast

from app.rules.plans.limits import GROUPS, Limits, TablePair, TemperatureLimit

from . import measures
from .checks import check_words
from .clock import time_of_day
from .marking import N_, say
from .marking import gettext as _
from .names import place_word
from .ways import to_word

_SETTINGS = {
    "cook_core": N_("Core temperature when pulled, at least"),
    "cook_dwell_s": N_("Core temperature held for"),
    "cook_target": N_("House goal when pulled"),
    "cook_table": N_("Published time at a temperature that takes the limit's place"),
    "cook_humidity": N_("How the humidity that this table asks for is met"),
    "birds_checked_per_spit": N_("Birds probed per spit"),
    "places_per_bird": N_("Places probed per bird"),
    "hot_holding": N_("Hot holding, at least"),
    "check_interval_min": N_("Time between hot-holding checks"),
    "grace_min": N_("Grace on a hot-holding check"),
    "band_reheat_min": N_("Time out of temperature: first limit"),
    "band_discard_min": N_("Time out of temperature: last limit"),
    "time_control_min": N_("Time as the control: longest time"),
    "time_control_ways": N_("Time as the control: where birds may go"),
    "time_control_procedure": N_("Written procedure for time as the control"),
    "cool_first": N_("Cooling, first stage: down to"),
    "cool_first_min": N_("Cooling, first stage: within"),
    "cool_total": N_("Cooling, second stage: down to"),
    "cool_total_min": N_("Cooling, second stage: within"),
    "reheat_core": N_("Reheating, at least"),
    "reheat_dwell_s": N_("Reheating: held for"),
    "reheat_min": N_("Reheating: within"),
    "cold_holding": N_("Cold holding, at most"),
    "receive_cold": N_("Chilled deliveries, at most"),
    "probe_tolerance_c": N_("Probe accuracy, °C or dual scale: within"),
    "probe_tolerance_f": N_("Probe accuracy, °F-only scale: within"),
    "cold_checks_per_day": N_("Checks of a cold unit in a day"),
    "late_min": N_("An entry is late when written after"),
    "date_mark_days": N_("Days a chilled batch may be kept"),
    "day_starts": N_("The business day starts at"),
    "start_checks": N_("Checks before an oven is started"),
    "opening_checks": N_("Opening checks"),
    "closing_checks": N_("Closing checks"),
    "interruption_min": N_("Longest interruption of an oven"),
    "controls": N_("Control groups in force"),
}

_GROUPS = {
    "cooking": N_("cooking"),
    "holding": N_("hot holding"),
    "time_control": N_("time as the control"),
    "cooling": N_("cooling"),
    "reheating": N_("reheating"),
    "cold_storage": N_("cold storage"),
    "receiving": N_("receiving"),
    "probes": N_("probes"),
    "balance": N_("balance of birds"),
    "foreign_body": N_("foreign bodies (ties and skewers)"),
    "set_aside": N_("food set aside"),
    "lateness": N_("readings written late"),
    "checklists": N_("opening and closing lists"),
}

_COMPARED = {
    "same": N_("the same as the code"),
    "stricter": N_("stricter than the code"),
    "looser": N_("looser than the code"),
    "other": N_("set by the house"),
}

_PROVENANCE = {
    "law": N_("law"),
    "model_code": N_("model code"),
    "guidance": N_("guidance"),
    "house": N_("house rule"),
}

_SPECIES = {"chicken": N_("chicken"), "turkey": N_("turkey"), "other": N_("mixed or other poultry")}
_HUMIDITY = {
    "humid_part": N_("relative humidity, as a percentage, of 90 or more for a part of the cook"),
    "direct_heat": N_("none: the birds turn over the flame"),
    "moist_cooking": N_("none: cooked moist"),
    "large_product": N_("none: birds of 10 lb or more in an oven held at 250 °F or more"),
}
_CHECK_LISTS = ("start_checks", "opening_checks", "closing_checks")


def setting_word(name: str) -> str:
    """Give the name of a plan setting."""
    return say(_SETTINGS, name)


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
        return _("±%(degrees)s", degrees=measures.degrees(value, name[-1].upper()))
    if isinstance(value, str):
        return value or _("none named")
    return _names(name, cast(Iterable[str], value))


def species_word(species: str) -> str:
    """Give the word for what a published table of times is for."""
    return say(_SPECIES, species)


def humidity_word(way: str) -> str:
    """Give the words for how a table's humidity is met."""
    return say(_HUMIDITY, way)


def group_word(group: str) -> str:
    """Give the name of a group of controls."""
    return say(_GROUPS, group)


def compared_word(compared: str) -> str:
    """Give the words for how a value stands beside what the code says."""
    return say(_COMPARED, compared)


def provenance_word(kind: str) -> str:
    """Give the word for what a limit is: law, model code, guidance or house rule."""
    return say(_PROVENANCE, kind)


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
        return ", ".join(group_word(group) for group in GROUPS if group in codes)
    if name == "time_control_ways":
        return ", ".join(map(to_word, codes))
    words = [check_words(code).title if name in _CHECK_LISTS else place_word(code) for code in codes]
    return "; ".join(words) if name in _CHECK_LISTS else ", ".join(words)
