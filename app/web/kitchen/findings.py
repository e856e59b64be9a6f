"""Findings that wait for an answer, and the corrective action that answers them."""

from dataclasses import dataclass

from flask import Blueprint, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, StringField

from app import words
from app.kinds import Entry
from app.kinds.permissions import Permission
from app.rules.day.shown import Assessment
from app.rules.facts import Concern, Finding
from app.server import get_database

from ..parts.forms import Draft, find_kept, recorded, ticks
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import probes
from .phrases import PhrasedForm
from .running_day import assess_day, is_open, raised_by, sent_back_words

blueprint = Blueprint("findings", __name__)


class CorrectiveActionForm(PhrasedForm):
    """Cause, what was done, what was done with the food, and how to stop it happening again."""

    also = ticks(_l("Answers these too"))
    disposition = RadioField(_l("What was done with the food"), validate_choice=False)
    told = StringField(_l("Who was told, if food was sold before this was seen"))

    def entry(self, findings: list[Finding]) -> Draft:
        """Give the action as an entry."""
        return self.draft(
            "corrective_action",
            findings=[finding.key for finding in findings],
            disposition=self.disposition.data,
            told=self.told.data,
            **self.said(),
        )

    def allows(self, view: "ActionPage") -> bool:
        """Whether the plan lets this become of the food under all that is answered; an error at the field where not."""
        if not view.dispositions:
            self.refuse("also", _("No single decision about the food fits all of these. Answer them one by one."))
            return False
        if not self.disposition.data or self.disposition.data in view.dispositions:
            return True
        allowed = [words.disposition_word(one) for one in view.dispositions]
        self.refuse("disposition", words.error_words("disposition", "range", {"allowed": allowed}))
        return False

    def field_of(self, index: int, name: str) -> str | None:
        """Give the field of an error; one about a finding is about the form as a whole."""
        return None if name.startswith("findings") else name


@dataclass(frozen=True, slots=True, kw_only=True)
class ActionPage:
    """The findings that one action answers, and others of the same subject that it could answer too."""

    assessment: Assessment
    findings: list[Finding]
    others: list[Finding]

    @classmethod
    def of(cls, assessment: Assessment, findings: list[Finding]) -> "ActionPage":
        """Give the page about some findings of a day."""
        subjects = {finding.subject for finding in findings}
        open_ones = [one for one in assessment.findings if one not in findings and is_open(one)]
        others = [one for one in open_ones if one.subject in subjects]
        return cls(assessment=assessment, findings=findings, others=others)

    def with_also(self, keys: list[str]) -> "ActionPage":
        """Give the page with those of the others that are ticked among what is answered."""
        also = [one for one in self.others if one.key in keys]
        left = [one for one in self.others if one.key not in keys]
        return ActionPage(assessment=self.assessment, findings=[*self.findings, *also], others=left)

    @property
    def sent_back(self) -> list[str]:
        """Who sent what was done back, and why, each in a sentence."""
        found = (sent_back_words(self.assessment, finding.key) for finding in self.findings)
        return [said for said in dict.fromkeys(found) if said]

    @property
    def before(self) -> dict[str, str]:
        """What was written before it was sent back, to be gone on from; nothing where nothing was sent back."""
        answers = self.assessment.answers.get(self.findings[0].key)
        if answers is None or answers.sent_back is None or not answers.actions:
            return {}
        last = answers.actions[-1]
        written = {name: getattr(last, name) for name in ("cause", "action", "prevention")}
        return written | ({"disposition": last.disposition} if last.disposition in self.dispositions else {})

    @property
    def dispositions(self) -> list[str]:
        """What may be done with the food under every one of the findings."""
        first, *more = self.findings
        return [one for one in first.dispositions if all(one in finding.dispositions for finding in more)]


@dataclass(frozen=True, slots=True)
class ReviewLine:
    """What a failed probe check touched: one corrective action may answer for all of it, on the page of the probes."""

    title: str
    says: str

    @classmethod
    def of(cls, review: probes.Review) -> "ReviewLine":
        """Say which readings are to be reviewed."""
        touched = [words.subject_words(one.finding.subject) for one in review.touched if is_open(one.finding)]
        title = _("Readings of probe %(probe)s to review", probe=review.check.probe)
        return cls(title, words.joined(touched))


@blueprint.get("/findings")
@requires(Permission.ANSWER_FINDING)
def index() -> ResponseReturnValue:
    """List a day's findings; several may be answered at once."""
    assessment = assess_day(request.args.get("day"))
    waiting = sorted(
        filter(is_open, assessment.findings), key=lambda one: (one.concerns != Concern.CRITICAL_LIMIT, one.onset_at)
    )
    answered = [finding for finding in assessment.findings if not is_open(finding)]
    return page(
        "findings/index.html",
        assessment=assessment,
        waiting=waiting,
        answered=answered,
        reviews=[ReviewLine.of(review) for review in probes.reviews_of(assessment) if review.keys],
        sent_back=sent_back_words,
    )


@blueprint.get("/findings/after/<entry_id>")
@requires(Permission.ANSWER_FINDING)
def after(entry_id: str) -> ResponseReturnValue:
    """Ask for the corrective action, if an entry that was just saved raised what wants one; else go on."""
    with get_database().reading() as session:
        saved = find_kept(session, entry_id) or abort(404)
    assessment = assess_day(None)
    raised = raised_by(assessment, saved)
    if not raised:
        return redirect(identity.local_path(request.args.get("then")) or url_for("home.now"), 303)
    view = ActionPage.of(assessment, raised)
    return _shown(view, _form(view), _correction(assessment, saved))


@blueprint.route("/findings/act", methods=["GET", "POST"])
@requires(Permission.ANSWER_FINDING)
def act() -> ResponseReturnValue:
    """Record corrective action about one finding or several."""
    if not (keys := request.args.getlist("finding")):
        flash(_("Tick what the action answers."))
        return redirect(url_for("findings.index", day=request.args.get("day")), 303)
    view = _chosen(keys, request.args.get("day"))
    form = _form(view)
    answered = view.with_also(form.also.data or [])
    if request.method == "POST" and form.allows(answered) and recorded(form, [form.entry(answered.findings)]):
        flash(_("The corrective action is recorded. Somebody in charge reviews it."))
        return redirect(identity.local_path(request.args.get("then")) or _back(request.args.get("day")), 303)
    return _shown(view, form)


def _form(view: ActionPage) -> CorrectiveActionForm:
    form = CorrectiveActionForm.of_request(**view.before)
    form.disposition.choices = {one: words.disposition_word(one) for one in view.dispositions}
    form.also.choices = {one.key: words.rule_word(one.rule) for one in view.others}
    form.offer_phrases([one.rule for one in view.findings])
    return form


def _correction(assessment: Assessment, saved: Entry) -> str | None:
    """Give where an entry that was just saved is corrected: often it was only typed wrong."""
    if not identity.may(Permission.MEND_ENTRY) or saved.id in assessment.superseded_by:
        return None
    return url_for("mending.amend", entry_id=saved.id, then=identity.local_path(request.args.get("then")))


def _shown(view: ActionPage, form: CorrectiveActionForm, correction: str | None = None) -> ResponseReturnValue:
    keys = [finding.key for finding in view.findings]
    then = identity.local_path(request.args.get("then"))
    action = url_for("findings.act", finding=keys, day=request.args.get("day"), then=then)
    return page(
        "findings/act.html",
        422 if form.errors_at() else 200,
        view=view,
        form=form,
        action=action,
        correction=correction,
    )


def _back(day: str | None) -> str:
    """Give where whoever acted goes on: from the page of a day back to it, else to what needs doing now."""
    if day and identity.may(Permission.READ_DAY):
        return url_for("review.day_page", day=day)
    return url_for("home.now")


def _chosen(keys: list[str], text: str | None) -> ActionPage:
    assessment = assess_day(text)
    # One that a mending made go away can be sent back too, and then wants an action.
    all_of_day = [*assessment.findings, *(one.finding for one in assessment.cleared)]
    chosen = [finding for finding in all_of_day if finding.key in keys]
    if not chosen:
        abort(404)
    return ActionPage.of(assessment, chosen)
