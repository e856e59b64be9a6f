"""Time as the control: a tray marked to be used or thrown away within 4 hours, without temperatures.

FDA Food Code 3-501.19.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from app.kinds import HoldReading, TimeControlStarted

from ..day.reach import FOOD
from ..day.registry import Critical, Each, rule
from ..day.report import shown
from ..facts import Verdict
from ..history.exposure import TIME_OUT
from ..history.holders import Tray
from ..history.movements import MOVES
from ..history.origins import what_left
from ..history.tray_exposure import TrayExposure
from ..plans.plan import Plan
from .time_start import LAST_READING, judge_start

if TYPE_CHECKING:
    from ..day.judge import Judged

_START = (*MOVES, HoldReading, TimeControlStarted)
"""What tells whether a tray is held by time alone, and from when."""


def discard_at(exposure: TrayExposure) -> datetime | None:
    """When the tray must be empty: the plan's time after the start, less the time out it had already.

    None where nobody started time as the control, or the plan does not have it in force.
    """
    tray = exposure.tray
    if tray.control is None or not tray.plan.has("time_control"):
        return None
    started_at = tray.control[1].observed_at
    if exposure.is_out_again(started_at):
        return started_at  # out once already, under a code that defends one time only
    left = timedelta(minutes=tray.plan.limits.time_control_min) - exposure.out_at_start
    return started_at + max(left, timedelta(0))


@rule(
    "time_control.start",
    group="time_control",
    each=Each.TRAY,
    subjects=("tray",),
    reads=_START,
    reach=(FOOD,),
    limits=("hot_holding",),
    source=f"Food Code 3-501.19(B)(1); {LAST_READING // timedelta(minutes=1)} min before the start: house",
    critical=Critical.NOT_MET,
    not_met=("discard", "hold_for_evaluation"),
    already_out=True,
)
def report_start(judged: Judged, tray: Tray) -> None:
    """The last reading, at most 15 min before the start, is under the holding limit: not met. None: not shown."""
    start = judge_start(tray)
    if start is None or start.verdict is Verdict.MET:
        return
    reading = start.reading
    judged.report.add(
        "time_control.start",
        tray.subject,
        start.verdict,
        opener=start.entry,
        rests_on=[] if reading is None else [reading],
        measured={} if reading is None else shown(reading.reading),
        limit=tray.plan.limits.hot_holding.printed(),
        source=tray.plan.source("time_control_min"),
        plan=tray.plan,
    )


@rule(
    "time_control.procedure",
    group="time_control",
    each=Each.TRAY,
    subjects=("tray",),
    reads=_START,
    reach=(FOOD,),
    limits=("time_control_procedure",),
    source="Food Code 3-501.19: by a written procedure",
    not_met=("serve_now", "discard"),
    already_out=True,
)
def report_procedure(judged: Judged, tray: Tray) -> None:
    """The plan names no written procedure: not shown."""
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
    reads=TIME_OUT,
    reach=(FOOD,),
    limits=("time_control_min",),
    source="(B)(2) in the editions before 2022 (read in adopting codes)",
    critical=Critical.NOT_MET,
    not_met=("serve_now", "discard"),
    already_out=True,
)
def report_mark(judged: Judged, tray: Tray) -> None:
    """The label says no discard time (not shown), or a later one than computed (not met)."""
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
    reads=TIME_OUT,
    reach=(FOOD,),
    limits=("time_control_min",),
    critical=Critical.NOT_MET,
    sets_aside=("tray",),
    not_met=("discard",),
)
def report_discard(judged: Judged, tray: Tray) -> None:
    """Birds were in the tray after the discard time: not met.

    Out at the very moment is in time.
    """
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
    reads=_START,
    reach=(FOOD,),
    limits=("time_control_ways",),
    critical=Critical.NOT_MET,
    food=what_left,
    not_met=("discard",),
    already_out=True,
)
def report_returned(judged: Judged, tray: Tray) -> None:
    """Birds of a tray whose start is met went where the plan does not allow: not met."""
    by_time_from = judged.exposures.trays[tray.subject].by_time_from
    if by_time_from is None:
        return
    allowed = ways_out(tray.plan)
    for move, out in tray.ways_out():
        if move.index > by_time_from and out.to not in allowed:
            judged.report.add(
                "time_control.returned",
                tray.subject,
                Verdict.NOT_MET,
                opener=out,
                measured={"to": out.to, "birds": move.birds},
                limit={"ways_out": list(allowed)},
                source=tray.plan.source("time_control_ways"),
                plan=tray.plan,
            )


def ways_out(plan: Plan) -> tuple[str, ...]:
    """Give where birds held by time alone may go; thrown away they may be always."""
    return tuple(dict.fromkeys((*plan.limits.time_control_ways, "discarded")))
