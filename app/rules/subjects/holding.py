"""A tray in hot holding: hot enough, checked in time, and the 2-hour/4-hour rule.

FDA Food Code 3-501.16(A)(1). The 2-hour/4-hour rule: Food Standards Code 3.2.2 clause 25 (Australia New Zealand); in a
plan of the United States a house rule.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple

from app.kinds import (
    Entry,
    EquipmentBack,
    EquipmentOut,
    TrayMoved,
)

from ..day.reach import EQUIPMENT, FOOD
from ..day.registry import Critical, Each, rule
from ..day.report import shown
from ..facts import Verdict
from ..history import holders, kitchen
from ..history.exposure import TIME_OUT
from ..history.origins import what_left
from ..history.tray_exposure import TrayExposure
from ..plans.adopted_values import FIRST_BAND
from ..plans.limits import minutes
from ..plans.plan import Plan
from .time_start import held_by_time_from

if TYPE_CHECKING:
    from ..day.judge import Judged

BANDS = (FIRST_BAND, "from_2h", "from_4h")


def time_band(out_for: timedelta, plan: Plan) -> str:
    """Give the band of a sum of time out: 2 hours exactly is the second band, 4 hours exactly the third."""
    limits = plan.limits
    if out_for >= minutes(limits.band_discard_min):
        return BANDS[2]
    return BANDS[1] if out_for >= minutes(limits.band_reheat_min) else BANDS[0]


def band_at(exposure: TrayExposure, at: datetime) -> str:
    """Give the band of a tray at a moment; the last one, where it is out again under a code that defends one time."""
    return BANDS[2] if exposure.is_out_again(at) else time_band(exposure.out_for(at), exposure.tray.plan)


class Due(NamedTuple):
    """When a check is due, and the filling, reading or equipment_back that set it; `met_at` when it was answered."""

    due_at: datetime
    opener: Entry
    met_at: datetime | None


def checks_due(kitchen_: kitchen.Kitchen, tray: holders.Tray) -> list[Due]:
    """Give every check of a tray that fell due, in order; the last one is still owed unless it was answered."""
    interval, opened = minutes(tray.plan.limits.check_interval_min), tray.opened_at
    end = min(_no_more_checks(tray), default=None)
    backs = _back_again(kitchen_, tray) if kitchen_.outages else []
    marks: list[Entry] = [tray.opener, *[entry for _, entry in tray.readings if entry.observed_at > opened]]
    answers = [mark.observed_at if end is None else min(mark.observed_at, end) for mark in marks[1:]]
    return [
        _due_after(tray, mark, interval, answered, backs) for mark, answered in zip(marks, [*answers, end], strict=True)
    ]


def _no_more_checks(tray: holders.Tray) -> list[datetime]:
    """Give the moments from which a tray is checked no more: it is empty, or held by time alone."""
    ends = [tray.emptied.at] if tray.emptied else []
    if tray.control is not None and held_by_time_from(tray) is not None:
        ends.append(tray.control[1].observed_at)
    return ends


def _back_again(kitchen_: kitchen.Kitchen, tray: holders.Tray) -> list[EquipmentBack]:
    """Give where a unit in which a tray stood came back from being out."""
    stood_in = {unit for _since, unit in tray.moves}
    outages = [one for unit, of_unit in kitchen_.outages.items() if unit in stood_in for one in of_unit]
    return [one.back for one in outages if one.back is not None]


def _due_after(
    tray: holders.Tray, mark: Entry, interval: timedelta, answered: datetime | None, backs: list[EquipmentBack]
) -> Due:
    since, due_at, opener = mark.observed_at, mark.observed_at + interval, mark
    for back in backs:
        # A unit that came back from being out: its trays are looked at at once.
        if since < back.observed_at < due_at and tray.unit_at(back.observed_at) == back.code:
            due_at, opener = back.observed_at, back
    return Due(due_at, opener, answered)


@rule(
    "hold.check_interval",
    group="holding",
    each=Each.TRAY,
    subjects=("tray",),
    reads=(*TIME_OUT, TrayMoved, EquipmentOut, EquipmentBack),
    reach=(FOOD, EQUIPMENT),
    limits=("check_interval_min", "grace_min"),
    not_met=("none",),
    already_out=True,
)
def report_missed_checks(judged: Judged, tray: holders.Tray) -> None:
    """A tray was not read by its due time and the grace: not shown."""
    report, exposure, limits = judged.report, judged.exposures.trays[tray.subject], tray.plan.limits
    grace = minutes(limits.grace_min)
    for due in judged.dues[tray.subject]:
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


@rule(
    "hold.temperature",
    group="holding",
    each=Each.TRAY,
    subjects=("tray",),
    reads=TIME_OUT,
    reach=(FOOD,),
    limits=("hot_holding",),
    critical=Critical.NOT_MET,
    not_met=(),
    already_out=True,
)
def report_low_runs(judged: Judged, tray: holders.Tray) -> None:
    """A run of readings under the limit, one finding a run: not met."""
    report, exposure = judged.report, judged.exposures.trays[tray.subject]
    for run in exposure.runs:
        first = run.entries[0]
        report.add(
            "hold.temperature",
            tray.subject,
            Verdict.NOT_MET,
            opener=first,
            rests_on=run.entries,
            ended_at=run.ended_at,
            measured={
                **shown(first.reading),
                "since": run.since,
                "out_s": int(exposure.out_for(run.ended_at or report.as_of).total_seconds()),
            },
            limit=tray.plan.limits.hot_holding.printed(),
            source=tray.plan.source("hot_holding"),
            plan=tray.plan,
            band=band_at(exposure, run.ended_at or report.as_of),
            has_ended=run.ended_at is not None,
        )


@rule(
    "hold.time_out",
    group="holding",
    each=Each.TRAY,
    subjects=("tray",),
    reads=TIME_OUT,
    reach=(FOOD,),
    limits=("band_discard_min",),
    critical=Critical.NOT_MET,
    sets_aside=("tray",),
    not_met=("discard",),
)
def report_time_out(judged: Judged, tray: holders.Tray) -> None:
    """The time out of temperature, added up over the food's life, reached the last limit with birds in the tray: not
    met.
    """
    report, exposure = judged.report, judged.exposures.trays[tray.subject]
    if exposure.reached is None:
        return
    at, opener = exposure.reached
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


@rule(
    "hold.disposition",
    group="holding",
    each=Each.TRAY,
    subjects=("tray",),
    reads=TIME_OUT,
    reach=(FOOD,),
    limits=("band_reheat_min", "band_discard_min"),
    critical=Critical.NOT_MET,
    food=what_left,
    not_met=(),
    already_out=True,
)
def report_ways_out(judged: Judged, tray: holders.Tray) -> None:
    """Birds went out by a way that their band does not allow: not met."""
    report, exposure = judged.report, judged.exposures.trays[tray.subject]
    for move, out in tray.ways_out():
        if exposure.by_time_from is not None and exposure.by_time_from < move.index:
            return  # time as the control has its own rule
        out_for = exposure.out_at[out.id]
        band = BANDS[2] if exposure.is_out_again(move.at) else time_band(out_for, tray.plan)
        to = out.to
        if to not in tray.plan.bands[band].ways_out:
            report.add(
                "hold.disposition",
                tray.subject,
                Verdict.NOT_MET,
                opener=out,
                measured={"to": to, "birds": move.birds, "out_s": int(out_for.total_seconds()), "time_band": band},
                limit={"ways_out": list(tray.plan.bands[band].ways_out)},
                source=tray.plan.source("band_reheat_min" if band == BANDS[1] else "band_discard_min"),
                plan=tray.plan,
                band=band,
            )
