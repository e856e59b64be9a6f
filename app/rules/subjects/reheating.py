"""A reheat for hot holding: hot enough, held long enough, and in time. FDA Food Code 3-403.11."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import combinations
from typing import TYPE_CHECKING

from app.kinds import ReheatDone, ReheatReading, ReheatStarted, TrayOut

from ..day.reach import FOOD
from ..day.registry import Critical, Each, rule
from ..day.report import shown
from ..facts import Verdict, worst
from ..history.holders import Reheat
from ..history.origins import what_is_there_and_was_pulled, what_left

if TYPE_CHECKING:
    from ..day.judge import Judged

_FOOD = (TrayOut, ReheatStarted, ReheatReading, ReheatDone)


def due_at(reheat: Reheat) -> datetime:
    """When the food must have reached the reheating limit."""
    return reheat.opened_at + timedelta(minutes=reheat.plan.limits.reheat_min)


def _good(reheat: Reheat, until: datetime) -> list[ReheatReading]:
    limit = reheat.plan.limits.reheat_core
    return [e for e in reheat.readings if e.observed_at <= until and limit.at_or_above(e.reading)]


def judge_done(reheat: Reheat, done: ReheatDone) -> tuple[Verdict, ReheatReading | None]:
    """Judge a reheat_done by the last reading before it: not met under the limit, not shown without a reading."""
    last = next((e for e in reversed(reheat.readings) if e.observed_at <= done.observed_at), None)
    if last is None:
        return Verdict.NOT_SHOWN, None
    good = reheat.plan.limits.reheat_core.at_or_above(last.reading)
    return (Verdict.MET if good else Verdict.NOT_MET), last


@rule(
    "reheat.temperature",
    group="reheating",
    each=Each.REHEAT,
    subjects=("reheat",),
    reads=_FOOD,
    reach=(FOOD,),
    limits=("reheat_core",),
    critical=Critical.NOT_MET,
    sets_aside=("reheat",),
    food=what_left,
    not_met=("reheat", "discard"),
    not_shown=("reheat", "discard", "hold_for_evaluation"),
)
def report_temperature(judged: Judged, reheat: Reheat) -> None:
    """The last reading before the end is under the limit: not met. There is none: not shown."""
    results = [(done, *judge_done(reheat, done)) for done in reheat.dones()]
    verdict = worst(result for _, result, _ in results)
    if verdict is Verdict.MET:
        return
    last = next(read for _, result, read in results if result == verdict)
    failed = [done for done, result, _ in results if result is not Verdict.MET]
    judged.report.add(
        "reheat.temperature",
        reheat.subject,
        verdict,
        opener=failed[0],
        rests_on=[*failed[1:], *([last] if last else [])],
        measured=shown(last.reading) if last else {},
        limit=reheat.plan.limits.reheat_core.printed(),
        source=reheat.plan.source("reheat_core"),
        plan=reheat.plan,
    )


@rule(
    "reheat.dwell",
    group="reheating",
    each=Each.REHEAT,
    subjects=("reheat",),
    reads=_FOOD,
    reach=(FOOD,),
    limits=("reheat_dwell_s",),
    sets_aside=("reheat",),
    food=what_left,
    not_met=("reheat", "discard", "hold_for_evaluation"),
)
def report_dwell(judged: Judged, reheat: Reheat) -> None:
    """The limit was reached and not held: no reading has `held_s` long enough, no two are as far apart: not shown."""
    dwell = reheat.plan.limits.reheat_dwell_s
    read = [(done, _good(reheat, done.observed_at)) for done in reheat.dones()]
    failed = [(done, good) for done, good in read if good and not is_held(good, dwell_s=dwell)]
    if not failed:
        return
    opener, good = failed[0]
    judged.report.add(
        "reheat.dwell",
        reheat.subject,
        Verdict.NOT_SHOWN,
        opener=opener,
        rests_on=[*(done for done, _ in failed[1:]), *good],
        measured={"held_s": max(entry.held_s or 0 for entry in good)},
        limit={"held_s": dwell},
        source=reheat.plan.source("reheat_dwell_s"),
        plan=reheat.plan,
    )


def is_held(good: Sequence[ReheatReading], *, dwell_s: int) -> bool:
    """Whether readings at the limit show it held: by `held_s`, or two of them at least that far apart."""
    if any((entry.held_s or 0) >= dwell_s for entry in good):
        return True
    dwell = timedelta(seconds=dwell_s)
    return any(later.observed_at - earlier.observed_at >= dwell for earlier, later in combinations(good, 2))


@rule(
    "reheat.time",
    group="reheating",
    each=Each.REHEAT,
    subjects=("reheat",),
    reads=_FOOD,
    reach=(FOOD,),
    limits=("reheat_min",),
    critical=Critical.NOT_MET,
    sets_aside=("reheat",),
    food=what_is_there_and_was_pulled,
    not_met=("discard",),
)
def report_time(judged: Judged, reheat: Reheat) -> None:
    """The limit was not reached in time from the start: not met."""
    report, due = judged.report, due_at(reheat)
    good = _good(reheat, reheat.emptied.at if reheat.emptied else report.as_of)
    first_at = good[0].observed_at if good else None
    still_running = reheat.birds_left > 0 or (reheat.emptied is not None and reheat.emptied.at > due)
    late = first_at > due if first_at is not None else still_running and report.as_of >= due
    if not late:
        return
    report.add(
        "reheat.time",
        reheat.subject,
        Verdict.NOT_MET,
        opener=reheat.opener,
        rests_on=good[:1],
        onset_at=due,
        ended_at=first_at or (reheat.emptied.at if reheat.emptied else None),
        measured={"took_s": int(((first_at or report.as_of) - reheat.opened_at).total_seconds())},
        limit={"reheat_min": reheat.plan.limits.reheat_min},
        source=reheat.plan.source("reheat_min"),
        plan=reheat.plan,
    )
