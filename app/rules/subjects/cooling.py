"""A chilled batch: cooled in two stages against the clock, then kept cold and used by its date.

FDA Food Code 3-501.14 (cooling), 3-501.16(A)(2) (cold holding), 3-501.17 and 3-501.18 (date marking).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple

from app.kinds import BatchOut, CoolingReading, Entry, HoldReading, ReheatStarted, SpitPulled, Temperature, TrayOut

from ..day.registry import Critical, Each, Reach, rule
from ..day.report import Report, shown
from ..day.shown import StageView
from ..facts import Verdict
from ..history import kitchen
from ..history.parts import Carried
from ..plans.limits import TemperatureLimit
from .runs import report_runs

if TYPE_CHECKING:
    from ..day.judge import Judged


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage of cooling: its verdict, when it was due, and when the records decided it (None while pending)."""

    verdict: Verdict
    due_at: datetime
    decided_at: datetime | None

    def view(self) -> StageView:
        """The stage as a day shows it."""
        return StageView(verdict=self.verdict, due_at=self.due_at)


class BatchReading(NamedTuple):
    """A temperature of a batch, read while it cools or given when it was chilled."""

    entry: CoolingReading | TrayOut
    observed_at: datetime
    reading: Temperature


_FOOD = (SpitPulled, HoldReading, TrayOut, CoolingReading, BatchOut, ReheatStarted)
"""What tells when a batch was hot, cold, or gone."""


@dataclass(frozen=True, slots=True)
class Cooling:
    """A batch's cooling; a stage is None where no birds were left before it was decided."""

    batch: kitchen.Batch
    started_at: datetime
    readings: tuple[BatchReading, ...]
    first_stage: Stage | None
    total: Stage | None
    cold_since: datetime | None
    """When the records show the whole cooling done, the start of cold storage."""
    use_by: date


def judge_cooling(report: Report, batch: kitchen.Batch, carried: Carried | None) -> Cooling:
    """Judge both stages of a batch from its readings up to the moment no birds were left."""
    gone_at = batch.emptied.at if batch.emptied else None
    readings = tuple(
        BatchReading(entry, entry.observed_at, entry.reading)
        for entry in batch.readings
        if entry.reading is not None and (gone_at is None or entry.observed_at <= gone_at)
    )
    limits = batch.plan.limits
    started_at = _started_at(batch, readings, carried.hot_at if carried else batch.opened_at)
    since = [entry for entry in readings if entry.observed_at >= started_at]
    until = min(report.as_of, gone_at or report.as_of)
    first = _first_stage(batch, since, started_at + timedelta(minutes=limits.cool_first_min), until)
    total = _total(batch, since, _total_due(batch, since, started_at), until)
    cooked_at = carried.cooked_at if carried else batch.opened_at
    return Cooling(
        batch,
        started_at,
        readings,
        None if first.decided_at is None and gone_at is not None else first,
        None if total.decided_at is None and gone_at is not None else total,
        total.decided_at if total.verdict is Verdict.MET else None,
        report.day_of(cooked_at) + timedelta(days=limits.date_mark_days - 1),
    )


def _started_at(batch: kitchen.Batch, readings: Sequence[BatchReading], last_hot_at: datetime) -> datetime:
    limits, started_at = batch.plan.limits, last_hot_at
    for entry in readings:
        if limits.cool_total.at_or_below(entry.reading):
            break  # cold: what is read hot after this was warmed again, which is for cold storage to report
        if limits.hot_holding.at_or_above(entry.reading):
            started_at = max(started_at, entry.observed_at)
    return started_at


def _reached(readings: Sequence[BatchReading], limit: TemperatureLimit) -> datetime | None:
    return next((entry.observed_at for entry in readings if limit.at_or_below(entry.reading)), None)


def _total_due(batch: kitchen.Batch, readings: Sequence[BatchReading], started_at: datetime) -> datetime:
    limits = batch.plan.limits
    total = timedelta(minutes=limits.cool_total_min)
    if batch.plan.second_stage == "total":
        return started_at + total
    first_due = started_at + timedelta(minutes=limits.cool_first_min)
    return min(_reached(readings, limits.cool_first) or first_due, first_due) + total


def _first_stage(batch: kitchen.Batch, readings: Sequence[BatchReading], due_at: datetime, until: datetime) -> Stage:
    limits = batch.plan.limits
    cold_at = _reached(readings, limits.cool_total)
    for entry in readings:
        before_cold = cold_at is None or entry.observed_at < cold_at
        if entry.observed_at >= due_at and before_cold and not limits.cool_first.at_or_below(entry.reading):
            return Stage(Verdict.NOT_MET, due_at, entry.observed_at)
    reached_at = _reached(readings, limits.cool_first)
    if reached_at is not None and reached_at <= due_at:
        return Stage(Verdict.MET, due_at, reached_at)
    return _undecided(due_at, until)


def _total(batch: kitchen.Batch, readings: Sequence[BatchReading], due_at: datetime, until: datetime) -> Stage:
    limit = batch.plan.limits.cool_total
    reached_at = _reached(readings, limit)
    if reached_at is not None and reached_at <= due_at:
        return Stage(Verdict.MET, due_at, reached_at)
    late = next((entry for entry in readings if entry.observed_at >= due_at), None)
    if late is not None and not limit.at_or_below(late.reading):
        return Stage(Verdict.NOT_MET, due_at, late.observed_at)
    return _undecided(due_at, until)


def _undecided(due_at: datetime, until: datetime) -> Stage:
    if until < due_at:
        return Stage(Verdict.PENDING, due_at, None)
    return Stage(Verdict.NOT_SHOWN, due_at, due_at)


@rule(
    "cool.first_stage",
    group="cooling",
    each=Each.BATCH,
    subjects=("batch",),
    reads=_FOOD,
    reach=(Reach.FOOD,),
    critical=Critical.NOT_MET,
    sets_aside=("batch",),
    not_met=("discard",),
    not_shown=("discard", "hold_for_evaluation"),
)
def report_first_stage(judged: Judged, batch: kitchen.Batch) -> None:
    """Report a first stage that was not met, or not shown in time."""
    _report_stage(judged, "cool.first_stage", batch, name="cool_first")


@rule(
    "cool.total",
    group="cooling",
    each=Each.BATCH,
    subjects=("batch",),
    reads=_FOOD,
    reach=(Reach.FOOD,),
    critical=Critical.NOT_MET,
    sets_aside=("batch",),
    not_met=("discard",),
    not_shown=("discard", "hold_for_evaluation"),
)
def report_total(judged: Judged, batch: kitchen.Batch) -> None:
    """Report a cooling that was not done in time, or not shown to be."""
    _report_stage(judged, "cool.total", batch, name="cool_total")


def _report_stage(judged: Judged, rule_name: str, batch: kitchen.Batch, *, name: str) -> None:
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
        measured={"since": cooling.started_at, **(shown(read[-1].reading) if read else {})},
        limit={**limit.printed(), f"{name}_min": getattr(limits, f"{name}_min")},
        source=batch.plan.source(f"{name}_min"),
        plan=batch.plan,
    )


def report_cold_batch(judged: Judged, batch: kitchen.Batch) -> None:
    """Report readings of a batch over the cold limit after its cooling was done."""
    cooling, plan = judged.coolings[batch.subject], batch.plan
    since = cooling.cold_since
    if since is None:
        return
    overs = [
        (one.entry, one.reading, None if plan.limits.cold_holding.at_or_below(one.reading) else Verdict.NOT_MET)
        for one in cooling.readings
        if one.observed_at > since
    ]
    report_runs(judged.report, batch.subject, overs, plan_of=lambda _entry: plan)


@rule(
    "date_mark.passed",
    group="cold_storage",
    each=Each.BATCH,
    subjects=("batch",),
    reads=_FOOD,
    reach=(Reach.FOOD,),
    critical=Critical.NOT_MET,
    sets_aside=("batch",),
    not_met=("discard",),
)
def report_date_mark(judged: Judged, batch: kitchen.Batch) -> None:
    """Report birds of a batch that were still there after their last day."""
    cooling, as_of = judged.coolings[batch.subject], judged.report.as_of
    over_at = judged.calendar.start_of(cooling.use_by + timedelta(days=1))
    if as_of < over_at or batch.birds_at(over_at) <= 0:
        return
    late = [move.entry for move in batch.outs if move.at >= over_at and not _is_discarded(move.entry)]
    judged.report.add(
        "date_mark.passed",
        batch.subject,
        Verdict.NOT_MET,
        opener=batch.opener,
        rests_on=late,
        onset_at=over_at,
        ended_at=batch.emptied.at if batch.emptied else None,
        measured={"birds": batch.birds_at(over_at)},
        limit={"date_mark_days": batch.plan.limits.date_mark_days, "use_by": cooling.use_by},
        source=batch.plan.source("date_mark_days"),
        plan=batch.plan,
    )


def _is_discarded(out: Entry) -> bool:
    return isinstance(out, BatchOut) and out.to == "discarded"
