"""A period that is asked for: two dates, each with what is wrong beside it."""

from dataclasses import dataclass
from datetime import date, timedelta

from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import StringField

from app import clock, ledger
from app.server import get_database

from ..kitchen.running_day import EARLIEST
from ..parts.page_form import PageForm
from ..signin import identity

LONGEST = 731
"""Days in one period: two years, one of them a leap year."""
_LATEST = date(2200, 1, 1)


class PeriodForm(PageForm):
    """From one day to another, both included."""

    first = StringField(_l("From"))
    last = StringField(_l("To"))


@dataclass(frozen=True, slots=True)
class Period:
    """Business days from one to another, both included."""

    first: date
    last: date

    @property
    def days(self) -> int:
        """How many days these are."""
        return (self.last - self.first).days + 1


def read_period(form: PeriodForm, *, usual: timedelta) -> Period | None:
    """Give the days that are asked for, up to today, or the usual ones; None with what is wrong at a field."""
    with get_database().reading() as session:
        today = ledger.today(session, identity.current().site.code, clock.utc_now())
    if not (form.first.data or form.last.data):
        form.first.data, form.last.data = (today - usual + timedelta(days=1)).isoformat(), today.isoformat()
    first, last = typed_day(form, "first"), typed_day(form, "last")
    if first is None or last is None:
        return None
    if last < first:
        form.refuse("last", _("This day is before the first one."))
    elif first > today:
        form.refuse("first", _("This day has not come yet."))
    elif (last - first).days >= LONGEST:
        form.refuse("first", _("These are more than two years. Choose fewer days."))
    return None if form.errors_at() else Period(first, min(last, today))


def typed_day(form: PageForm, name: str) -> date | None:
    """Give the day that was typed in a field; None with the error at it."""
    text = (form[name].data or "").strip()
    try:
        day = date.fromisoformat(text)
    except ValueError:
        day = None
    if day is None or not EARLIEST <= day < _LATEST:
        form.refuse(name, _("This is not a date. Write it like this: 2026-04-14."))
        return None
    return day
