"""What a bird that is thrown away costs: a figure of the kitchen's own, for trends only."""

from flask import Blueprint, flash, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import StringField

from app import register, words
from app.kinds.permissions import Permission
from app.server import get_database

from ..parts.page_form import PageForm
from ..parts.pages import page
from ..setup.index import kitchen, refusals_at, typed_number
from ..signin.identity import requires

blueprint = Blueprint("bird_cost", __name__, url_prefix="/setup/cost")


class BirdCostForm(PageForm):
    """The cost of one bird; empty for none."""

    bird_cost = StringField(_l("Cost of a bird"))
    bird_currency = StringField(_l("Currency"))


@blueprint.get("")
@requires(Permission.READ_SETUP)
def index() -> ResponseReturnValue:
    """Show what a bird costs, and the form to change it."""
    with get_database().reading() as session:
        cost = register.find_bird_cost(kitchen(session))
    shown = {"bird_cost": f"{cost.amount:.2f}", "bird_currency": cost.currency} if cost else {}
    return _bird_cost(BirdCostForm.of_request(**shown))


@blueprint.post("")
@requires(Permission.SET_BIRD_COST)
def change() -> ResponseReturnValue:
    """Set what a bird costs, or forget it."""
    form = BirdCostForm.of_request()
    with refusals_at(form):
        cost, currency = typed_number("bird_cost", form.bird_cost.data), form.bird_currency.data or ""
        with get_database().writing() as session:
            site = kitchen(session)
            register.set_bird_cost(site, cost, currency)
            if site.bird_currency is not None and not words.is_currency(site.bird_currency):
                raise register.Refused("bird_currency", "unknown", value=currency)
        flash(_("The cost of a bird was set.") if cost is not None else _("No cost of a bird is set any more."))
        return redirect(url_for("bird_cost.index"), 303)
    return _bird_cost(form, 422)


def _bird_cost(form: BirdCostForm, status: int = 200) -> ResponseReturnValue:
    return page("setup/cost.html", status, form=form)
