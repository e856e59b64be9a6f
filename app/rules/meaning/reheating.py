"""What a reading of a reheat means, by the plan of the reheat."""

from dataclasses import dataclass, replace

from app.kinds import ReheatReading, of_kind

from ..day.subjects_shown import ReheatView
from ..facts import Verdict
from ..plans.limits import TemperatureLimit
from ..plans.plan import Plan
from ..subjects.reheating import is_held
from .bands import Bands, Meaning, at_least, means


def reheat_bands(reheat: ReheatView, unit: str) -> Bands:
    """Give the table for the pad: under the limit it keeps heating; at the limit it may have to be held."""
    return at_least(reheat.plan, "reheat_core", unit, good="at_or_above", bad="keep_heating")


def reheat_meaning(reheat: ReheatView) -> Meaning | None:
    """Give what the newest reading of a reheat means, its dwell included; None before the first."""
    readings = of_kind(reheat.history, ReheatReading)
    if not readings:
        return None
    last = readings[-1].reading
    found = means(reheat_bands(reheat, last.unit), last)
    if found.verdict is Verdict.NOT_MET:
        return found
    if is_shown_held(reheat):
        return replace(found, code="held")
    return replace(found, code="not_yet_held", verdict=Verdict.PENDING, seconds=reheat.plan.limits.reheat_dwell_s)


def is_shown_held(reheat: ReheatView) -> bool:
    """Whether its readings at the limit show that it was held as long as the plan asks."""
    limits = reheat.plan.limits
    good = [one for one in of_kind(reheat.history, ReheatReading) if limits.reheat_core.at_or_above(one.reading)]
    return bool(good) and is_held(good, dwell_s=limits.reheat_dwell_s)


def reheat_limit(reheat: ReheatView) -> TemperatureLimit:
    """Give the temperature that all parts have to reach."""
    return reheat.plan.limits.reheat_core


def dwell_s(reheat: ReheatView) -> int:
    """Give for how many seconds the limit has to be held; 0 where the plan asks for no time."""
    return reheat.plan.limits.reheat_dwell_s


@dataclass(frozen=True, slots=True)
class Asked:
    """What a plan asks of a reheat: the limit, for how many seconds, within how many minutes of its start."""

    limit: TemperatureLimit
    seconds: int
    minutes: int


def asked(plan: Plan) -> Asked:
    """Give what a reheat that is begun under a plan has to reach."""
    return Asked(plan.limits.reheat_core, plan.limits.reheat_dwell_s, plan.limits.reheat_min)
