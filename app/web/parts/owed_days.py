"""Earlier days that still ask for something: an answer, a review or a signature."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from app.rules.figures.day_figures import Standing

from .standings import AT_MOST, read_standings

_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class OwedDay:
    """A day that is over and asks for something."""

    day: date
    standing: Standing


def is_owed(standing: Standing) -> bool:
    """Whether a day that is over asks for something."""
    return standing.state in ("not_signed", "changed") or bool(standing.to_act or standing.to_review)


def owed_before(code: str, today: date) -> Sequence[OwedDay]:
    """Give the days of the last two months before one that ask for something, the newest first."""
    standings = read_standings(code, today - _ONE_DAY * AT_MOST, today - _ONE_DAY)
    return [OwedDay(day, one) for day, one in sorted(standings.items(), reverse=True) if is_owed(one)]
