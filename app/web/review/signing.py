"""Signing: the person in charge puts their name to a day, with the password again, over the head that was shown."""

from dataclasses import replace
from datetime import date

from flask import Blueprint, flash, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _

from app import words
from app.kinds.permissions import Permission
from app.server.kept_logs import sign_day
from app.server.site_lock import writing_to

from ..parts.forms import clock_told, count
from ..signin import identity
from ..signin.identity import requires
from ..signin.password_again import password_is_right
from .review import SignForm, get_day, show_day

blueprint = Blueprint("signing", __name__)


@blueprint.post("/day/<day>/sign")
@requires(Permission.SIGN_DAY)
def sign(day: str) -> ResponseReturnValue:
    """Sign a day; where it moved since it was shown, say so and show it again."""
    on, form = get_day(day), SignForm.of_request()
    if password_is_right(form) and _is_signed(form, on):
        flash(_("The day is signed. Print its log, or keep the file: the records can be compared with it later."))
        return redirect(url_for("review.day_page", day=day, _anchor="signature"), 303)
    return show_day(on, 422, signing=form)


def _is_signed(form: SignForm, day: date) -> bool:
    who = identity.current()
    # The password was just given, so this is the person's own sign-in, at a tablet too.
    caller = replace(who.caller, via="session", signing=True)
    seq = count(form.seq.data)
    shown = (seq if isinstance(seq, int) else -1, form.hash.data or "")
    with clock_told(form), writing_to(who.site.code) as (session, now):
        result = sign_day(session, who.site.code, day, by=caller, at=now, shown=shown)
        for error in result.errors:
            form.refuse(None, words.error_words(error.field, error.code, error.values))
    return not form.errors_at()
