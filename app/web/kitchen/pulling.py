"""Pulling a spit, or a part of it, into a tray."""

from flask import Blueprint, flash, redirect, request, session, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, StringField

from app import words
from app.kinds.permissions import Permission
from app.rules.facts import Verdict

from ..parts.forms import Draft, count, recorded, ticks
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import readings, receivers
from .cooking import SpitPage, find_spit
from .receivers import MergingForm
from .running_day import lead_on
from .typed_names import whole_name

blueprint = Blueprint("pulling", __name__)


class SpitPulledForm(MergingForm):
    """A spit, or a part of it, comes off into a tray."""

    birds = StringField(_l("Birds into the tray"))
    discarded_birds = ticks(_l("Thrown away: which birds"), coerce=int)
    tray = RadioField(_l("Tray"), validate_choice=False)
    tray_name = StringField(_l("Another name for the tray"))
    hot_unit = RadioField(_l("Hot-holding unit"), validate_choice=False)
    ties_removed = StringField(_l("Ties taken off"))
    skewers_removed = StringField(_l("Skewers taken off"))

    def entry(self, view: "SpitPage") -> Draft:
        """Give the pull as an entry; without birds for it there is no tray."""
        birds = count(self.birds.data)
        tray = whole_name("tray", self.tray_name.data) or self.tray.data
        return self.draft(
            "spit_pulled",
            load=view.load.load,
            spit=view.spit.spit,
            birds=birds,
            tray=tray if birds != 0 else None,
            hot_unit=self.hot_unit.data if birds != 0 else None,
            discarded_birds=self.discarded_birds.data or None,
            ties_removed=count(self.ties_removed.data),
            skewers_removed=count(self.skewers_removed.data),
        )

    def field_of(self, index: int, name: str) -> str | None:
        """Give the field of an error; one about the tray is at its name where that was typed."""
        return "tray_name" if name == "tray" and self.tray_name.data else name


@blueprint.route("/loads/<load>/spits/<int:spit>/pull", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def spit_pulled(load: str, spit: int) -> ResponseReturnValue:
    """Pull a spit, or a part of it, into a tray."""
    view = find_spit(load, spit)
    site = identity.current().site
    holding = receivers.trays(view.assessment)
    trays = receivers.new_tray() | receivers.adding(holding)
    units = [item.code for item in readings.listed(site, "hot_unit")]
    hot_unit = session.get("hot_unit") if session.get("hot_unit") in units else units[0] if len(units) == 1 else None
    form = SpitPulledForm.of_request(**_birds_off(view), tray=next(iter(trays)), hot_unit=hot_unit)
    form.discarded_birds.choices = {str(bird): str(bird) for bird in view.birds if bird not in view.discarded}
    form.tray.choices = trays
    form.hot_unit.choices = {unit: unit for unit in units}
    if request.method == "POST":
        draft = form.entry(view)
        if form.is_on_page(holding, draft, "tray") and recorded(form, [draft]):
            session["hot_unit"] = form.hot_unit.data
            return redirect(lead_on(form, _after_pull(draft, find_spit(load, spit))), 303)
    form.note_on_page(holding)
    status = 422 if form.errors_at() else 200
    return page("cooking/spit_pulled.html", status, view=view, form=form, holding=holding)


def _birds_off(view: SpitPage) -> dict[str, object]:
    """Give what comes off: all of it into a tray, or where that was asked for all of it thrown away."""
    if request.args.get("away") != "all":
        return {"birds": str(view.spit.birds_on)}
    left = [bird for bird in view.birds if bird not in view.discarded]
    # Where a part was pulled before, nobody knows which birds that were.
    return {"birds": "0", "discarded_birds": left if len(left) == view.spit.birds_on else []}


def _after_pull(draft: Draft, after: SpitPage) -> str:
    """Say what was pulled, and give where to go on: with the birds still on the spit, else with the tray."""
    named = {"spit": after.spit.spit, "load": words.short_name(after.load.load)}
    if not after.spit.birds_on:
        flash(_("Spit %(spit)s of load %(load)s: pulled.", **named))
        return url_for("holding.tray_page", tray=draft["tray"]) if "tray" in draft else url_for("home.now")
    left = words.birds(after.spit.birds_on)
    flash(_("Spit %(spit)s of load %(load)s: pulled in part. Still on the spit: %(birds)s.", **named, birds=left))
    is_ready = after.spit.if_pulled == Verdict.MET
    return url_for(
        "pulling.spit_pulled" if is_ready else "cooking.cook_reading", load=after.load.load, spit=after.spit.spit
    )
