"""Weeks: what a week's records show, the signature of whoever verified them, and the same on paper."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from flask import Blueprint, Response, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import HiddenField, PasswordField, TextAreaField

from app import clock, ledger, words
from app.kinds import WeekSignOff
from app.kinds.permissions import Permission
from app.logs.verification import WeekView, week_view, write_week
from app.rules.figures.week import DAYS, monday_of
from app.server import get_database
from app.server.site_lock import writing_to

from ..parts.forms import clock_told, count
from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from ..signin.password_again import password_is_right
from .review import get_day

blueprint = Blueprint("weeks", __name__, url_prefix="/weeks")

_WEEKS_A_PAGE = 8
_ONE_WEEK = timedelta(days=DAYS)


class SignWeekForm(PageForm):
    """The password once more, a remark; the head that was shown comes back with it."""

    seq = HiddenField()
    hash = HiddenField()
    note = TextAreaField(_l("Remark"))
    password = PasswordField(_l("Your password"))


@dataclass(frozen=True, slots=True)
class WeekRow:
    """A week in the list, and who signed it last."""

    first: date
    last: date
    is_over: bool
    signed_by: str
    signed_at: str


@dataclass(frozen=True, slots=True)
class WeekPage:
    """A week, and where its neighbours begin."""

    week: WeekView
    previous: date
    following: date | None


@blueprint.get("")
@requires(Permission.READ_DAY)
def index() -> ResponseReturnValue:
    """List the weeks, the newest first."""
    given = request.args.get("from")
    code, now = identity.current().site.code, clock.utc_now()
    with get_database().reading() as session:
        this_week = monday_of(ledger.today(session, code, now))
        seen = ledger.first_seen(session, code)
        first = monday_of(ledger.today(session, code, seen)) if seen else this_week
        newest = min(monday_of(get_day(given)) if given else this_week, this_week)
        shown = [week for week in _backwards(newest) if week >= first]
        signed = ledger.week_signatures(session, code, shown, as_of=now)
    if not shown:
        abort(404)
    rows = [_row(week, signed.get(week, [None])[-1], is_over=week < this_week) for week in shown]
    older = shown[-1] - _ONE_WEEK
    newer = newest + _ONE_WEEK * _WEEKS_A_PAGE if newest < this_week else None
    return page("review/weeks.html", rows=rows, newer=newer, older=older if older >= first else None)


def _backwards(newest: date) -> Sequence[date]:
    return [newest - _ONE_WEEK * number for number in range(_WEEKS_A_PAGE)]


def _row(week: date, signed: WeekSignOff | None, *, is_over: bool) -> WeekRow:
    at = words.local_date_time(signed.observed_at, identity.current().site.timezone) if signed else ""
    return WeekRow(week, week + _ONE_WEEK - timedelta(days=1), is_over, signed.signer_name if signed else "", at)


@blueprint.get("/<day>")
@requires(Permission.READ_DAY)
def week(day: str) -> ResponseReturnValue:
    """Show a week; any of its days leads to it."""
    first = monday_of(get_day(day))
    if first.isoformat() != day:
        return redirect(url_for("weeks.week", day=first), 302)
    return _shown(first)


@blueprint.get("/<day>/week.pdf")
@requires(Permission.READ_DAY)
def pdf(day: str) -> ResponseReturnValue:
    """Print a week."""
    first = monday_of(get_day(day))
    name = f"{identity.current().site.code}-{first.isoformat()}-week.pdf"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(write_week(_read(first)), mimetype="application/pdf", headers=headers)


@blueprint.post("/<day>/sign")
@requires(Permission.SIGN_DAY)
def sign(day: str) -> ResponseReturnValue:
    """Sign a week; where it moved since it was shown, say so and show it again."""
    first, form = monday_of(get_day(day)), SignWeekForm.of_request()
    if password_is_right(form) and _is_signed(form, first):
        flash(_("The week is signed."))
        return redirect(url_for("weeks.week", day=first, _anchor="signature"), 303)
    return _shown(first, form)


def _is_signed(form: SignWeekForm, first: date) -> bool:
    who = identity.current()
    # The password was just given, so this is the person's own sign-in, at a tablet too.
    caller = replace(who.caller, via="session", signing=True)
    seq = count(form.seq.data)
    shown = (seq if isinstance(seq, int) else -1, form.hash.data or "")
    with clock_told(form), writing_to(who.site.code) as (session, now):
        result = ledger.sign_week(session, who.site.code, first, by=caller, at=now, shown=shown, note=form.note.data)
        for error in result.errors:
            name = error.field if error.field in form else None
            form.refuse(name, words.error_words(error.field, error.code, error.values))
    return not form.errors_at()


def _shown(first: date, form: SignWeekForm | None = None) -> ResponseReturnValue:
    view = _read(first)
    following = first + _ONE_WEEK
    shown = WeekPage(view, first - _ONE_WEEK, following if view.is_over else None)
    form = form or SignWeekForm()
    return page("review/week.html", 422 if form.errors_at() else 200, view=shown, signing=form)


def _read(first: date) -> WeekView:
    with get_database().reading() as session:
        read = ledger.read_week(session, identity.current().site.code, first, as_of=clock.utc_now())
    return week_view(read)
