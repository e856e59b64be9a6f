"""What a core temperature means for the bird that was probed, by the plan of its load."""

from collections.abc import Iterable
from dataclasses import replace

from app.kinds import Subject

from ..day.subjects_shown import BirdState, LoadView, SpitView
from ..facts import Finding, Verdict
from ..plans.limits import TemperatureLimit
from .bands import Bands, Meaning, at_least, means


def core_bands(load: LoadView, unit: str) -> Bands:
    """Give the table for the pad: under the limit it keeps cooking; at the limit it may have to be held."""
    return at_least(load.plan, "cook_core", unit, good="at_or_above", bad="keep_cooking")


def core_meaning(load: LoadView, state: BirdState) -> Meaning:
    """Give what the latest reading of a bird means, its dwell included."""
    reading = state.entry.reading
    found = means(core_bands(load, reading.unit), reading)
    if found.verdict is Verdict.MET and not state.met:
        seconds = load.plan.limits.cook_dwell_s
        return replace(found, code="not_yet_held", verdict=Verdict.NOT_MET, seconds=seconds)
    return found


def is_under_limit(load: LoadView, spit: SpitView) -> bool:
    """Whether the latest reading of a bird that was probed is under the limit."""
    limit = load.plan.limits.cook_core
    return any(not limit.at_or_above(state.entry.reading) for state in spit.states)


def core_limit(load: LoadView) -> TemperatureLimit:
    """Give the core temperature that the birds of a load have to reach."""
    return load.plan.limits.cook_core


def dwell_s(load: LoadView) -> int:
    """Give for how many seconds the limit has to be held; 0 where the plan asks for no time."""
    return load.plan.limits.cook_dwell_s


def places(load: LoadView) -> tuple[str, ...]:
    """Give the places at which each bird is to be probed."""
    return load.plan.limits.places_per_bird


def places_missing(load: LoadView, spit: SpitView) -> tuple[tuple[int, str], ...]:
    """Give the places that the plan asks for and that were not read, of the birds that were probed: (bird, place)."""
    probed = {(state.bird, state.place) for state in spit.states}
    birds = sorted({bird for bird, _place in probed})
    return tuple((bird, place) for bird in birds for place in places(load) if (bird, place) not in probed)


def setting_aside(findings: Iterable[Finding], load: LoadView, spit: SpitView) -> tuple[Finding, ...]:
    """Give what sets aside the birds that come off a spit now, however hot: of a rejected lot, of a stopped oven."""
    of_load = [one for one in findings if one.sets_aside and one.subject == Subject("load", load.load)]
    return tuple(one for one in of_load if one.measured.get("lot") in (None, *spit.lots))


def asks_for_humidity(load: LoadView) -> bool:
    """Whether the plan of a load rests on a table pair whose condition is shown by the humidity that is set."""
    return load.plan.limits.cook_humidity in ("humid_part", "large_product")
