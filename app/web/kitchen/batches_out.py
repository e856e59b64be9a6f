"""Birds out of a batch, a batch into another cold unit, and the start of a reheat."""

from decimal import Decimal

from flask import Blueprint, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, StringField

from app import words
from app.kinds.permissions import Permission
from app.rules.meaning.reheating import asked

from ..parts.forms import Draft, EntryForm, quarters, recorded
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import readings, receivers, typed_names
from .cooling import WAYS, find_batch
from .naming import propose_name
from .receivers import MergingForm
from .running_day import lead_on
from .trays_out import KEPT_COLD, keeping, new_batch

blueprint = Blueprint("batches_out", __name__)


class BatchMovedForm(EntryForm):
    """The cold unit that a batch goes to."""

    cold_unit = RadioField(_l("Cold unit"), validate_choice=False)


class BatchOutForm(MergingForm):
    """Birds out of a batch, and where they went."""

    birds = StringField(_l("Birds"))
    to = RadioField(_l("Where they went"), validate_choice=False)
    kept = RadioField(_l("Prepared: used at once, or kept cold?"), validate_choice=False)
    product = StringField(_l("What it becomes"))
    into_of = RadioField(_l("Batch"), validate_choice=False)
    into = StringField(_l("Another name for the batch"))

    def entry(self, batch: str) -> Draft:
        """Give the entry, with the fields of this way out and no others."""
        own: Draft = {}
        if self.to.data == "prepared":
            is_kept = self.kept.data == KEPT_COLD
            own = {"product": self.product.data, "into": self.kept_in if is_kept else None}
        return self.draft("batch_out", batch=batch, birds=quarters(self.birds.data), to=self.to.data, **own)

    @property
    def kept_in(self) -> str | None:
        """The batch that it goes into: typed, else chosen."""
        return typed_names.whole_name("batch", self.into.data) or self.into_of.data

    def field_of(self, index: int, name: str) -> str | None:
        """Give the field of an error; one about the other batch is where it was chosen, unless its name was typed."""
        return "into_of" if name == "into" and not self.into.data else name


class ReheatStartedForm(EntryForm):
    """Birds of a batch that are heated again for hot holding."""

    birds = StringField(_l("Birds"))
    reheat = StringField(_l("Name of the reheat"))


@blueprint.route("/batches/<batch>/move", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def batch_moved(batch: str) -> ResponseReturnValue:
    """Move a batch to another cold unit."""
    view = find_batch(batch)
    form = BatchMovedForm.of_request()
    units = [item.code for item in readings.listed(identity.current().site, "cold_unit")]
    form.cold_unit.choices = {unit: unit for unit in units if unit != view.batch.cold_unit}
    draft = form.draft("batch_moved", batch=batch, cold_unit=form.cold_unit.data)
    if request.method == "POST" and recorded(form, [draft]):
        flash(_("Batch %(batch)s is in %(unit)s now.", batch=words.short_name(batch), unit=form.cold_unit.data))
        return redirect(url_for("cooling.batch_page", batch=batch), 303)
    return page("cooling/batch_moved.html", 422 if form.errors_at() else 200, view=view, form=form)


@blueprint.route("/batches/<batch>/out", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def batch_out(batch: str) -> ResponseReturnValue:
    """Write down where birds of a batch went."""
    view = find_batch(batch)
    presets = {"birds": words.bird_count(view.batch.birds_left), "to": request.args.get("to")}
    form = BatchOutForm.of_request(**presets, into_of=propose_name("batch"))
    holding = receivers.batches(view.assessment, but=batch)
    form.into_of.choices = new_batch() | receivers.adding(holding)
    known = (way for way in WAYS if way != "reheated" and way in (*view.batch.ways_in_order, form.to.data))
    form.to.choices = {way: words.sentence_start(words.to_word(way)) for way in known}
    form.kept.choices = keeping()
    draft = form.entry(batch)
    if request.method == "POST" and form.is_on_page(holding, draft, "into") and recorded(form, [draft]):
        said = {"birds": words.birds(Decimal(str(draft["birds"]))), "what": words.to_word(draft["to"])}
        flash(_("Batch %(batch)s: %(birds)s, %(what)s.", batch=words.short_name(batch), **said))
        return redirect(lead_on(form, url_for("home.now")), 303)
    form.note_on_page(holding)
    return page("cooling/batch_out.html", 422 if form.errors_at() else 200, view=view, form=form, holding=holding)


@blueprint.route("/batches/<batch>/reheat", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def reheat_started(batch: str) -> ResponseReturnValue:
    """Start heating birds of a batch for hot holding."""
    view = find_batch(batch)
    form = ReheatStartedForm.of_request(birds=words.bird_count(view.batch.birds_left), reheat=propose_name("reheat"))
    draft = form.draft("reheat_started", batch=batch, birds=quarters(form.birds.data), reheat=form.reheat.data)
    is_new = request.method == "POST" and typed_names.is_new(form, "reheat", "reheat", form.reheat.data)
    if is_new and recorded(form, [draft]):
        flash(_("Reheat %(reheat)s is started.", reheat=words.short_name(draft["reheat"])))
        return redirect(lead_on(form, url_for("reheating.reheat_page", reheat=draft["reheat"])), 303)
    status, reheating = 422 if form.errors_at() else 200, asked(view.assessment.plan)
    return page("cooling/reheat_started.html", status, view=view, form=form, reheating=reheating)
