"""Time as the control: a tray marked to be used or thrown away within 4 hours, without temperatures.

FDA Food Code 3-501.19.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from app.kinds import HoldReading, SpitPulled, TimeControlStarted, TrayOut

from ..day.registry import Critical, Each, Reach, rule
from ..day.report import shown
from ..facts import Verdict
from ..history.exposure import TrayExposure
from ..history.kitchen import Tray
from .holding import TIME_CONTROL_WAYS_OUT

if TYPE_CHECKING:
    from ..day.judge import Judged

_FOOD = (SpitPulled, HoldReading, TrayOut, TimeControlStarted)

_LAST_READING = timedelta(minutes=15)
"""How old the reading may be that shows the food hot at the start (house)."""


def discard_at(exposure: TrayExposure) -> datetime | None:
    """When the tray must be empty: the plan's time after the start, less the time out it had already."""
    tray = exposure.tray
    if tray.control is None:
        return None
    started_at = tray.control[1].observed_at
    if exposure.is_out_again(started_at):
        return started_at  # out once already, under a code that defends one time only
    return started_at + timedelta(minutes=tray.plan.limits.time_control_min) - exposure.out_for(started_at)


@rule(
    "time_control.start",
    group="time_control",
    each=Each.TRAY,
    subjects=("tray",),
    reads=_FOOD,
    reach=(Reach.FOOD,),
    critical=Critical.NOT_MET,
    not_met=("discard", "hold_for_evaluation"),
    already_out=True,
)
def report_start(judged: Judged, tray: Tray) -> None:
    """Report a start without a reading in the 15 minutes before it, or on one under the holding limit."""
    if tray.control is None:
        return
    report, start = judged.report, tray.control[1]
    at = start.observed_at
    recent = [entry for _, entry in tray.readings if at - _LAST_READING <= entry.observed_at <= at]
    reading = recent[-1].reading if recent else None
    if reading is not None and tray.plan.limits.hot_holding.at_or_above(reading):
        return
    report.add(
        "time_control.start",
        tray.subject,
        Verdict.NOT_SHOWN if reading is None else Verdict.NOT_MET,
        opener=start,
        rests_on=recent[-1:],
        measured={} if reading is None else shown(reading),
        limit=tray.plan.limits.hot_holding.printed(),
        source=tray.plan.source("time_control_min"),
        plan=tray.plan,
    )


@rule(
    "time_control.procedure",
    group="time_control",
    each=Each.TRAY,
    subjects=("tray",),
    reads=_FOOD,
    reach=(Reach.FOOD,),
    not_met=("serve_now", "discard"),
    already_out=True,
)
def report_procedure(judged: Judged, tray: Tray) -> None:
    """Report a tray under time as the control by a plan that names no written procedure for it."""
    if tray.control is not None and not tray.plan.limits.time_control_procedure:
        judged.report.add(
            "time_control.procedure",
            tray.subject,
            Verdict.NOT_SHOWN,
            opener=tray.control[1],
            source=tray.plan.source("time_control_min"),
            plan=tray.plan,
        )


@rule(
    "time_control.mark",
    group="time_control",
    each=Each.TRAY,
    subjects=("tray",),
    reads=_FOOD,
    reach=(Reach.FOOD,),
    critical=Critical.NOT_MET,
    not_met=("serve_now", "discard"),
    already_out=True,
)
def report_mark(judged: Judged, tray: Tray) -> None:
    """Report a label without a discard time, or with one later than the time allowed."""
    if tray.control is None:
        return
    report, start = judged.report, tray.control[1]
    marked, computed = start.marked_discard_by, discard_at(judged.exposures.trays[tray.subject])
    if marked is not None and computed is not None and marked <= computed:
        return
    report.add(
        "time_control.mark",
        tray.subject,
        Verdict.NOT_SHOWN if marked is None else Verdict.NOT_MET,
        opener=start,
        measured={} if marked is None else {"marked_discard_by": marked},
        limit={"discard_at": computed},
        source=tray.plan.source("time_control_min"),
        plan=tray.plan,
    )


@rule(
    "time_control.discard",
    group="time_control",
    each=Each.TRAY,
    subjects=("tray",),
    reads=_FOOD,
    reach=(Reach.FOOD,),
    critical=Critical.NOT_MET,
    sets_aside=("tray",),
    not_met=("discard",),
)
def report_discard(judged: Judged, tray: Tray) -> None:
    """Report a tray that still held birds after its discard time."""
    if tray.control is None:
        return
    report, start, due = judged.report, tray.control[1], discard_at(judged.exposures.trays[tray.subject])
    emptied_at = tray.emptied.at if tray.emptied else None
    if due is None or report.as_of <= due or (emptied_at is not None and emptied_at <= due):
        return
    report.add(
        "time_control.discard",
        tray.subject,
        Verdict.NOT_MET,
        opener=start,
        onset_at=due,
        ended_at=emptied_at,
        measured={"over_s": int(((emptied_at or report.as_of) - due).total_seconds())},
        limit={"time_control_min": tray.plan.limits.time_control_min, "discard_at": due},
        source=tray.plan.source("time_control_min"),
        plan=tray.plan,
    )


@rule(
    "time_control.returned",
    group="time_control",
    each=Each.TRAY,
    subjects=("tray",),
    reads=_FOOD,
    reach=(Reach.FOOD,),
    critical=Critical.NOT_MET,
    not_met=("discard",),
    already_out=True,
)
def report_returned(judged: Judged, tray: Tray) -> None:
    """Report birds that left a tray under time as the control by a way that is not allowed."""
    for move, out in tray.ways_out():
        to = out.to
        if tray.control is not None and move.index > tray.control[0] and to not in TIME_CONTROL_WAYS_OUT:
            judged.report.add(
                "time_control.returned",
                tray.subject,
                Verdict.NOT_MET,
                opener=move.entry,
                measured={"to": to, "birds": move.birds},
                limit={"ways_out": list(TIME_CONTROL_WAYS_OUT)},
                source=tray.plan.source("time_control_min"),
                plan=tray.plan,
            )
