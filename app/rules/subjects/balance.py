"""Nothing unaccounted: birds at the end of a day, ties and skewers when the last bird of a spit is pulled.

Both are rules of the house: no code of law asks for them by number.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from app.kinds import (
    EquipmentBack,
    EquipmentOut,
    LoadStarted,
    SpitLoaded,
    SpitPulled,
    TrayMoved,
    TrayOut,
)

from ..day.reach import EQUIPMENT, FOOD
from ..day.registry import Critical, Each, rule
from ..facts import Verdict
from ..history import holders, kitchen
from ..history.exposure import TIME_OUT
from ..history.origins import what_was_pulled
from ..plans.limits import minutes
from .holding import Due
from .time_control import discard_at

if TYPE_CHECKING:
    from ..day.judge import Judged

_ONE_DAY = timedelta(days=1)


@rule(
    "birds.balance",
    group="balance",
    each=Each.KITCHEN,
    subjects=("spit", "tray"),
    reads=(*TIME_OUT, TrayMoved, EquipmentOut, EquipmentBack),
    reach=(FOOD, EQUIPMENT),
    limits=("grace_min",),
    source="birds held at the end of a day: house",
    verification=True,
    not_met=("none", "discard", "hold_for_evaluation"),
)
def report_birds(judged: Judged, kitchen_: kitchen.Kitchen) -> None:
    """At a day's end: birds not pulled, or a tray past its check and grace or its discard time: not shown, once."""
    for load in kitchen_.loads.values():
        for spit in load.spits.values():
            if load.plan.has("balance"):
                _report_birds_on_spit(judged, spit)
    for tray in kitchen_.trays():
        if tray.plan.has("balance"):
            _report_birds_in_tray(judged, tray)


def _report_birds_on_spit(judged: Judged, spit: holders.Spit) -> None:
    """Report a spit whose birds were not pulled by the end of a day, once, in the first day that ends so."""
    for day, ends_at in _ends(judged, spit):
        if spit.birds_at(ends_at) > 0:
            _add(judged, spit, day, ends_at)
            return


def _report_birds_in_tray(judged: Judged, tray: holders.Tray) -> None:
    """Report a tray with birds whose check, or discard time, had passed by the end of a day; once."""
    grace = minutes(tray.plan.limits.grace_min)
    due_by = discard_at(judged.exposures.trays[tray.subject])
    for day, ends_at in _ends(judged, tray):
        if tray.birds_at(ends_at) <= 0:
            return
        if _overdue(judged.dues[tray.subject], ends_at, grace) or (due_by is not None and due_by < ends_at):
            _add(judged, tray, day, ends_at)
            return


def _overdue(dues: list[Due], at: datetime, grace: timedelta) -> bool:
    return any(due.due_at + grace < at and (due.met_at is None or due.met_at >= at) for due in dues)


def _ends(judged: Judged, holder: holders.Holder) -> list[tuple[date, datetime]]:
    """Day ends at which the holder may still hold birds, up to `as_of`."""
    report, start_of = judged.report, judged.calendar.start_of
    until = min(report.as_of, holder.emptied.at) if holder.emptied else report.as_of
    day, ends = report.day_of(holder.opened_at), list[tuple[date, datetime]]()
    while (ends_at := start_of(day + _ONE_DAY)) <= until:
        ends.append((day, ends_at))
        day += _ONE_DAY
    return ends


def _add(judged: Judged, holder: holders.Holder, day: date, ends_at: datetime) -> None:
    judged.report.add(
        "birds.balance",
        holder.subject,
        Verdict.NOT_SHOWN,
        opener=holder.opener,
        onset_at=ends_at,
        day=day,
        ended_at=holder.emptied.at if holder.emptied else None,
        measured={"birds": holder.birds_at(ends_at)},
        limit={"birds": 0},
        plan=holder.plan,
    )


@rule(
    "ties.balance",
    group="foreign_body",
    each=Each.SPIT,
    subjects=("spit",),
    reads=(LoadStarted, SpitLoaded, SpitPulled, TrayOut),
    reach=(FOOD,),
    source="ties and skewers counted off as counted on: house",
    critical=Critical.NOT_MET,
    sets_aside=("spit",),
    food=what_was_pulled,
    aside_when=Critical.NOT_MET,
    not_met=("search_for_foreign_body", "discard", "hold_for_evaluation"),
)
def report_ties(judged: Judged, spit: holders.Spit) -> None:
    """Fewer ties or skewers off than on: not met.

    More, or not counted: not shown.
    """
    if spit.emptied is None or not spit.outs:
        return
    loadings, pulls = spit.loadings(), spit.pulls()
    ties = _sum([one.ties for one in loadings]), _sum([one.ties_removed for one in pulls])
    skewers = _sum([one.skewers for one in loadings]), _sum([one.skewers_removed for one in pulls])
    counts = {"ties": ties, "skewers": skewers}
    verdicts = {what: _judge(*pair) for what, pair in counts.items()}
    if all(verdict is Verdict.MET for verdict in verdicts.values()):
        return
    short = Verdict.NOT_MET in verdicts.values()
    judged.report.add(
        "ties.balance",
        spit.subject,
        Verdict.NOT_MET if short else Verdict.NOT_SHOWN,
        opener=spit.outs[-1].entry,
        rests_on=[move.entry for move in (*spit.fills, *spit.outs[:-1])],
        measured={f"{what}_off": off for what, (_, off) in counts.items() if off is not None},
        limit={f"{what}_on": on for what, (on, _) in counts.items() if on is not None},
        plan=spit.plan,
    )


def _sum(counts: Iterable[int | None]) -> int | None:
    """Add up what was counted; None where nothing was."""
    found = [count for count in counts if count is not None]
    return sum(found) if found else None


def _judge(on: int | None, off: int | None) -> Verdict:
    if off is None:
        return Verdict.NOT_SHOWN if on else Verdict.MET
    if off == (on or 0):
        return Verdict.MET
    return Verdict.NOT_MET if off < (on or 0) else Verdict.NOT_SHOWN
