"""A spit: is every probed bird done, and were enough birds probed, before it was pulled?

FDA Food Code 3-401.11 (the limit of each plan stands with its own source in `app/codes/`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple

from app.kinds import (
    CookReading,
    LoadStarted,
    OvenSetting,
    SpitLoaded,
    SpitPulled,
    TrayOut,
)

from ..day.reach import FOOD
from ..day.registry import Critical, Each, rule
from ..day.report import shown
from ..day.subjects_shown import BirdState, SpitJudgement
from ..facts import Verdict, worst
from ..forecasts.bird_series import by_bird_and_place
from ..history import holders, kitchen
from ..history.origins import what_left
from ..lethality.table_conditions import OVEN, judge_conditions
from ..plans.limits import Limits, TemperatureLimit
from ..plans.plan import Plan

if TYPE_CHECKING:
    from ..day.judge import Judged


def judge_spit(kitchen_: kitchen.Kitchen, spit: holders.Spit, at: datetime) -> SpitJudgement:
    """Judge a spit on the readings seen until `at`, as a pull at that moment would be judged."""
    known = spit.judgements.get(at)
    if known is None:
        known = spit.judgements[at] = _judge(kitchen_, spit, at)
    return known


def _judge(kitchen_: kitchen.Kitchen, spit: holders.Spit, at: datetime) -> SpitJudgement:
    limits = spit.plan.limits
    discarded = _discarded(kitchen_, spit, at)
    states = states_at(spit, at, leaving_out=discarded)
    until = max(at, spit.opened_at)
    loaded = sum([int(move.birds) for move in spit.fills if move.at <= until])
    needed = max(0, min(limits.birds_checked_per_spit, loaded - len(discarded)))
    not_yet = [state for state in states if not state.met]
    if any(not limits.cook_core.at_or_above(state.entry.reading) for state in not_yet):
        verdict = Verdict.NOT_MET
    elif not_yet or _birds_complete(states, limits) < needed:
        verdict = Verdict.NOT_SHOWN
    else:
        verdict = Verdict.MET
    if limits.cook_table is None:
        return SpitJudgement(verdict, states, needed, None)
    conditions = judge_conditions(kitchen_, spit, at)
    return SpitJudgement(worst([verdict, conditions.humidity, conditions.come_up]), states, needed, conditions)


def _discarded(kitchen_: kitchen.Kitchen, spit: holders.Spit, at: datetime) -> frozenset[int]:
    pulls = kitchen_.spit_discards.get(spit.subject)
    if pulls is None:  # as nearly always
        return frozenset()
    return frozenset(bird for pull in pulls if pull.observed_at <= at for bird in pull.discarded_birds)


def _birds_complete(states: Sequence[BirdState], limits: Limits) -> int:
    places: dict[int, set[str]] = {}
    for state in states:
        places.setdefault(state.bird, set()).add(state.place)
    return sum([probed.issuperset(limits.places_per_bird) for probed in places.values()])


def states_at(spit: holders.Spit, at: datetime, *, leaving_out: Iterable[int] = ()) -> tuple[BirdState, ...]:
    """Give the latest reading of every bird and place probed until `at`, in order of bird and place."""
    gone, limits = frozenset(leaving_out), spit.plan.limits
    series = by_bird_and_place([e for e in spit.readings if e.observed_at <= at and e.bird not in gone])
    states = []
    for (bird, place), readings in sorted(series.items()):
        last, target = readings[-1], limits.cook_target
        on_target = None if target is None else target.at_or_above(last.reading)
        states.append(BirdState(bird, place, last, is_held(readings, limits=limits), on_target))
    return tuple(states)


def is_held(readings: Sequence[CookReading], *, limits: Limits) -> bool:
    """Whether one bird's readings at one place end at the limit, held there for the plan's dwell."""
    if not limits.cook_core.at_or_above(readings[-1].reading):
        return False
    if not limits.cook_dwell_s:
        return True
    dwell = timedelta(seconds=limits.cook_dwell_s)
    first = readings[-1]
    for entry in reversed(readings):
        if not limits.cook_core.at_or_above(entry.reading):
            break
        first = entry
        if (entry.held_s or 0) >= limits.cook_dwell_s:
            return True
    return readings[-1].observed_at - first.observed_at >= dwell


def known_hot_at(
    kitchen_: kitchen.Kitchen, spit: holders.Spit, at: datetime, *, limit: TemperatureLimit
) -> datetime | None:
    """When the birds of a pull were last known hot: the earliest of the probed birds' latest readings, if all are."""
    latest = [state.entry for state in judge_spit(kitchen_, spit, at).states]
    if not latest or not all(limit.at_or_above(entry.reading) for entry in latest):
        return None
    return min([entry.observed_at for entry in latest])


def is_met_without(kitchen_: kitchen.Kitchen, spit: holders.Spit, pull: SpitPulled, *, doubted: frozenset[str]) -> bool:
    """Whether a pull is met, and by readings that are not in doubt alone (`doubted`: ids of first versions)."""
    at = pull.observed_at
    if judge_spit(kitchen_, spit, at).verdict is not Verdict.MET:
        return False
    kept = [entry for entry in spit.readings if entry.root not in doubted]
    if len(kept) == len(spit.readings):
        return True
    return _judge(kitchen_, replace(spit, readings=kept, judgements={}), at).verdict is Verdict.MET


class SpitResult(NamedTuple):
    """A spit's verdict, the pulls that are not themselves met, in order, and what was judged at the worst of them."""

    verdict: Verdict
    failed: tuple[SpitPulled, ...]
    judgement: SpitJudgement


def judge_pulls(kitchen_: kitchen.Kitchen, spit: holders.Spit, *, as_of: datetime) -> SpitResult:
    """Judge every pull on the readings seen until then; the worst counts, readings afterwards cure nothing."""
    if not spit.outs:
        return SpitResult(Verdict.PENDING, (), judge_spit(kitchen_, spit, as_of))
    judged = [(pull, judge_spit(kitchen_, spit, pull.observed_at)) for pull in spit.pulls()]
    verdict = worst(result.verdict for _, result in judged)
    failed = tuple(pull for pull, result in judged if result.verdict is not Verdict.MET)
    return SpitResult(verdict, failed, next(result for _, result in judged if result.verdict == verdict))


@rule(
    "cook.core_temperature",
    group="cooking",
    each=Each.SPIT,
    subjects=("spit",),
    reads=(SpitLoaded, CookReading, SpitPulled, TrayOut, OvenSetting, LoadStarted),
    reach=(FOOD, OVEN),
    limits=("cook_core", "cook_dwell_s", "birds_checked_per_spit", "places_per_bird", "cook_table", "cook_humidity"),
    critical=Critical.ALWAYS,
    sets_aside=("spit",),
    food=what_left,
    not_met=("continue_cooking", "discard"),
    not_shown=("continue_cooking", "discard", "hold_for_evaluation"),
)
def report_core_temperature(judged: Judged, spit: holders.Spit) -> None:
    """At a pull the latest reading of a bird and place that was probed is under the limit: not met. It was not held
    there, or too few birds were probed at every place: not shown. The first such pull opens the finding, which names
    them all. Where the plan rests on a table of times, its humidity and time on the way up are judged too.
    """
    result = judged.spits[spit.subject]
    if not result.failed:
        return
    plan, judgement = spit.plan, result.judgement
    measured: dict[str, object] = {"birds_probed": judgement.birds_probed, **_conditions(judgement)}
    under = [state for state in judgement.states if not plan.limits.cook_core.at_or_above(state.entry.reading)]
    if under:
        lowest = min(under, key=lambda state: state.entry.reading.celsius)
        measured |= {**shown(lowest.entry.reading), "bird": lowest.bird, "place": lowest.place}
    judged.report.add(
        "cook.core_temperature",
        spit.subject,
        result.verdict,
        opener=result.failed[0],
        rests_on=[*result.failed[1:], *(state.entry for state in judgement.states)],
        measured=measured,
        limit={"birds_probed": judgement.birds_needed, **plan.limits.cook_core.printed(), **_dwell(plan)},
        source=f"{plan.source('cook_core')}; {plan.source('birds_checked_per_spit')}",
        plan=plan,
    )


def _conditions(judgement: SpitJudgement) -> dict[str, Verdict]:
    conditions = judgement.conditions
    return {"humidity": conditions.humidity, "come_up": conditions.come_up} if conditions else {}


def _dwell(plan: Plan) -> dict[str, int]:
    return {"held_s": plan.limits.cook_dwell_s} if plan.limits.cook_dwell_s else {}
