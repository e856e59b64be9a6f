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


class Calendar:
    """Business days and plans of one site, with what was asked last at hand."""

    def __init__(self, plans: Sequence[plan.Adopted], zone: ZoneInfo) -> None:
        self.plans, self.zone = tuple(plans), zone
        self._day: tuple[datetime, datetime, date] | None = None
        self._plans: dict[tuple[int, date], plan.Plan] = {}

    def day_of(self, at: datetime) -> date:
        """Give the business day of a moment."""
        if self._day is None or not self._day[0] <= at < self._day[1]:
            day = business_day(at, plans=self.plans, zone=self.zone)
            self._day = (*self.bounds(day), day)
        return self._day[2]

    def bounds(self, day: date) -> tuple[datetime, datetime]:
        """Give a business day's start and the next one's."""
        return day_bounds(day, plans=self.plans, zone=self.zone)

    def start_of(self, day: date) -> datetime:
        """Give a business day's start."""
        return day_start(day, plans=self.plans, zone=self.zone)

    def plan_at(self, at: datetime) -> plan.Plan:
        """Give the plan in force at a moment."""
        adopted = plan.in_force(self.plans, at)
        key = (adopted.version, self.day_of(at))
        found = self._plans.get(key)
        if found is None:
            found = self._plans[key] = plan.resolve(adopted, key[1])
        return found
