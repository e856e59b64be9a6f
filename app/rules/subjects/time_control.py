"""Time as the control: a tray marked to be used or thrown away within 4 hours, without temperatures."""

from datetime import datetime, timedelta

from app.kinds import Entry

from ..day.report import Report
from ..facts import Verdict
from ..history.exposure import TrayExposure
from ..history.kitchen import Tray
from .holding import TIME_CONTROL_WAYS_OUT

_LAST_READING = timedelta(minutes=15)
"""How old the reading may be that shows the food hot at the start (design 4.5)."""


def discard_at(exposure: TrayExposure) -> datetime | None:
    """When the tray must be empty: the plan's time after the start, less the time out it had already."""
    tray = exposure.tray
    if tray.control is None:
        return None
    started_at = tray.control[1].observed_at
    if exposure.is_spent(started_at):
        return started_at  # out once already, under a code that defends one time only
    return started_at + timedelta(minutes=tray.plan.limits.time_control_min) - exposure.out_for(started_at)


def report_time_control(report: Report, exposure: TrayExposure) -> None:
    """Report what is missing or wrong in a tray under time as the control."""
    if exposure.tray.control is None:
        return
    start = exposure.tray.control[1]
    _report_start(report, exposure.tray, start)
    _report_procedure(report, exposure.tray, start)
    _report_mark(report, exposure, start)
    _report_discard(report, exposure, start)
    _report_returned(report, exposure.tray)


def _report_start(report: Report, tray: Tray, start: Entry) -> None:
    at = start.observed_at
    recent = [entry for _, entry in tray.readings if at - _LAST_READING <= entry.observed_at <= at]
    reading = recent[-1].temperature if recent else None
    if reading is not None and tray.plan.limits.hot_holding.at_or_above(reading):
        return
    report.add(
        "time_control.start",
        tray.subject,
        Verdict.NOT_SHOWN if reading is None else Verdict.NOT_MET,
        opener=start,
        rests_on=recent[-1:],
        measured={} if reading is None else {"temperature": reading.value, "unit": reading.unit},
        limit=tray.plan.limits.hot_holding.printed(),
        source=tray.plan.source("time_control_min"),
        plan=tray.plan,
    )


def _report_procedure(report: Report, tray: Tray, start: Entry) -> None:
    if not tray.plan.limits.time_control_procedure:
        report.add(
            "time_control.procedure",
            tray.subject,
            Verdict.NOT_SHOWN,
            opener=start,
            source=tray.plan.source("time_control_min"),
            plan=tray.plan,
        )


def _report_mark(report: Report, exposure: TrayExposure, start: Entry) -> None:
    marked, computed, tray = start.fields.get("marked_discard_by"), discard_at(exposure), exposure.tray
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


def _report_discard(report: Report, exposure: TrayExposure, start: Entry) -> None:
    tray, due = exposure.tray, discard_at(exposure)
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


def _report_returned(report: Report, tray: Tray) -> None:
    for move in tray.outs:
        to = move.entry.fields["to"]
        if tray.control is not None and move.index > tray.control[0] and to not in TIME_CONTROL_WAYS_OUT:
            report.add(
                "time_control.returned",
                tray.subject,
                Verdict.NOT_MET,
                opener=move.entry,
                measured={"to": to, "birds": move.birds},
                limit={"ways_out": list(TIME_CONTROL_WAYS_OUT)},
                source=tray.plan.source("time_control_min"),
                plan=tray.plan,
            )
