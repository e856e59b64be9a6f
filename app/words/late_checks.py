"""A late check of a tray in words: how late, since when its temperature is unknown, and what a low reading means."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

from app.rules.meaning.holding import LateCheck
from app.rules.plans.limits import TemperatureLimit

from . import measures
from .marking import gettext as _


def late_words(late: LateCheck) -> str:
    """Say how late a check is: `check 4 h 5 min late`."""
    return _("check %(length)s late", length=_length(late.late))


def unknown_words(late: LateCheck, zone: ZoneInfo, *, day: date) -> str:
    """Say since when the temperature is not known, and when it was last known to be hot."""
    since = measures.local_time(late.since, zone, day=day)
    if late.known_hot_at is None:
        return _("Temperature unknown since %(time)s.", time=since)
    hot_at = measures.local_time(late.known_hot_at, zone, day=day)
    return _("Temperature unknown since %(time)s, last known hot %(hot)s.", time=since, hot=hot_at)


def if_low_words(late: LateCheck, limit: TemperatureLimit, unit: str) -> str:
    """Say for how long it counts as out of temperature if it is low now, and whether it is then thrown away."""
    length = _length(late.out_if_low)
    said = _(
        "If now under %(limit)s, it was out for up to %(length)s.", limit=measures.limit(limit, unit), length=length
    )
    return f"{said} {_('Then throw away.')}" if late.goes_if_low else said


def _length(length: timedelta) -> str:
    return measures.duration(length).replace(" ", "\N{NO-BREAK SPACE}")
