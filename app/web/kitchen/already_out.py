"""Food that was set aside and is out of the kitchen all the same: how many, where to, who was told, in one form.

The way out and the corrective action that answers for it are kept together.
"""

from dataclasses import dataclass
from decimal import Decimal

from flask import Blueprint, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, StringField

from app import words
from app.kinds import Subject
from app.kinds.permissions import Permission
from app.rules.day.food_shown import SetAsideView
from app.rules.day.food_views import is_still_held
from app.rules.day.shown import Assessment

from ..parts.forms import Draft, quarters, recorded
from ..parts.pages import page
from ..signin.identity import requires
from .cooling import find_batch
from .holding import find_tray
from .phrases import PhrasedForm
from .readings import Foreseen, foresee
from .set_aside import AsideLine, aside_line

blueprint = Blueprint("already_out", __name__)

_KINDS = {"tray": "tray_out", "batch": "batch_out"}
_WAYS = {
    "tray": ("served", "prepared", "donated"),
    "batch": ("served_cold", "reheated_to_order", "prepared", "donated"),
}
"""Ways by which food is out of the kitchen, or used at once, by what it comes out of."""


class AlreadyOutForm(PhrasedForm):
    """What went where, who was told, and what is said about it."""

    birds = StringField(_l("Birds"))
    to = RadioField(_l("Where they went"), validate_choice=False)
    told = StringField(_l("Who was told"))

    def way_out(self, subject: Subject) -> Draft:
        """Give the way out as an entry."""
        own = {subject.kind: subject.name, "birds": quarters(self.birds.data), "to": self.to.data}
        return self.draft(_KINDS[subject.kind], **own)

    def answer(self, keys: list[str]) -> Draft:
        """Give the corrective action that answers findings."""
        return self.draft(
            "corrective_action",
            1,
            findings=keys,
            disposition="already_out",
            told=self.told.data,
            **self.said(),
        )

    def field_of(self, index: int, name: str) -> str | None:
        """Give the field of an error; one about a finding is about the form as a whole."""
        return None if name.startswith(("findings", "disposition")) else name


@dataclass(frozen=True, slots=True, kw_only=True)
class OutPage:
    """What food is out of: a tray or batch that is set aside, or was until now."""

    assessment: Assessment
    subject: Subject
    birds_left: Decimal
    set_aside: SetAsideView | None
    href: str

    @property
    def title(self) -> str:
        """What the food was in."""
        return words.sentence_start(words.subject_words(self.subject))

    @property
    def aside(self) -> AsideLine | None:
        """Why it is set aside; None where it is not."""
        return aside_line(self.assessment, self.subject, self.set_aside)


@blueprint.route("/trays/<tray>/already-out", methods=["GET", "POST"])
@requires(Permission.ANSWER_FINDING)
def of_tray(tray: str) -> ResponseReturnValue:
    """Write down that food of a tray that was set aside is out of the kitchen."""
    found = find_tray(tray)
    return _page(
        OutPage(
            assessment=found.assessment,
            subject=Subject("tray", tray),
            birds_left=found.tray.birds_left,
            set_aside=found.tray.set_aside,
            href=url_for("holding.tray_page", tray=tray),
        )
    )


@blueprint.route("/batches/<batch>/already-out", methods=["GET", "POST"])
@requires(Permission.ANSWER_FINDING)
def of_batch(batch: str) -> ResponseReturnValue:
    """Write down that food of a batch that was set aside is out of the kitchen."""
    found = find_batch(batch)
    return _page(
        OutPage(
            assessment=found.assessment,
            subject=Subject("batch", batch),
            birds_left=found.batch.birds_left,
            set_aside=found.batch.set_aside,
            href=url_for("cooling.batch_page", batch=batch),
        )
    )


def _page(view: OutPage) -> ResponseReturnValue:
    form = AlreadyOutForm.of_request(birds=words.bird_count(view.birds_left))
    form.to.choices = {to: words.sentence_start(words.to_word(to)) for to in _WAYS[view.subject.kind]}
    form.offer_phrases(["aside.left"])
    if request.method == "POST" and _is_kept(form, view):
        flash(_("It is recorded. Somebody in charge reviews it."))
        return redirect(url_for("home.now"), 303)
    return page("findings/already_out.html", 422 if form.errors_at() else 200, view=view, form=form)


def _is_kept(form: AlreadyOutForm, view: OutPage) -> bool:
    """Keep the way out and its answer; alone where it raises nothing, for then there is nothing to answer."""
    out = form.way_out(view.subject)
    foreseen = foresee(form, out)
    if foreseen is None:
        return False
    keys = _answered(foreseen, view.set_aside)
    return recorded(form, [out, form.answer(keys)] if keys else [out])


def _answered(foreseen: Foreseen, aside: SetAsideView | None) -> list[str]:
    """Give the findings that are answered: what this way out raises, and what set food aside of which none is here."""
    raised = [one.key for one in foreseen.raised if foreseen.entry.root in one.entries]
    at = foreseen.entry.observed_at
    gone = [one.key for one in aside.reasons if not is_still_held(foreseen.after, one, at)] if aside else []
    standing = {one.key for one in foreseen.after.findings} | set(aside.findings if aside else ())
    return [key for key in dict.fromkeys((*raised, *gone)) if key in standing]
