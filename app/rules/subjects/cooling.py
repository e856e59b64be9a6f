"""A chilled batch: cooled in two stages against the clock, then kept cold and used by its date.

FDA Food Code 3-501.14 (cooling), 3-501.16(A)(2) (cold holding), 3-501.17 and 3-501.18 (date marking).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

from app.kinds import BatchOut, CoolingReading, Entry

from ..day.reach import FOOD
from ..day.registry import Critical, Each, rule
from ..day.report import Report, shown
from ..facts import Verdict
from ..history import holders
from ..history.exposure import TIME_OUT
from ..plans.limits import TemperatureLimit
from .cooling_stages import BatchReading, Clocks, PartCooling, Stage, judge_parts, readings_of, worst_stage
from .runs import report_runs

if TYPE_CHECKING:
    from ..day.judge import Judged


_ONE_DAY = timedelta(days=1)
COOLING = (*TIME_OUT, CoolingReading)
"""What tells when a batch was hot, cold, or gone."""


@dataclass(frozen=True, slots=True)
class DateMark:
    """What one filling brought: since when it is in the batch, and the last day by which it must be used."""

    since: datetime
    last_day: date


@dataclass(frozen=True, slots=True)
class Cooling:
    """A batch's cooling; a stage is None where no birds were left before it was decided, or none had to cool."""

    batch: holders.Batch
    started_at: datetime
    readings: tuple[BatchReading, ...]
    parts: tuple[PartCooling, ...]
    first_stage: Stage | None
    total: Stage | None
    marks: tuple[DateMark, ...]

    @property
    def use_by(self) -> date:
        """The last day, by the earliest day of cooking of what went in."""
        return min(mark.last_day for mark in self.marks)

    def is_in_cold_storage(self, at: datetime) -> bool:
        """Whether all that was in the batch by then was shown to be cold before."""
        there = (one for one in self.parts if one.part.opens or one.part.went_in_at <= at)
        return all(one.is_cold_before(at) for one in there)


def judge_cooling(batch: holders.Batch, clocks: Clocks, report: Report) -> Cooling:
    """Judge both stages of a batch from its readings up to the moment no birds were left."""
    gone_at = batch.emptied.at if batch.emptied else None
    readings = readings_of(batch, until=gone_at)
    until = min(report.as_of, gone_at or report.as_of)
    parts = judge_parts(batch.plan, clocks.parts_of(batch), readings, until=until)
    stages = (worst_stage(part.first for part in parts), worst_stage(part.total for part in parts))
    first, total = (
        None if stage is None or (stage.decided_at is None and gone_at is not None) else stage for stage in stages
    )
    started_at = min((part.started_at for part in parts), default=batch.opened_at)
    return Cooling(batch, started_at, readings, parts, first, total, tuple(_date_marks(batch, clocks, report)))


def _date_marks(batch: holders.Batch, clocks: Clocks, report: Report) -> Iterator[DateMark]:
    days = timedelta(days=batch.plan.limits.date_mark_days - 1)
    return (DateMark(move.at, report.day_of(clocks.cooked_at(move)) + days) for move in batch.fills)


@rule(
    "cool.first_stage",
    group="cooling",
    each=Each.BATCH,
    subjects=("batch",),
    reads=COOLING,
    reach=(FOOD,),
    limits=("cool_first", "cool_first_min"),
    critical=Critical.NOT_MET,
    sets_aside=("batch",),
    not_met=("discard",),
    not_shown=("discard", "hold_for_evaluation"),
)
def report_first_stage(judged: Judged, batch: holders.Batch) -> None:
    """Not down to the first mark in time, counted from the last known-hot moment.

    Read over it then or after: not met. No reading: not shown.
    """
    _report_stage(judged, "cool.first_stage", batch, name="cool_first")


@rule(
    "cool.total",
    group="cooling",
    each=Each.BATCH,
    subjects=("batch",),
    reads=COOLING,
    reach=(FOOD,),
    limits=("cool_total", "cool_total_min"),
    critical=Critical.NOT_MET,
    sets_aside=("batch",),
    not_met=("discard",),
    not_shown=("discard", "hold_for_evaluation"),
)
def report_total(judged: Judged, batch: holders.Batch) -> None:
    """Not down to the cold limit in time, in total or further from the first mark.

    Read over it then or after: not met. No reading: not shown.
    """
    _report_stage(judged, "cool.total", batch, name="cool_total")


def _report_stage(judged: Judged, rule_name: str, batch: holders.Batch, *, name: str) -> None:
    cooling, limits = judged.coolings[batch.subject], batch.plan.limits
    stage = cooling.first_stage if name == "cool_first" else cooling.total
    if stage is None or stage.verdict in (Verdict.MET, Verdict.PENDING):
        return
    until = stage.decided_at or stage.due_at
    read = [one for one in cooling.readings if one.observed_at <= until]
    limit: TemperatureLimit = getattr(limits, name)
    judged.report.add(
        rule_name,
        batch.subject,
        stage.verdict,
        opener=batch.opener,
        rests_on=[one.entry for one in read],
        onset_at=stage.due_at,
        found_at=stage.decided_at,
        measured={"since": stage.since, **(shown(read[-1].reading) if read else {})},
        limit={**limit.printed(), f"{name}_min": getattr(limits, f"{name}_min")},
        source=batch.plan.source(f"{name}_min"),
        plan=batch.plan,
    )


def report_cold_batch(judged: Judged, batch: holders.Batch) -> None:
    """Report readings of a batch over the cold limit after its cooling was done."""
    cooling, plan = judged.coolings[batch.subject], batch.plan
    overs = [
        (one.entry, one.reading, None if plan.limits.cold_holding.at_or_below(one.reading) else Verdict.NOT_MET)
        for one in cooling.readings
        if cooling.is_in_cold_storage(one.observed_at)
    ]
    report_runs(judged.report, batch.subject, overs, plan_of=lambda _entry: plan)


@rule(
    "date_mark.passed",
    group="cold_storage",
    each=Each.BATCH,
    subjects=("batch",),
    reads=COOLING,
    reach=(FOOD,),
    limits=("date_mark_days",),
    critical=Critical.NOT_MET,
    sets_aside=("batch",),
    not_met=("discard",),
)
def report_date_mark(judged: Judged, batch: holders.Batch) -> None:
    """Birds of a batch were still there, or used, after the last day: not met.

    The day of cooking is day 1; chilling again starts no new count.
    """
    passed = _first_passed(judged, batch)
    if passed is None:
        return
    over_at, mark = passed
    late = [move.entry for move in batch.outs if move.at >= over_at and not _is_discarded(move.entry)]
    judged.report.add(
        "date_mark.passed",
        batch.subject,
        Verdict.NOT_MET,
        opener=batch.opener,
        rests_on=late,
        onset_at=over_at,
        ended_at=batch.emptied.at if batch.emptied else None,
        measured={"birds": _birds_from(batch, over_at)},
        limit={"date_mark_days": batch.plan.limits.date_mark_days, "use_by": mark.last_day},
        source=batch.plan.source("date_mark_days"),
        plan=batch.plan,
    )


def _first_passed(judged: Judged, batch: holders.Batch) -> tuple[datetime, DateMark] | None:
    """Give the first moment at which the batch held birds past their last day: that day's end, or when they went in."""
    start_of, marks = judged.calendar.start_of, judged.coolings[batch.subject].marks
    passing = [(max(start_of(mark.last_day + _ONE_DAY), mark.since), mark) for mark in marks]
    over_at, mark = min(passing, key=lambda item: (item[0], item[1].last_day))
    return (over_at, mark) if over_at <= judged.report.as_of and _birds_from(batch, over_at) > 0 else None


def _birds_from(batch: holders.Batch, at: datetime) -> Decimal:
    """Give the birds held from a moment on, with those that go in at it."""
    return batch.birds_at(at) + sum((move.birds for move in batch.fills if move.at == at), Decimal(0))


def _is_discarded(out: Entry) -> bool:
    return isinstance(out, BatchOut) and out.to == "discarded"
