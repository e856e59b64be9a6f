"""The list of days: which are signed, which are not, which were touched since, and what is open in each."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from flask import Blueprint, abort, request
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session

from app import clock, ledger
from app.kinds.permissions import Permission
from app.rules.figures.day_figures import Standing
from app.server import get_database

from ..parts.pages import page
from ..parts.standings import read_standings
from ..setup.index import kitchen
from ..signin import identity
from ..signin.identity import requires
from .review import get_day

blueprint = Blueprint("days", __name__)

_DAYS_A_PAGE = 14


@dataclass(frozen=True, slots=True)
class DayRow:
    """One day: how it stands, who signed it, and how much is owed."""

    day: date
    standing: Standing


@dataclass(frozen=True, slots=True)
class DaysPage:
    """Two weeks of days, the newest first; `newer` and `older` are where their neighbours begin."""

    rows: Sequence[DayRow]
    newer: date | None
    older: date | None


@blueprint.get("/days")
@requires(Permission.READ_DAY)
def index() -> ResponseReturnValue:
    """Show the days, two weeks at a time."""
    given = request.args.get("from")
    return page("review/days.html", view=read_days(get_day(given) if given else None))


def read_days(newest: date | None) -> DaysPage:
    """Tell the days from `newest` (none: today) backwards, as far as there are any."""
    site, now = identity.current().site, clock.utc_now()
    with get_database().reading() as session:
        today = ledger.today(session, site.code, now)
        first = _first_day(session, today)
    start = min(newest or today, today)
    shown = [day for day in _backwards(start, _DAYS_A_PAGE) if day >= first]
    if not shown:
        abort(404)
    standings = read_standings(site.code, shown[-1], start)
    rows = [DayRow(day, standings[day]) for day in shown]
    older = rows[-1].day - timedelta(days=1)
    newer = min(today, start + timedelta(days=_DAYS_A_PAGE))
    return DaysPage(rows, newer if start < today else None, older if older >= first else None)


def _first_day(session: Session, today: date) -> date:
    """Give the business day of the first entry; today where there is none."""
    site = kitchen(session)
    first = ledger.first_seen(session, site.code)
    if first is None:
        return today
    return ledger.today(session, site.code, first)


def _backwards(newest: date, count: int) -> Sequence[date]:
    return [newest - timedelta(days=number) for number in range(count)]
