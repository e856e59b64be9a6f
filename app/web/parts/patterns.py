"""`/patterns`: every part of the pages on one page, for those who build and review them."""

from flask import Blueprint
from flask.typing import ResponseReturnValue
from flask_babel import lazy_gettext as _l
from wtforms import BooleanField, RadioField, StringField

from app.kinds.permissions import Permission
from app.rules.facts import Verdict

from ..signin.identity import requires
from .forms import EntryForm
from .pages import page

blueprint = Blueprint("patterns", __name__)


class PatternsForm(EntryForm):
    """One field of each sort; it is never sent."""

    temperature = StringField(_l("Temperature"), default="164.9")
    place = RadioField(_l("Place"), choices={"breast": "breast", "thigh": "thigh"}, default="breast")
    method = RadioField(_l("Method"), choices={"ice": "ice point", "boiling": "boiling point"}, default="ice")
    adjusted = BooleanField(_l("The probe was adjusted"))
    reason = StringField(_l("Reason"))


@blueprint.get("/patterns")
@requires(Permission.OWN_ACCOUNT)
def patterns() -> ResponseReturnValue:
    """Show every part."""
    form = PatternsForm()
    form.refuse("reason", "Reason: this is needed.")
    return page("patterns.html", form=form, verdicts=list(Verdict))
