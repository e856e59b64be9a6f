"""Business days: from the plan's `day_starts` to the next, in the site's own time zone."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from ..plans import plan

_ONE_DAY = timedelta(days=1)


def day_start(day: date, *, plans: Sequence[plan.Adopted], zone: ZoneInfo) -> datetime:
    """Give the UTC instant at which the business day starts, by the plan in force at that day's midnight."""
    return _start(day, tuple(plans), zone)


@lru_cache(maxsize=4096)
def _start(day: date, plans: tuple[plan.Adopted, ...], zone: ZoneInfo) -> datetime:
    midnight = datetime.combine(day, time(), zone).astimezone(UTC)
    starts = plan.resolve(plan.in_force(plans, midnight), day).limits.day_starts
    return datetime.combine(day, starts, zone).astimezone(UTC)


def day_bounds(day: date, *, plans: Sequence[plan.Adopted], zone: ZoneInfo) -> tuple[datetime, datetime]:
    """Give [start, next start) of a business day in UTC; 23 or 25 hours apart where the clocks change."""
    return day_start(day, plans=plans, zone=zone), day_start(day + _ONE_DAY, plans=plans, zone=zone)


def business_day(at: datetime, *, plans: Sequence[plan.Adopted], zone: ZoneInfo) -> date:
    """Give the business day that a moment belongs to."""
    local = at.astimezone(zone).date()
    return local if day_start(local, plans=plans, zone=zone) <= at else local - _ONE_DAY


def plan_of_day(day: date, *, plans: Sequence[plan.Adopted], zone: ZoneInfo) -> plan.Plan:
    """Give the plan in force at the start of a business day."""
    return plan.resolve(plan.in_force(plans, day_start(day, plans=plans, zone=zone)), day)
