"""Days of the demo by their distance from today, in the kitchen's own time."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

ZONE = ZoneInfo("America/Chicago")
LENGTH = 21
"""Days of history before today."""

_STARTS = time(4)


@dataclass(frozen=True)
class DemoDay:
    """A business day; `back` says how many days before today it is."""

    day: date
    back: int

    def at(self, clock: str) -> datetime:
        """Give a time of day as an instant in UTC; hours from 24 on are those after midnight."""
        hours, minutes = (int(part) for part in clock.split(":"))
        day = self.day + timedelta(days=hours // 24)
        return datetime.combine(day, time(hours % 24, minutes), ZONE).astimezone(UTC)

    def dice(self, what: str) -> Random:
        """Give the same dice each time for the same thing on the same day."""
        return Random(f"{what} {self.back}")

    def named(self, what: str) -> str:
        """Give a name that no other day has, e.g. A-0412-L1."""
        return f"A-{self.day:%m%d}-{what}"


def business_date(at: datetime) -> date:
    """Give the kitchen's business day of a moment."""
    local = at.astimezone(ZONE)
    return local.date() if local.time() >= _STARTS else local.date() - timedelta(days=1)


def days_before(at: datetime) -> list[DemoDay]:
    """Give the days of history, oldest first."""
    today = business_date(at)
    return [DemoDay(today - timedelta(days=back), back) for back in range(LENGTH, 0, -1)]
