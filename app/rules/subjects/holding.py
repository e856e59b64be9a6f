"""A tray in hot holding: hot enough, checked in time, and the 2-hour/4-hour rule. (design: hot holding)"""

from datetime import datetime, timedelta
from typing import NamedTuple

from app.kinds import Entry

from ..day.report import Report
from ..facts import Verdict
from ..history import kitchen
from ..history.exposure import TrayExposure
from ..plans.plan import Plan
from .runs import LOOK_AGAIN

BANDS = ("under_2h", "from_2h", "from_4h")
TIME_CONTROL_WAYS_OUT = ("served", "prepared", "donated", "discarded")


def time_band(out_for: timedelta, plan: Plan) -> str:
    """Give the band of a sum of time out: 2 hours exactly is the second band, 4 hours exactly the third."""
    limits = plan.limits
    if out_for >= timedelta(minutes=limits.band_discard_min):
        return BANDS[2]
    return BANDS[1] if out_for >= timedelta(minutes=limits.band_reheat_min) else BANDS[0]


def band_at(exposure: TrayExposure, at: datetime) -> str:
    """Give the band of a tray at a moment; the last one, where it is out again under a code that defends one time."""
    return BANDS[2] if exposure.is_spent(at) else time_band(exposure.out_for(at), exposure.tray.plan)


class Due(NamedTuple):
    """When a check is due, and the filling, reading or equipment_back that set it; `met_at` when it was answered."""

    due_at: datetime
    opener: Entry
    met_at: datetime | None


def checks_due(kitchen_: kitchen.Kitchen, tray: kitchen.Tray) -> list[Due]:
    """Give every check of a tray that fell due, in order; the last one is still owed unless it was answered."""
    interval = timedelta(minutes=tray.plan.limits.check_interval_min)
    ends_at = _no_more_checks(tray)
    opened = tray.opened_at
    marks = [tray.fills[0].entry] + [entry for _, entry in tray.readings if entry.observed_at > opened]
    dues = []
    for place, mark in enumerate(marks):
        following = marks[place + 1].observed_at if place + 1 < len(marks) else None
        answered = min((at for at in (following, ends_at) if at is not None), default=None)
        dues.append(_due_after(kitchen_, tray, mark, interval, answered))
        if ends_at is not None and (following is None or following >= ends_at):
            break
    return dues


def _no_more_checks(tray: kitchen.Tray) -> datetime | None:
    ends = [tray.emptied.at] if tray.emptied else []
    return min(ends + ([tray.control[1].observed_at] if tray.control else []), default=None)


def _due_after(
    kitchen_: kitchen.Kitchen, tray: kitchen.Tray, mark: Entry, interval: timedelta, answered: datetime | None
) -> Due:
    since, due_at, opener = mark.observed_at, mark.observed_at + interval, mark
    for outages in kitchen_.outages.values() if tray.moves else ():
        for outage in outages:
            back = outage.back
            if back is None or not since < back.observed_at < due_at:
                continue
            # A unit that came back from being out: its trays are looked at at once.
            if tray.unit_at(back.observed_at) == back.fields["code"]:
                due_at, opener = back.observed_at, back
    return Due(due_at, opener, answered)


def report_missed_checks(report: Report, tray: kitchen.Tray, exposure: TrayExposure, dues: list[Due]) -> None:
    """Report each check made later than due + grace, or not made."""
    limits = tray.plan.limits
    grace = timedelta(minutes=limits.grace_min)
    for due in dues:
        until = due.met_at or report.as_of
        if until - due.due_at > grace:
            report.add(
                "hold.check_interval",
                tray.subject,
                Verdict.NOT_SHOWN,
                opener=due.opener,
                onset_at=due.due_at,
                found_at=due.due_at + grace,
                ended_at=due.met_at,
                measured={"late_s": int((until - due.due_at).total_seconds())},
                limit={"check_interval_min": limits.check_interval_min, "grace_min": limits.grace_min},
                source=f"{tray.plan.source('check_interval_min')}; {tray.plan.source('grace_min')}",
                plan=tray.plan,
                band=band_at(exposure, until),
            )


def report_low_runs(report: Report, exposure: TrayExposure) -> None:
    """Report each run of readings under the holding limit."""
    tray = exposure.tray
    for run in exposure.runs:
        first = run.entries[0]
        report.add(
            "hold.temperature",
            tray.subject,
            Verdict.NOT_MET,
            opener=first,
            rests_on=run.entries[1:],
            ended_at=run.ended_at,
            measured={
                "temperature": first.fields["temperature"],
                "unit": first.fields["unit"],
                "since": run.since,
                "out_s": int(exposure.out_for(run.ended_at or report.as_of).total_seconds()),
            },
            limit=tray.plan.limits.hot_holding.printed(),
            source=tray.plan.source("hot_holding"),
            plan=tray.plan,
            band=band_at(exposure, run.ended_at or report.as_of),
        )


def report_time_out(report: Report, exposure: TrayExposure) -> None:
    """Report a tray whose sum of time out reached the discard band while birds were in it."""
    if exposure.reached is None:
        return
    tray, (at, opener) = exposure.tray, exposure.reached
    report.add(
        "hold.time_out",
        tray.subject,
        Verdict.NOT_MET,
        opener=opener,
        onset_at=at,
        found_at=max(at, opener.observed_at),
        ended_at=tray.emptied.at if tray.emptied else None,
        measured={"out_s": int(exposure.out_for(report.as_of).total_seconds())},
        limit={"band_discard_min": tray.plan.limits.band_discard_min},
        source=tray.plan.source("band_discard_min"),
        plan=tray.plan,
        band=BANDS[2],
    )


def report_dispositions(report: Report, exposure: TrayExposure) -> None:
    """Report birds that went where their band does not allow."""
    tray = exposure.tray
    for move in tray.outs:
        if tray.control is not None and tray.control[0] < move.index:
            return  # time as the control has its own rule
        out_for = exposure.out_at.get(move.entry.id, timedelta(0))
        band = BANDS[2] if exposure.is_spent(move.at) else time_band(out_for, tray.plan)
        to = move.entry.fields["to"]
        if to not in tray.plan.bands[band].ways_out:
            report.add(
                "hold.disposition",
                tray.subject,
                Verdict.NOT_MET,
                opener=move.entry,
                measured={"to": to, "birds": move.birds, "out_s": int(out_for.total_seconds()), "time_band": band},
                limit={"ways_out": list(tray.plan.bands[band].ways_out)},
                source=tray.plan.source("band_reheat_min" if band == BANDS[1] else "band_discard_min"),
                plan=tray.plan,
                band=band,
            )


def report_warm_units(report: Report, kitchen_: kitchen.Kitchen) -> None:
    """Report a hot unit's reading under the limit, unless a tray in it was read in the next 30 minutes."""
    for check in kitchen_.of_kind("unit_check"):
        reading, code = check.temperature, check.fields["unit_code"]
        equipment = kitchen_.site.equipment.get(code)
        if equipment is None or equipment.kind != "hot_unit" or reading is None:
            continue
        until, plan = check.observed_at + LOOK_AGAIN, kitchen_.plan_at(check.observed_at)
        if not plan.has("holding") or plan.limits.hot_holding.at_or_above(reading) or report.as_of < until:
            continue
        if not any(_read_within(tray, code, check.observed_at, until) for tray in kitchen_.trays()):
            report.add(
                "hold.unit",
                report.subject("hot_unit", code),
                Verdict.NOT_SHOWN,
                opener=check,
                onset_at=until,
                measured={"temperature": reading.value, "unit": reading.unit},
                limit=plan.limits.hot_holding.printed(),
                source=plan.source("hot_holding"),
                plan=plan,
            )


def _read_within(tray: kitchen.Tray, code: str, since: datetime, until: datetime) -> bool:
    return any(
        since <= entry.observed_at <= until and tray.unit_at(entry.observed_at) == code for _, entry in tray.readings
    )
