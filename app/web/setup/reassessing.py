"""The plan is looked at again as a whole: what was looked at, what came of it, and why."""

from collections.abc import Mapping
from datetime import timedelta

from flask import Blueprint, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, SelectField, TextAreaField

from app import clock, ledger, logs, words
from app.kinds.permissions import Permission
from app.rules.facts import Concern
from app.server import get_database
from app.server.plan_asking import ask_for_document
from app.server.plan_document import read_plan

from ..parts.forms import Draft, EntryForm, recorded
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires

blueprint = Blueprint("reassessing", __name__, url_prefix="/setup/plan/reassess")

_LOOK_BACK_DAYS = 7


class ReassessmentForm(EntryForm):
    """What was looked at, what came of it, and why; and perhaps the deviation that gave the occasion."""

    looked_at = TextAreaField(_l("What was looked at"))
    outcome = RadioField(
        _l("Outcome"),
        choices=lambda: {code: words.outcome_word(code) for code in ("plan_stands", "plan_to_change")},
        validate_choice=False,
    )
    basis = TextAreaField(_l("What the decision rests on"))
    finding = SelectField(_l("After a deviation that nobody foresaw"), validate_choice=False)

    def entry(self, version: int) -> Draft:
        """Give what is to be kept."""
        said = {"looked_at": self.looked_at.data, "outcome": self.outcome.data, "basis": self.basis.data}
        return self.draft("plan_reassessed", version=version, finding=self.finding.data, **said)


@blueprint.route("", methods=["GET", "POST"])
@requires(Permission.ADOPT_PLAN)
def reassess() -> ResponseReturnValue:
    """Show why the plan is to be looked at again, and keep what came of it."""
    form = ReassessmentForm.of_request()
    form.finding.choices = [("", _("none")), *_deviations().items()]
    with get_database().reading() as session:
        record = read_plan(session, identity.current().site.code, as_of=clock.utc_now())
    if request.method == "POST" and recorded(form, [form.entry(record.adopted.version)]):
        with get_database().writing() as session:
            ask_for_document(session, identity.current().site.code, at=clock.utc_now())
        flash(_("The reassessment is recorded."))
        return redirect(url_for("plan.index"), 303)
    asked = record.reassessment
    view = {"reassessment": asked, "occasions": logs.plan.occasions_words(asked), "version": record.adopted.version}
    return page("setup/plan_reassess.html", 422 if form.errors_at() else 200, form=form, **view)


def _deviations() -> Mapping[str, str]:
    """Give the deviations from a critical limit of the last days, the newest first, in words."""
    code, now, found = identity.current().site.code, clock.utc_now(), dict[str, str]()
    with get_database().reading() as session:
        today = ledger.today(session, code, now)
        for back in range(_LOOK_BACK_DAYS):
            day = today - timedelta(days=back)
            for one in ledger.assess_day(session, code, day, as_of=now).findings:
                if one.concerns is Concern.CRITICAL_LIMIT:
                    said = (words.day_words(day), words.rule_word(one.rule), words.subject_words(one.subject))
                    found.setdefault(one.key, ", ".join(said))
    return found
