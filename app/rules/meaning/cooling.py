"""What a reading of a batch means, and the two marks of its cooling, by the plan of the batch."""

from datetime import datetime, timedelta

from app.kinds import Temperature

from ..day.subjects_shown import BatchView, StageView, TrayView
from ..facts import Verdict
from ..plans.limits import TemperatureLimit
from ..plans.plan import Plan
from .bands import SMALLEST_STEP, Bands, Meaning, bands


def cooling_bands(batch: BatchView, unit: str) -> Bands:
    """Give the table for the pad: cold, past the first mark, or still over it.

    Above a mark it is pending while the batch has a stage to meet; once nothing is pending it is not met.
    """
    limits, plan = batch.plan.limits, batch.plan
    cooling = is_cooling(batch)
    cold = Meaning(code="at_or_under", verdict=Verdict.MET, limit=limits.cool_total, source=plan.source("cool_total"))
    past_first = Meaning(
        code="past_first",
        verdict=Verdict.MET if cooling else Verdict.NOT_MET,
        limit=limits.cool_first,
        source=plan.source("cool_first"),
        further=limits.cool_total,
    )
    warm = Meaning(
        code="still_over",
        verdict=Verdict.PENDING if cooling else Verdict.NOT_MET,
        limit=limits.cool_first,
        source=plan.source("cool_first"),
    )
    steps = [
        (limits.cool_total.in_unit(unit) + SMALLEST_STEP, past_first),
        (limits.cool_first.in_unit(unit) + SMALLEST_STEP, warm),
    ]
    return bands(unit, cold, steps)


def is_cooling(batch: BatchView) -> bool:
    """Whether its cooling is not decided yet."""
    stages = (batch.first_stage, batch.total)
    return batch.birds_left > 0 and any(one is not None and one.verdict is Verdict.PENDING for one in stages)


def marks(batch: BatchView) -> tuple[tuple[str, TemperatureLimit, StageView], ...]:
    """Give (first or total, down to where, stage) of each stage that is asked of the batch."""
    limits = batch.plan.limits
    stages = (("first", limits.cool_first, batch.first_stage), ("total", limits.cool_total, batch.total))
    return tuple((name, limit, stage) for name, limit, stage in stages if stage is not None)


def is_too_warm(batch: BatchView, air: Temperature) -> bool:
    """Whether air is warmer than what the batch is to be cooled to, so that it cannot cool it that far."""
    return not batch.plan.limits.cool_total.at_or_below(air)


def first_mark(tray: TrayView, plan: Plan) -> tuple[TemperatureLimit, datetime] | None:
    """Give (down to where, by when) what is chilled out of a tray now has to be, if it is not read hot once more.

    None where no cooling is asked for, or part of the tray was never known hot.
    """
    if tray.known_hot_at is None or not plan.has("cooling"):
        return None
    return plan.limits.cool_first, tray.known_hot_at + timedelta(minutes=plan.limits.cool_first_min)


def longest_cooling(plan: Plan) -> timedelta:
    """Give how long after its start a batch may at most be pending."""
    return timedelta(minutes=plan.limits.cool_first_min + plan.limits.cool_total_min)


def days_kept(plan: Plan) -> int:
    """Give how many days a batch may be kept, the day of cooking counted as the first."""
    return plan.limits.date_mark_days
