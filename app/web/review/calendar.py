"""A month of days at a glance: signed, owed, set aside."""

from calendar import Calendar
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from flask import Blueprint, request
from flask.typing import ResponseReturnValue

from app import clock, ledger
from app.kinds.permissions import Permission
from app.rules.figures.day_figures import Standing
from app.server import get_database, kept_logs

from ..parts.owed_days import is_owed
from ..parts.pages import page
from ..parts.standings import read_standings
from ..signin import identity
from ..signin.identity import requires
from .review import get_day

blueprint = Blueprint("calendar", __name__)

_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """A square of the month: None of another month or to come."""

    day: date
    standing: Standing | None
    is_of_month: bool
    is_today: bool
    lacks_log: bool = False
    """Whether it was signed, and its log could not be written."""


@dataclass(frozen=True, slots=True)
class CalendarPage:
    """A month, its weeks from Monday to Sunday, and where its neighbours begin."""

    first: date
    weeks: Sequence[Sequence[CalendarDay]]
    previous: date | None
    following: date | None
    owed: int
    """Days of the month that ask for something: not signed, changed since, with something to act on or to review, or
    with a log that could not be written."""


@blueprint.get("/calendar")
@requires(Permission.READ_DAY)
def month() -> ResponseReturnValue:
    """Show a month; without a day the running one."""
    code, given = identity.current().site.code, request.args.get("day")
    with get_database().reading() as session:
        now = clock.utc_now()
        today, seen = ledger.today(session, code, now), ledger.first_seen(session, code)
        begun = ledger.today(session, code, seen) if seen else today
        without_log = {one.day for one in kept_logs.unfinished(session, code) if one.is_log}
    first = min(get_day(given) if given else today, today).replace(day=1)
    following = (first + timedelta(days=31)).replace(day=1)
    standings = read_standings(code, first, following - _ONE_DAY)
    weeks = [
        [replace(_day(day, first, today, standings), lacks_log=day in without_log) for day in week]
        for week in Calendar().monthdatescalendar(first.year, first.month)
    ]
    view = CalendarPage(
        first=first,
        weeks=weeks,
        previous=(first - _ONE_DAY).replace(day=1) if first > begun else None,
        following=following if following <= today else None,
        owed=sum(is_owed(one) or day in without_log for day, one in standings.items()),
    )
    return page("review/calendar.html", view=view)


def _day(day: date, first: date, today: date, standings: dict[date, Standing]) -> CalendarDay:
    is_of_month = (day.year, day.month) == (first.year, first.month)
    return CalendarDay(day, standings.get(day) if is_of_month else None, is_of_month, day == today)
