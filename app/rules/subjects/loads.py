"""A load as a whole: what was checked before its start, and whether its oven was out while it cooked.

Both are rules of the house: no code of law asks for them by number.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple

from app.kinds import (
    EquipmentBack,
    EquipmentOut,
    LoadStarted,
    SpitLoaded,
    SpitPulled,
    TrayOut,
)

from ..day.reach import EQUIPMENT, FOOD
from ..day.registry import Each, rule
from ..facts import Verdict
from ..history import holders
from ..history.origins import what_was_pulled_since

if TYPE_CHECKING:
    from ..day.judge import Judged


@rule(
    "start.checks",
    group="cooking",
    each=Each.LOAD,
    subjects=("load",),
    reads=(LoadStarted,),
    reach=(FOOD,),
    limits=("start_checks",),
    not_met=("none", "hold_for_evaluation", "discard"),
)
def report_start_checks(judged: Judged, load: holders.Load) -> None:
    """A start check has no answer (not shown), or was answered no (not met)."""
    checks = load.opener.checks
    missing = [item for item in load.plan.limits.start_checks if item not in checks]
    wrong = [item for item, answer in checks.items() if answer is False]
    if missing or wrong:
        judged.report.add(
            "start.checks",
            judged.report.subject("load", load.name),
            Verdict.NOT_MET if wrong else Verdict.NOT_SHOWN,
            opener=load.opener,
            measured={"missing": missing, "wrong": wrong},
            limit={"start_checks": list(load.plan.limits.start_checks)},
            source=load.plan.source("start_checks"),
            plan=load.plan,
        )


@rule(
    "cook.interrupted",
    group="cooking",
    each=Each.LOAD,
    subjects=("load",),
    reads=(LoadStarted, SpitLoaded, SpitPulled, TrayOut, EquipmentOut, EquipmentBack),
    reach=(FOOD, EQUIPMENT),
    limits=("interruption_min",),
    sets_aside=("load",),
    food=what_was_pulled_since,
    not_met=("discard", "hold_for_evaluation"),
)
def report_interruptions(judged: Judged, load: holders.Load) -> None:
    """The oven was out of use between a load's start and its last pull for longer than the plan allows, its outages
    added up: not shown, once a load.
    """
    report, allowed = judged.report, timedelta(minutes=load.plan.limits.interruption_min)
    stretches = _outages_of(judged, load)
    passed = _passed(stretches, allowed)
    if passed is None:
        return
    opener, onset_at = passed
    last = stretches[-1].outage
    report.add(
        "cook.interrupted",
        report.subject("load", load.name),
        Verdict.NOT_SHOWN,
        opener=opener,
        rests_on=[one.outage.entry for one in stretches],
        onset_at=onset_at,
        ended_at=last.back.observed_at if last.back else None,
        measured={"out_s": int(sum((one.lasted for one in stretches), timedelta(0)).total_seconds())},
        limit={"interruption_min": load.plan.limits.interruption_min},
        source=load.plan.source("interruption_min"),
        plan=load.plan,
    )


class _OutWhileCooking(NamedTuple):
    """The part of an outage that lies between a load's start and its last pull."""

    outage: holders.Outage
    since: datetime
    lasted: timedelta


def _outages_of(judged: Judged, load: holders.Load) -> list[_OutWhileCooking]:
    started, ended = load.opener.observed_at, _last_pull(load, judged.report.as_of)
    found = []
    for outage in judged.kitchen.outages.get(load.oven, ()):
        since = max(outage.entry.observed_at, started)
        until = min(outage.back.observed_at if outage.back else ended, ended)
        if until > since:
            found.append(_OutWhileCooking(outage, since, until - since))
    return found


def _passed(stretches: Sequence[_OutWhileCooking], allowed: timedelta) -> tuple[EquipmentOut, datetime] | None:
    """Give the outage in which their sum passed what is allowed, and that instant."""
    left = allowed
    for one in stretches:
        if one.lasted > left:
            return one.outage.entry, one.since + left
        left -= one.lasted
    return None


def _last_pull(load: holders.Load, as_of: datetime) -> datetime:
    spits = load.spits.values()
    if not spits:
        return load.opener.observed_at
    if any(spit.birds_left > 0 for spit in spits):
        return as_of
    return max(spit.outs[-1].at for spit in spits if spit.outs)
