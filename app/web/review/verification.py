"""Verification: the person in charge accepts corrective actions or sends them back, many at once."""

from flask import Blueprint, flash, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import ngettext

from app.kinds.permissions import Permission

from ..parts.forms import recorded
from ..signin.identity import requires
from .review import VerificationForm, get_day, show_day

blueprint = Blueprint("verification", __name__)


@blueprint.post("/day/<day>/verification")
@requires(Permission.REVIEW_ACTION)
def verify(day: str) -> ResponseReturnValue:
    """Accept the ticked actions, or send them back."""
    on, form = get_day(day), VerificationForm.of_request()
    findings = form.findings.data or []
    if not findings:
        form.refuse("findings", _("Tick the actions that this is about."))
        return show_day(on, 422, verification=form)
    if form.outcome.data == "sent_back" and not (form.remark.data or "").strip():
        form.refuse("remark", _("Say what is missing: whoever acts next reads it."))
        return show_day(on, 422, verification=form)
    draft = form.draft("action_verified", findings=findings, outcome=form.outcome.data or "", remark=form.remark.data)
    if not recorded(form, [draft]):
        return show_day(on, 422, verification=form)
    count = len(findings)
    if form.outcome.data == "accepted":
        flash(ngettext("%(num)s action accepted.", "%(num)s actions accepted.", count))
    else:
        flash(ngettext("%(num)s action sent back.", "%(num)s actions sent back.", count))
    return redirect(url_for("review.day_page", day=day), 303)
