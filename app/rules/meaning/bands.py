"""A table of bands: from which value on a reading means what. A pad looks a value up in it, and so do the rules."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from app.kinds import Temperature
from app.kinds.form import TEMPERATURE_RANGES

from ..facts import Verdict
from ..plans.limits import TemperatureLimit
from ..plans.plan import Plan

SMALLEST_STEP = Decimal("0.01")
"""Readings have two decimals at most: the first value over a limit is this much above it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """What a reading means, as a code with its values; `app.words` makes the sentence.

    `limit` is what it is held against, `source` where that comes from; `further` is the limit still to be reached.
    """

    code: str
    verdict: Verdict
    limit: TemperatureLimit
    source: str
    further: TemperatureLimit | None = None
    seconds: int | None = None
    """For how long the limit has to be held, where that is still to be shown."""


@dataclass(frozen=True, slots=True)
class Band:
    """From `low` on, up to the next band, a reading has this meaning."""

    low: Decimal
    meaning: Meaning


Bands = tuple[Band, ...]
"""Bands in one unit, rising; the first begins where the range of readings does."""


def bands(unit: str, lowest: Meaning, steps: Iterable[tuple[Decimal, Meaning]]) -> Bands:
    """Make a table from what the lowest reading means and the values from which another meaning holds.

    A step that lies under an earlier one takes its place, so that the values rise.
    """
    found = [Band(Decimal(TEMPERATURE_RANGES[unit][0]), lowest)]
    for low, meaning in steps:
        while len(found) > 1 and found[-1].low >= low:
            found.pop()
        found.append(Band(low, meaning))
    return tuple(found)


def look_up(table: Bands, value: Decimal) -> Meaning:
    """Give what a value means by a table in the unit of the value."""
    return next((band.meaning for band in reversed(table) if band.low <= value), table[0].meaning)


def at_least(plan: Plan, name: str, unit: str, *, good: str, bad: str) -> Bands:
    """Make the table of a limit that a reading has to be at or above. `name` is that of the plan's limit."""
    limit, source = _limit(plan, name), plan.source(name)
    under = Meaning(code=bad, verdict=Verdict.NOT_MET, limit=limit, source=source)
    above = Meaning(code=good, verdict=Verdict.MET, limit=limit, source=source)
    return bands(unit, under, [(limit.in_unit(unit), above)])


def at_most(plan: Plan, name: str, unit: str, *, good: str, bad: str) -> Bands:
    """Make the table of a limit that a reading has to be at or under."""
    limit, source = _limit(plan, name), plan.source(name)
    under = Meaning(code=good, verdict=Verdict.MET, limit=limit, source=source)
    over = Meaning(code=bad, verdict=Verdict.NOT_MET, limit=limit, source=source)
    return bands(unit, under, [(limit.in_unit(unit) + SMALLEST_STEP, over)])


def _limit(plan: Plan, name: str) -> TemperatureLimit:
    limit: TemperatureLimit = getattr(plan.limits, name)
    return limit


def means(table: Bands, reading: Temperature) -> Meaning:
    """Give what a reading means; the table is of its unit."""
    return look_up(table, reading.value)
