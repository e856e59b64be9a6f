"""Times of day by the clock that a kitchen reads: `15:39` on a face of 24 hours, `3:39 pm` on one of 12.

The one place where a time of day becomes words. Pages say by which clock; without that, and in whatever no kitchen
asked for (commands, exchange format), it is 24 hours.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime, time
from functools import lru_cache

from babel import Locale, dates

from .locales import current_locale

_USUAL = 24
_HOURS: ContextVar[int] = ContextVar("hours of the clock", default=_USUAL)


def show_clock(hours: int) -> None:
    """Say times by this clock from now on, in this request: 12 or 24 hours."""
    _HOURS.set(hours)


def show_usual_clock() -> None:
    """Say times by the clock of 24 hours again."""
    _HOURS.set(_USUAL)


@contextmanager
def by_clock(hours: int) -> Iterator[None]:
    """Say times by this clock in here: 12 or 24 hours."""
    before = _HOURS.set(hours)
    try:
        yield
    finally:
        _HOURS.reset(before)


def clock_hours() -> int:
    """Give the hours of the clock by which times are said: 12 or 24."""
    return _HOURS.get()


def time_of_day(at: datetime | time) -> str:
    """Give a time of day as it stands on the clock: `15:39`, `3:39 pm`, which no line breaks apart.

    Noon is 12:00 pm and midnight 12:00 am (U.S. Government Publishing Office Style Manual, 2016, 12.9).
    """
    if _HOURS.get() == _USUAL:
        return f"{at.hour:02d}:{at.minute:02d}"
    return f"{at.hour % 12 or 12}:{at.minute:02d}\N{NO-BREAK SPACE}{_half(current_locale(), at.hour >= 12)}"


def short_time_of_day(at: datetime) -> str:
    """Give a time of day as short as it stands under a line of time: `15:00`, `3 pm`."""
    text = time_of_day(at)
    return text if _HOURS.get() == _USUAL else text.replace(":00", "")


@lru_cache(maxsize=32)
def _half(locale: Locale, is_after_noon: bool) -> str:
    """Give what the reader's language calls a half of the day."""
    names = dates.get_period_names("abbreviated", locale=locale)
    return str(names["pm" if is_after_noon else "am"]).lower()
