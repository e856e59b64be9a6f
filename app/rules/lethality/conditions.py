"""What must hold beside a row of the poultry tables: not too long on the way up, and humid enough."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import cache
from typing import Any

from ..facts import Verdict
from ..scales import in_fahrenheit
from .tables import Record, load


class HumidityWay(StrEnum):
    """The ways that a plan may name in which a cook meets the humidity condition, or needs none.

    Of the published ways these are the ones that entries can show. No entry holds minutes of steam or of a sealed oven,
    and an oven that is humid throughout is humid for a part.
    """

    HUMID_PART = "humid_part"
    DIRECT_HEAT = "direct_heat"
    MOIST_COOKING = "moist_cooking"
    LARGE_PRODUCT = "large_product"


@dataclass(frozen=True, slots=True, kw_only=True)
class HumidityRecord:
    """What was recorded of one cook; what the way does not ask for may be left out."""

    way: HumidityWay
    cook_min: Decimal | None = None
    humid_min: Decimal | None = None
    """Minutes at 90 % relative humidity or more."""
    weight_lb: Decimal | None = None
    oven_f: Decimal | None = None
    """The lowest oven temperature during the cook (°F)."""


@cache
def conditions() -> dict[str, Any]:
    """Give the published conditions: times in minutes, temperatures in °F, and their `source`."""
    return load("conditions")


def judge_come_up(record: Record) -> Verdict:
    """Judge the time that the core spent between 50 and 130 °F on its way up: at most 6 h (FSIS 2021).

    The readings bound it: at least from the first to the last reading from 50 to 130, at most from the last at or under
    50 to the first at or over 130. Without both of those it is not shown, unless it is already too long.
    """
    limit = conditions()["come_up"]
    low, high, at_most_s = limit["from_f"], limit["to_f"], limit["at_most_min"] * 60
    read = [(at, in_fahrenheit(reading)) for at, reading in sorted(record, key=lambda point: point[0])]
    up_at = next((at for at, fahrenheit in read if fahrenheit >= high), None)
    rising = [(at, fahrenheit) for at, fahrenheit in read if up_at is None or at <= up_at]
    between = [at for at, fahrenheit in rising if low <= fahrenheit <= high]
    if between and (between[-1] - between[0]).total_seconds() > at_most_s:
        return Verdict.NOT_MET
    cold = [at for at, fahrenheit in rising if fahrenheit <= low]
    if up_at is None or not cold or (up_at - cold[-1]).total_seconds() > at_most_s:
        return Verdict.NOT_SHOWN
    return Verdict.MET


def judge_humidity(recorded: HumidityRecord) -> Verdict:
    """Judge the humidity of a cook in the way that its plan names. FSIS 2021; a figure that is missing: not shown."""
    asked = conditions()["humidity"][recorded.way]
    if "share" in asked:
        return _judge_share(recorded, asked)
    return _at_least((recorded.weight_lb, asked.get("weight_lb")), (recorded.oven_f, asked.get("oven_f")))


def _judge_share(recorded: HumidityRecord, asked: dict[str, Decimal]) -> Verdict:
    """Judge a share of the cooking time: the longer of the two published times, at most the whole cook."""
    if recorded.cook_min is None:
        return Verdict.NOT_SHOWN
    needed = max(asked["share"] * recorded.cook_min, asked["at_least_min"])
    return _at_least((recorded.humid_min, min(needed, recorded.cook_min)))


def _at_least(*pairs: tuple[Decimal | None, Decimal | None]) -> Verdict:
    """Judge recorded figures against their least values; None as the least value asks for nothing."""
    asked = [(found, least) for found, least in pairs if least is not None]
    if any(found is None for found, _ in asked):
        return Verdict.NOT_SHOWN
    return Verdict.MET if all(found >= least for found, least in asked if found is not None) else Verdict.NOT_MET
