"""Numbers as a cook reads them: temperatures as they stood on the display, times in the kitchen's zone, bird counts."""

import re
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from babel import dates, numbers
from babel.core import get_global

from app.kinds import Temperature
from app.rules.plans.limits import TemperatureLimit

from .clock import short_time_of_day, time_of_day
from .locales import current_locale
from .marking import gettext as _
from .marking import ngettext

_QUARTERS = {Decimal("0.25"): "¼", Decimal("0.5"): "½", Decimal("0.75"): "¾"}


def number(value: Decimal | int) -> str:
    """Give a number in its shortest plain form, with a real minus sign: `164.9`, `−3`."""
    text = f"{Decimal(value).normalize():f}"
    return text.replace("-", "\N{MINUS SIGN}")


def degrees(value: Decimal | int, unit: str) -> str:
    """Give a temperature in °F or °C: `164.9 °F`, which no line breaks apart."""
    return f"{number(value)}\u00a0°{unit}"


def unbroken(text: str) -> str:
    """Keep each number of degrees in a text together with its unit."""
    return re.sub(r"(?<=\d) (?=°[FC])", "\u00a0", text)


def measured(temperature: Temperature) -> str:
    """Give a temperature as it was read: never converted, never rounded."""
    return degrees(temperature.value, temperature.unit)


def limit(value: TemperatureLimit, unit: str | None = None) -> str:
    """Give a limit as its source prints it, in the reading's unit, or in both: `165 °F / 74 °C`."""
    if unit is None:
        return f"{degrees(value.F, 'F')} / {degrees(value.C, 'C')}"
    return degrees(value.in_unit(unit), unit)


def bird_count(value: Decimal | int) -> str:
    """Give a count of birds with its quarters: `2¼`, `½`, `5`."""
    whole, part = divmod(Decimal(value), 1)
    if part not in _QUARTERS:
        return number(value)
    return (number(whole) if whole else "") + _QUARTERS[part]


def birds(value: Decimal | int) -> str:
    """Give a count with its noun: `1 bird`, `2½ birds`."""
    # Up to one bird is singular in English (`½ bird`); other languages' plurals go by the whole number.
    return ngettext("%(count)s bird", "%(count)s birds", 1 if value and value <= 1 else 2, count=bird_count(value))


def duration(length: timedelta | int) -> str:
    """Give a length of time (a timedelta, or whole seconds): `1 h 45 min`, `12 min`, `15 s`."""
    seconds = int(length.total_seconds()) if isinstance(length, timedelta) else int(length)
    hours, rest = divmod(abs(seconds), 3600)
    minutes, seconds = divmod(rest, 60)
    parts = []
    if hours:
        parts.append(_("%(count)s h", count=hours))
    if minutes:
        parts.append(_("%(count)s min", count=minutes))
    if not parts or (seconds and not hours):
        parts.append(_("%(count)s s", count=seconds))
    return " ".join(parts)


def minutes(count: int) -> str:
    """Give a plan's minutes as a length of time: 105 is `1 h 45 min`."""
    return duration(timedelta(minutes=count)) if count else _("%(count)s min", count=0)


def whole_minutes(length: timedelta) -> int:
    """Give a length of time as the count of minutes that stands in a sentence."""
    return length // timedelta(minutes=1)


def local_time(at: datetime, zone: ZoneInfo, *, day: date | None = None) -> str:
    """Give the time on the kitchen's clock: `12:14`; with the date where it is not `day`'s: `Wed 15 Apr, 00:20`.

    An hour that the clocks go through twice says which of the two it is: `01:30 CDT`.
    """
    local = at.astimezone(zone)
    text = _with_zone(time_of_day(local), local)
    if day is None or local.date() == day:
        return text
    pattern = "EEE d MMM" if local.year == day.year else "EEE d MMM y"
    return f"{dates.format_date(local.date(), pattern, locale=current_locale())}, {text}"


def tick_time(at: datetime, zone: ZoneInfo) -> str:
    """Give a time as short as it stands under a line of time: `15:00`, `3 pm`, `3:30 pm`."""
    local = at.astimezone(zone)
    return _with_zone(short_time_of_day(local), local)


def _with_zone(text: str, local: datetime) -> str:
    """Add the zone to a time of an hour that the clocks go through twice: `01:30 CDT`."""
    is_twice = local.replace(fold=0).utcoffset() != local.replace(fold=1).utcoffset()
    return f"{text} {local.tzname()}" if is_twice else text


def local_date_time(at: datetime, zone: ZoneInfo) -> str:
    """Give date, clock time and zone in full: `Tue 14 April 2026, 12:14 CDT`."""
    local = at.astimezone(zone)
    return f"{day_words(local.date())}, {time_of_day(local)} {local.tzname()}"


def day_words(day: date) -> str:
    """Give a day in full: `Tue 14 April 2026`."""
    return dates.format_date(day, "EEE d MMMM y", locale=current_locale())


def days_words(first: date, last: date) -> str:
    """Say from which day to which, both included."""
    return _("%(first)s to %(last)s", first=day_words(first), last=day_words(last))


def month_words(day: date) -> str:
    """Give the month of a day: `April 2026`."""
    return dates.format_date(day, "LLLL y", locale=current_locale())


def weekday_word(day: date) -> str:
    """Give the weekday of a day: `Tuesday`."""
    return dates.format_date(day, "cccc", locale=current_locale())


def short_day(day: date) -> str:
    """Give a day as it stands under a chart: `15 Apr`."""
    return dates.format_date(day, "d MMM", locale=current_locale())


def fingerprint(digest: str) -> str:
    """Give a SHA-256 in groups of four, as it is compared by eye: `f51e ab33 5959 …`."""
    return " ".join(digest[place : place + 4] for place in range(0, len(digest), 4))


def joined(parts: Sequence[str]) -> str:
    """Join words as a list is read out: `1, 2 and 3`."""
    if len(parts) < 2:
        return "".join(parts)
    return _("%(first)s and %(last)s", first=", ".join(parts[:-1]), last=parts[-1])


def joined_or(parts: Sequence[str]) -> str:
    """Join words of which one is chosen: `serve, reheat or chill`."""
    if len(parts) < 2:
        return "".join(parts)
    return _("%(first)s or %(last)s", first=", ".join(parts[:-1]), last=parts[-1])


def money(amount: Decimal, currency: str) -> str:
    """Give an amount as money is written in the reader's language: `$1,234.50`."""
    return numbers.format_currency(amount, currency, locale=current_locale())


def is_currency(code: str) -> bool:
    """Whether an ISO 4217 code is known, now or formerly in use."""
    return code in get_global("all_currencies")


def hour_words(hour: int) -> str:
    """Give an hour of the kitchen's clock: `14:00–14:59`, `2:00 pm–2:59 pm`."""
    return f"{time_of_day(time(hour))}–{time_of_day(time(hour, 59))}"


def language() -> str:
    """Give the language that words come out in, as HTML names it."""
    return str(current_locale()).replace("_", "-")
