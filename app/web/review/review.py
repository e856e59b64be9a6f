"""A day for the person in charge and the inspector: the page, and the printed log."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from flask import Blueprint, Response, abort, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import lazy_gettext as _l
from sqlalchemy.orm import Session
from wtforms import HiddenField, PasswordField, SelectMultipleField, TextAreaField

from app import ledger, words
from app.kinds.permissions import Permission
from app.server import drawings, get_database, kept_logs

from ..kitchen.running_day import EARLIEST, now_here
from ..parts.forms import EntryForm, count
from ..parts.owed_days import owed_before
from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from .day_page import DayPage, NotFinished, build_day_page

blueprint = Blueprint("review", __name__)

_LATEST = date(2200, 1, 1)
"""Days that are asked for in earnest; the calendar itself ends at the year 9999."""


class VerificationForm(EntryForm):
    """Which actions are accepted or sent back, with a remark for their authors."""

    findings = SelectMultipleField(_l("Actions"), choices={}, validate_choice=False)
    outcome = HiddenField()
    remark = TextAreaField(_l("Remark to whoever acted"))


class SignForm(PageForm):
    """The password once more; the head that was shown comes back with it."""

    seq = HiddenField()
    hash = HiddenField()
    password = PasswordField(_l("Your password"))


@blueprint.get("/day/<day>")
@requires(Permission.READ_DAY)
def day_page(day: str) -> ResponseReturnValue:
    """Show a day: what is wrong and owed, then everything as the log has it."""
    return show_day(get_day(day))


@blueprint.get("/day/<day>/log.pdf")
@requires(Permission.READ_DAY)
def log_pdf(day: str) -> ResponseReturnValue:
    """Print a day's log: as a file, or a page that fetches it once it is made; with `?drawing=` one that is awaited."""
    on, site, number = get_day(day), identity.current().site.code, count(request.args.get("drawing"))
    try:
        asked = drawings.find_log(site, on, number) if isinstance(number, int) else None
        asked = asked or drawings.ask_for_log(site, on)
    except drawings.TooManyWaiting:
        return _not_drawn(on, 503, {"Retry-After": str(drawings.RETRY_AFTER_S)})
    except drawings.NotDrawn:
        return _not_drawn(on, 500, {})
    if asked.pdf is None:
        address = url_for("review.log_pdf", day=on, drawing=asked.number)
        body, status = render_template("review/being_made.html", day=on), 202
        # Asks again by itself, without a script, until the answer is the file.
        return body, status, {"Refresh": f"2; url={address}"}
    name = f"{site}-{on.isoformat()}-log.pdf"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(asked.pdf, mimetype="application/pdf", headers=headers)


def _not_drawn(day: date, status: int, headers: dict[str, str]) -> ResponseReturnValue:
    with get_database().reading() as session:
        unfinished = _unfinished(session, day)
    view = {"day": day, "is_busy": status == 503, "unfinished": unfinished}
    return render_template("review/not_made.html", **view), status, headers


def show_day(
    day: date, status: int = 200, *, verification: VerificationForm | None = None, signing: SignForm | None = None
) -> ResponseReturnValue:
    """Render a day as it stands now, with the forms as they were sent where one was refused."""
    view = read_day(day)
    return page(
        "review/day.html",
        status,
        view=view,
        verification=verification or _review_of(view),
        signing=signing or SignForm(),
    )


def _review_of(view: DayPage) -> VerificationForm:
    """Give the review with nothing ticked; where all is asked for, with all that somebody else answered."""
    form = VerificationForm()
    if request.args.get("tick") == "all":
        form.findings.data = [one.key for one in view.to_review if not one.is_own]
    return form


def read_day(day: date) -> DayPage:
    """Assess a day up to the ledger's head of this moment, and build its page."""
    who = identity.current()
    with get_database().reading() as session:
        head, now = ledger.head(session, who.site.code), now_here(session)
        assessment = ledger.assess_day(session, who.site.code, day, as_of=now, through_seq=head[0])
        today = ledger.today(session, who.site.code, now)
        kept, unfinished = kept_logs.kept_logs(session, who.site.code, day), _unfinished(session, day)
    view = build_day_page(assessment, head=head, reader=who.person, today=today)
    is_asked = view.is_running and identity.may(Permission.SIGN_DAY)
    earlier = owed_before(who.site.code, today) if is_asked else ()
    return replace(view, kept=kept, unfinished=unfinished, earlier=earlier)


def _unfinished(session: Session, day: date) -> Sequence[NotFinished]:
    site, is_told_why = identity.current().site, identity.may(Permission.SIGN_DAY)
    return [
        NotFinished(one.is_log, one.why if is_told_why else "", words.local_date_time(one.next_try, site.timezone))
        for one in kept_logs.unfinished(session, site.code)
        if one.day == day
    ]


def get_day(text: str) -> date:
    """Give the day of an address, `2026-04-14`; 404 for what is none."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        abort(404)
    if day.isoformat() != text or not EARLIEST <= day < _LATEST:
        abort(404)
    return day
