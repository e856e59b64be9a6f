"""The page of all parts: each is shown with samples that stand for nothing that happened."""

from flask import Blueprint
from flask.typing import ResponseReturnValue

from app import clock
from app.kinds.every_entry import FORMS
from app.kinds.permissions import Permission
from app.rules.facts import Verdict

from ..kitchen.confirming import Pad
from ..kitchen.readings import Foreseen
from ..kitchen.running_day import assess_today
from ..parts.pages import page
from ..review.kind_form import for_kind
from ..signin import identity
from ..signin.identity import requires
from ..signin.saver import WhoForm
from . import samples

blueprint = Blueprint("patterns", __name__)

_KINDS = ("hold_reading", "raw_out", "note")
"""A form of any kind of entry: with a reading, with counts, with neither."""


@blueprint.get("/patterns")
@requires(Permission.OWN_ACCOUNT)
def patterns() -> ResponseReturnValue:
    """Show every part."""
    today, site = assess_today(), identity.current().site
    form = samples.PatternsForm(checks=[{"item": item} for item in ("water", "grease")])
    form.refuse("reason", "Reason: this is needed.")
    form.offer_probes(site)
    kinds = [(FORMS[name], for_kind(FORMS[name], site, today.plan).of_request()) for name in _KINDS]
    now = clock.utc_now()
    found, kept = samples.findings(now, today.day), samples.entries(now)
    typed = Pad(foreseen=Foreseen(entry=kept[0], after=today, raised=tuple(found)), asked=samples.ASKED)
    return page(
        "patterns.html",
        form=form,
        who=WhoForm(),
        kinds=kinds,
        verdicts=list(Verdict),
        site=site,
        assessment=today,
        findings=found,
        answers=samples.answers(now, found[0]),
        entries=kept,
        jobs=samples.jobs(now),
        typed=typed,
        show=samples,
    )
