"""A chilled batch: cooled in two stages against the clock, then kept cold and used by its date. (design: cooling)"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from app.kinds import Entry

from ..day.report import Report
from ..day.shown import StageView
from ..facts import Verdict
from ..history import kitchen
from ..history.parts import Carried
from ..plans.limits import TemperatureLimit
from .runs import report_runs


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage of cooling: its verdict, when it was due, and when the records decided it (None while pending)."""

    verdict: Verdict
    due_at: datetime
    decided_at: datetime | None

    def view(self) -> StageView:
        """The stage as a day shows it."""
        return StageView(verdict=self.verdict, due_at=self.due_at)


@dataclass(frozen=True, slots=True)
class Cooling:
    """A batch's cooling; a stage is None where no birds were left before it was decided."""

    batch: kitchen.Batch
    started_at: datetime
    readings: tuple[Entry, ...]
    first_stage: Stage | None
    total: Stage | None
    cold_since: datetime | None
    """When the records show the whole cooling done, the start of cold storage."""
    use_by: date


def judge_cooling(report: Report, batch: kitchen.Batch, carried: Carried | None) -> Cooling:
    """Judge both stages of a batch from its readings up to the moment no birds were left."""
    gone_at = batch.emptied.at if batch.emptied else None
    readings = tuple(entry for _, entry in batch.readings if gone_at is None or entry.observed_at <= gone_at)
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


def _started_at(batch: kitchen.Batch, readings: Sequence[Entry], last_hot_at: datetime) -> datetime:
    limits, started_at = batch.plan.limits, last_hot_at
    for entry in readings:
        if limits.cool_total.at_or_below(entry.reading):
            break  # cold: what is read hot after this was warmed again, which is for cold storage to report
        if limits.hot_holding.at_or_above(entry.reading):
            started_at = max(started_at, entry.observed_at)
    return started_at


def _reached(readings: Sequence[Entry], limit: TemperatureLimit) -> datetime | None:
    return next((entry.observed_at for entry in readings if limit.at_or_below(entry.reading)), None)


def _total_due(batch: kitchen.Batch, readings: Sequence[Entry], started_at: datetime) -> datetime:
    limits = batch.plan.limits
    total = timedelta(minutes=limits.cool_total_min)
    if batch.plan.second_stage == "total":
        return started_at + total
    first_due = started_at + timedelta(minutes=limits.cool_first_min)
    return min(_reached(readings, limits.cool_first) or first_due, first_due) + total


def _first_stage(batch: kitchen.Batch, readings: Sequence[Entry], due_at: datetime, until: datetime) -> Stage:
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


def _total(batch: kitchen.Batch, readings: Sequence[Entry], due_at: datetime, until: datetime) -> Stage:
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


def report_cooling(report: Report, cooling: Cooling) -> None:
    """Report a stage that was not met, or not shown in time."""
    limits = cooling.batch.plan.limits
    stages = (
        ("cool.first_stage", cooling.first_stage, limits.cool_first, "cool_first", limits.cool_first_min),
        ("cool.total", cooling.total, limits.cool_total, "cool_total", limits.cool_total_min),
    )
    for rule, stage, limit, name, minutes in stages:
        if stage is None or stage.verdict in (Verdict.MET, Verdict.PENDING):
            continue
        report.add(
            rule,
            cooling.batch.subject,
            stage.verdict,
            opener=cooling.batch.opener,
            rests_on=[entry for entry in cooling.readings if entry.observed_at <= (stage.decided_at or stage.due_at)],
            onset_at=stage.due_at,
            found_at=stage.decided_at,
            measured=_measured(cooling, stage),
            limit={**limit.printed(), f"{name}_min": minutes},
            source=cooling.batch.plan.source(f"{name}_min"),
            plan=cooling.batch.plan,
        )


def _measured(cooling: Cooling, stage: Stage) -> dict[str, object]:
    last = [entry for entry in cooling.readings if entry.observed_at <= (stage.decided_at or stage.due_at)]
    measured: dict[str, object] = {"since": cooling.started_at}
    if last:
        measured |= {"temperature": last[-1].fields["temperature"], "unit": last[-1].fields["unit"]}
    return measured


def report_cold_batch(report: Report, cooling: Cooling) -> None:
    """Report readings of a batch over the cold limit after its cooling was done."""
    if cooling.cold_since is None:
        return
    plan = cooling.batch.plan
    since = cooling.cold_since
    stored = [entry for entry in cooling.readings if entry.observed_at > since]
    overs = [
        (entry, None if plan.limits.cold_holding.at_or_below(entry.reading) else Verdict.NOT_MET) for entry in stored
    ]
    report_runs(report, cooling.batch.subject, overs, plan_of=lambda _entry: plan)


def report_date_mark(report: Report, cooling: Cooling, start_of: Callable[[date], datetime]) -> None:
    """Report birds of a batch that were still there after their last day."""
    batch = cooling.batch
    over_at = start_of(cooling.use_by + timedelta(days=1))
    if report.as_of < over_at or batch.birds_at(over_at) <= 0:
        return
    late = [move.entry for move in batch.outs if move.at >= over_at and move.entry.fields.get("to") != "discarded"]
    report.add(
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
