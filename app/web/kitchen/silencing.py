"""Silencing the alarm of one thing, with a reason, until that thing changes; and testing the sound."""

from flask import Blueprint, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, TextAreaField

from app import words
from app.kinds.permissions import Permission
from app.rules.meaning.alarms import Alarm

from ..parts.forms import Draft, EntryForm, recorded
from ..parts.pages import page
from ..signin.identity import requires
from .jobs import Job
from .running_day import assess_today
from .work import work

blueprint = Blueprint("silencing", __name__)


class SilenceForm(EntryForm):
    """Why an alarm is silenced: typed, else the phrase that is tapped."""

    reason = TextAreaField(_l("Why"))
    reason_phrase = RadioField(validate_choice=False, choices=words.silencing_phrases)

    def entry(self, alarm: Alarm) -> Draft:
        """Give the silence as an entry."""
        reason = " ".join((self.reason.data or "").split()) or self.reason_phrase.data
        return self.draft("alarm_silenced", about=alarm.about, name=alarm.name, alarm=alarm.asks, reason=reason)


class SoundForm(EntryForm):
    """Whether the tone was heard."""

    heard = RadioField(_l("Did you hear it?"), choices=words.heard_answers, validate_choice=False)

    def sound_test(self, index: int = 0) -> Draft:
        """Give the answer as an entry."""
        return self.draft("sound_test", index, heard={"yes": True, "no": False}.get(self.heard.data or ""))


@blueprint.route("/alarms/silence", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def silence() -> ResponseReturnValue:
    """Ask why an alarm is silenced, and keep it. One that is over by now is not."""
    job = _find(request.args.get("alarm", ""))
    form = SilenceForm.of_request()
    if job is None or job.alarm is None:
        flash(_("This alarm is over, or somebody silenced it already."))
        return redirect(url_for("home.now"), 303)
    if request.method == "POST" and recorded(form, [form.entry(job.alarm)]):
        flash(_("Silenced until it changes."))
        return redirect(url_for("home.now"), 303)
    return page("home/silence.html", 422 if form.errors_at() else 200, job=job, form=form)


@blueprint.route("/alarms/sound", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def sound() -> ResponseReturnValue:
    """Play the tone of the alarms, and keep whether it was heard."""
    form = SoundForm.of_request()
    if request.method == "POST" and recorded(form, [form.sound_test()]):
        say_if_silent(form)
        return redirect(url_for("checklists.index"), 303)
    return page("checklists/sound.html", 422 if form.errors_at() else 200, form=form)


def say_if_silent(form: SoundForm) -> None:
    """Say what to do where the tone was not heard."""
    if form.heard.data == "no":
        flash(_("Turn the sound of this device up and test it again. Until then, look at the screen."), "error")
    elif form.heard.data == "yes":
        flash(_("The sound works."))


def _find(key: str) -> Job | None:
    """Give what sounds the alarm that is asked for; None where nothing does."""
    sounding = (job for job in work(assess_today()) if job.can_be_silenced)
    return next((job for job in sounding if job.alarm and job.alarm.key == key), None)
