"""Time as the control, from a tray's page: from now on the clock counts, and the label says until when."""

from flask import Blueprint, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import HiddenField, StringField

from app import words
from app.kinds import Subject
from app.kinds.permissions import Permission
from app.rules.meaning import holding as meaning

from ..parts.forms import Draft, EntryForm, instant_text, local_instant, local_text, recorded
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import readings
from .holding import TrayPage, find_tray
from .readings import Foreseen
from .running_day import lead_on
from .set_aside import aside_line, ways_out

blueprint = Blueprint("time_control", __name__)


class TimeControlStartedForm(EntryForm):
    """The discard time that is written on the label."""

    marked_discard_by = StringField(_l("Discard time on the label"))
    reckoned = HiddenField()
    """The time that was filled in: left as it was, it goes with the moment that the start is seen at."""

    def fill_in(self, reckoned: str) -> None:
        """Fill in the label's time."""
        self.marked_discard_by.data = self.reckoned.data = reckoned

    @property
    def is_as_filled_in(self) -> bool:
        """Whether nobody wrote another time than the one filled in."""
        return bool(self.reckoned.data) and self.marked_discard_by.data == self.reckoned.data

    def entry(self, tray: str) -> Draft:
        """Give the start as an entry; what is no time stays as typed, for the ledger to refuse at its field."""
        typed = self.marked_discard_by.data or ""
        marked = local_instant(typed, identity.current().site.timezone)
        return self.draft(
            "time_control_started", tray=tray, marked_discard_by=instant_text(marked) if marked else typed
        )


@blueprint.route("/trays/<tray>/time-control", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def time_control_started(tray: str) -> ResponseReturnValue:
    """Start time as the control for a tray; the label's time is filled in as the plan reckons it."""
    view, form = find_tray(tray), TimeControlStartedForm.of_request()
    bar = meaning.start_bar(view.tray, view.assessment.as_of)
    if bar is not None and request.method != "POST" and "started" not in request.args:
        return _instead(view, bar)
    foreseen, is_anew = None, False
    if request.method != "POST":
        foreseen = readings.foresee(form, form.draft("time_control_started", tray=tray))
        form.fill_in(_computed(foreseen, tray))
    elif form.is_as_filled_in:
        foreseen = readings.foresee(form, form.draft("time_control_started", tray=tray))
        reckoned = _computed(foreseen, tray)
        is_anew = foreseen is not None and reckoned < (form.reckoned.data or "")
        if is_anew:
            form.fill_in(reckoned)
    if request.method == "POST" and not is_anew and not form.errors_at() and recorded(form, [form.entry(tray)]):
        flash(_("Tray %(tray)s is under time as the control now. Put the label on it.", tray=words.short_name(tray)))
        return redirect(lead_on(form, url_for("holding.tray_page", tray=tray)), 303)
    return page(
        "holding/time_control_started.html",
        422 if form.errors_at() else 200,
        view=view,
        form=form,
        lacking=_lacking(foreseen),
        is_anew=is_anew,
    )


def _instead(view: TrayPage, bar: str) -> ResponseReturnValue:
    """Show why it may not start, and what may be done with the tray instead."""
    subject = Subject("tray", view.tray.tray)
    return page(
        "holding/time_control_barred.html",
        view=view,
        bar=bar,
        aside=aside_line(view.assessment, subject, view.tray.set_aside),
        ways=ways_out(subject, view.tray.ways_out) if view.tray.birds_left else [],
    )


def _lacking(foreseen: Foreseen | None) -> dict[str, words.FindingWords]:
    """Give what the records would lack, by rule; the label's time is filled in and lacks nothing."""
    if foreseen is None:
        return {}
    lacking = [one for one in foreseen.raised if one.rule != "time_control.mark"]
    return {one.rule: words.finding_words(one, foreseen.after) for one in lacking}


def _computed(foreseen: Foreseen | None, tray: str) -> str:
    """Give the time by which the tray must be empty, to the minute before; empty where it cannot start."""
    if foreseen is None:
        return ""
    discard_at = next(one.discard_at for one in foreseen.after.trays if one.tray == tray)
    return local_text(discard_at, identity.current().site.timezone) if discard_at else ""
