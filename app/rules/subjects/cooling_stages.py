"""The two stages of cooling, judged for each part of a batch: birds that went in together, with one clock.

FDA Food Code 3-501.14(A). What is added to a batch does not make good what was late, and does not make late what was
in time: each part has its own clock.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import NamedTuple

from app.kinds import BatchOut, CoolingReading, Entry, Temperature, TrayOut

from ..day.subjects_shown import StageView
from ..facts import Verdict
from ..history.exposure import Exposures
from ..history.holders import Batch, Movement
from ..history.kitchen import Kitchen
from ..plans.limits import TemperatureLimit
from ..plans.plan import Plan


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage of cooling: its verdict, when it was due, and when the records decided it (None while pending)."""

    verdict: Verdict
    since: datetime
    """When the clock that decides it started."""
    due_at: datetime
    decided_at: datetime | None

    def view(self) -> StageView:
        """The stage as a day shows it."""
        return StageView(verdict=self.verdict, due_at=self.due_at)


class BatchReading(NamedTuple):
    """A temperature of a batch, read while it cools or given when it was chilled or prepared."""

    entry: CoolingReading | TrayOut
    observed_at: datetime
    reading: Temperature


class Part(NamedTuple):
    """Birds of one filling that were not shown to be cold when they went into a batch."""

    fill: Entry
    went_in_at: datetime
    opens: bool
    """Whether its filling opened the batch; what was seen a little earlier, by another clock, counts for it then."""
    hot_at: datetime
    """Start of its clock: the last known-hot moment, else the pull."""
    first_met_at: datetime | None
    """When its first stage was met already, in the batch that it came from."""


class PartCooling(NamedTuple):
    """What the readings show of one part."""

    part: Part
    started_at: datetime
    first: Stage
    total: Stage

    def is_cold_before(self, at: datetime) -> bool:
        """Whether its whole cooling was met earlier than a moment."""
        done_at = self.total.decided_at
        return self.total.verdict is Verdict.MET and done_at is not None and done_at < at


def readings_of(batch: Batch, *, until: datetime | None) -> tuple[BatchReading, ...]:
    """Give the temperatures of a batch up to a moment, in order of time."""
    return tuple(
        BatchReading(entry, entry.observed_at, entry.reading)
        for entry in batch.readings
        if entry.reading is not None and (until is None or entry.observed_at <= until)
    )


class Clocks:
    """The parts of every batch with their clocks, followed from batch to batch."""

    def __init__(self, kitchen: Kitchen, exposures: Exposures) -> None:
        self._kitchen, self._hot_at, self._brought = kitchen, exposures.hot_at, exposures.brought
        self._known: dict[int, tuple[Part, ...]] = {}

    def parts_of(self, batch: Batch, *, before: int | None = None) -> tuple[Part, ...]:
        """Give the parts still cooling when they went in, in order of time; those before a place in the day's order."""
        fills = (move for move in batch.fills if before is None or move.index < before)
        return tuple(part for move in fills for part in self._of_fill(batch, move))

    def cooked_at(self, move: Movement) -> datetime:
        """Give when the birds of a filling were cooked; of what was prepared, when it went in."""
        brought = self._brought.get(move.entry.id)
        return move.at if brought is None else brought.cooked_at

    def _of_fill(self, batch: Batch, move: Movement) -> tuple[Part, ...]:
        known = self._known.get(move.index)
        if known is None:
            found = self._moved(batch, move) if isinstance(move.entry, BatchOut) else self._chilled(batch, move)
            known = self._known[move.index] = tuple(found)
        return known

    def _chilled(self, batch: Batch, move: Movement) -> Iterable[Part]:
        hot_at = self._hot_at.get(move.entry.id, move.at)
        yield Part(move.entry, move.at, move is batch.fills[0], hot_at, None)

    def _moved(self, batch: Batch, move: Movement) -> Iterable[Part]:
        """Give what had not cooled in the batch that it came out of; it keeps its clock."""
        source = self._kitchen.holders.get(move.other) if move.other is not None else None
        if not isinstance(source, Batch):
            return
        parts = self.parts_of(source, before=move.index)
        for cooling in judge_parts(source.plan, parts, readings_of(source, until=move.at), until=move.at):
            if cooling.total.verdict is not Verdict.MET:
                met_at = cooling.first.decided_at if cooling.first.verdict is Verdict.MET else None
                yield Part(move.entry, move.at, move is batch.fills[0], cooling.started_at, met_at)


def judge_parts(
    plan: Plan, parts: Sequence[Part], readings: Sequence[BatchReading], *, until: datetime
) -> tuple[PartCooling, ...]:
    """Judge each part; what was met before the next one went in stays met."""
    mixed_at = [*(part.went_in_at for part in parts[1:]), None]
    return tuple(
        _judge_part(plan, part, readings, until=until, mixed_at=at) for part, at in zip(parts, mixed_at, strict=False)
    )


def _judge_part(
    plan: Plan, part: Part, readings: Sequence[BatchReading], *, until: datetime, mixed_at: datetime | None
) -> PartCooling:
    own = [one for one in readings if part.opens or one.observed_at >= part.went_in_at]
    started_at = _started_at(plan, part, own)
    since = [one for one in own if one.observed_at >= started_at]
    alone = [one for one in since if mixed_at is None or _is_before(one, mixed_at)]

    def judged(judge: Callable[..., Stage]) -> Stage:
        before = judge(plan, part, alone, started_at, until)
        return before if before.verdict is Verdict.MET else judge(plan, part, since, started_at, until)

    return PartCooling(part, started_at, judged(_first_stage), judged(_total))


def _is_before(one: BatchReading, mixed_at: datetime) -> bool:
    """Whether it was read before more was added; a temperature given with that is not of what was there."""
    return one.observed_at < mixed_at or (one.observed_at == mixed_at and isinstance(one.entry, CoolingReading))


def _started_at(plan: Plan, part: Part, readings: Sequence[BatchReading]) -> datetime:
    limits, started_at = plan.limits, part.hot_at
    for one in readings:
        if isinstance(one.entry, TrayOut) and one.entry is not part.fill:
            continue
        if limits.cool_total.at_or_below(one.reading):
            break  # cold: what is read hot after this was warmed again, which is for cold storage to report
        if limits.hot_holding.at_or_above(one.reading):
            started_at = max(started_at, one.observed_at)
    return started_at


def _first_stage(
    plan: Plan, part: Part, readings: Sequence[BatchReading], started_at: datetime, until: datetime
) -> Stage:
    limits = plan.limits
    allowed_until = started_at + timedelta(minutes=limits.cool_first_min)
    due_at = max(allowed_until, part.went_in_at)
    if part.first_met_at is not None:
        return Stage(Verdict.MET, started_at, due_at, part.first_met_at)
    cold_at = _reached(readings, limits.cool_total)
    for one in readings:
        before_cold = cold_at is None or one.observed_at < cold_at
        if one.observed_at >= allowed_until and before_cold and not limits.cool_first.at_or_below(one.reading):
            return Stage(Verdict.NOT_MET, started_at, due_at, one.observed_at)
    reached_at = _reached(readings, limits.cool_first)
    if reached_at is not None and reached_at <= allowed_until:
        return Stage(Verdict.MET, started_at, due_at, reached_at)
    return _undecided(started_at, due_at, until)


def _total(plan: Plan, part: Part, readings: Sequence[BatchReading], started_at: datetime, until: datetime) -> Stage:
    limit = plan.limits.cool_total
    allowed_until = _total_until(plan, part, readings, started_at)
    due_at = max(allowed_until, part.went_in_at)
    reached_at = _reached(readings, limit)
    if reached_at is not None and reached_at <= allowed_until:
        return Stage(Verdict.MET, started_at, due_at, reached_at)
    late = next((one for one in readings if one.observed_at >= allowed_until), None)
    if late is not None and not limit.at_or_below(late.reading):
        return Stage(Verdict.NOT_MET, started_at, due_at, late.observed_at)
    return _undecided(started_at, due_at, until)


def _total_until(plan: Plan, part: Part, readings: Sequence[BatchReading], started_at: datetime) -> datetime:
    """Give the end of the whole time: from the start, or further from the first mark (latest when that was due)."""
    total = timedelta(minutes=plan.limits.cool_total_min)
    if plan.second_stage == "total":
        return started_at + total
    first_until = started_at + timedelta(minutes=plan.limits.cool_first_min)
    reached_at = part.first_met_at or _reached(readings, plan.limits.cool_first) or first_until
    return min(reached_at, first_until) + total


def _reached(readings: Sequence[BatchReading], limit: TemperatureLimit) -> datetime | None:
    return next((one.observed_at for one in readings if limit.at_or_below(one.reading)), None)


def _undecided(since: datetime, due_at: datetime, until: datetime) -> Stage:
    if until < due_at:
        return Stage(Verdict.PENDING, since, due_at, None)
    return Stage(Verdict.NOT_SHOWN, since, due_at, due_at)


_BADNESS = (Verdict.MET, Verdict.PENDING, Verdict.NOT_SHOWN, Verdict.NOT_MET)


def worst_stage(stages: Iterable[Stage]) -> Stage | None:
    """Give the stage that a batch has by those of its parts: the worst, of equals the first due; None of none."""
    found = list(stages)
    if not found:
        return None
    worst = max(_BADNESS.index(stage.verdict) for stage in found)
    alike = [stage for stage in found if _BADNESS.index(stage.verdict) == worst]
    if worst == 0:  # met once the last part is
        return max(alike, key=lambda stage: (stage.decided_at or stage.due_at, stage.due_at))
    return min(alike, key=lambda stage: stage.due_at)
