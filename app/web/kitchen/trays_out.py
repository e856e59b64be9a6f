"""Birds out of a tray: served, discarded, chilled, moved to another tray, and every other way."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from flask import Blueprint, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, StringField

from app import words
from app.kinds.permissions import Permission
from app.rules.day.subjects_shown import TrayView
from app.rules.meaning import asking, cooling
from app.rules.plans.limits import TemperatureLimit

from ..parts.forms import Draft, count, quarters, recorded
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import confirming, readings, receivers
from .holding import WAYS, TrayPage, find_tray
from .naming import propose_name
from .ovens import FreeSpit, free_spits, loads_in_ovens
from .readings import ReadingForm
from .receivers import MergingForm, Receiver
from .running_day import lead_on
from .typed_names import whole_name

blueprint = Blueprint("trays_out", __name__)

_REASONS = ("quality", "end_of_day", "dropped", "time", "temperature", "returned", "other")
USED_AT_ONCE, KEPT_COLD = "at_once", "cold"
_METHODS = ("cut_up", "shallow_pan", "ice_bath", "rapid_chiller", "other")


class TrayOutForm(ReadingForm, MergingForm):
    """Birds out of a tray; each way out uses the fields that it needs."""

    birds = StringField(_l("Birds"))
    reason = RadioField(_l("Reason"), validate_choice=False)
    kept = RadioField(_l("Used at once, or kept cold?"), validate_choice=False)
    product = StringField(_l("What it becomes"))
    batch_of = RadioField(_l("Batch"), validate_choice=False)
    batch = StringField(_l("Another name for the batch"))
    cold_unit = RadioField(_l("Cold unit"), validate_choice=False)
    method = RadioField(_l("How it is chilled"), validate_choice=False)
    reheat = StringField(_l("Name of the reheat"))
    into = RadioField(_l("Into tray"), validate_choice=False)
    free_spit = RadioField(_l("Onto which free spit"), validate_choice=False)
    """`LOAD/SPIT`; a spit that is typed counts before it."""
    load = RadioField(_l("Load"), validate_choice=False)
    spit = StringField(_l("Another spit, not used for that load"))

    def entry(self, tray: str, to: str) -> Draft:
        """Give the entry, with the fields of this way out and no others."""
        whole = to == "returned_to_oven"
        own = _FIELDS[to](self) if to in _FIELDS else {}
        birds = count(self.birds.data) if whole else quarters(self.birds.data)
        return self.draft("tray_out", tray=tray, to=to, birds=birds, **own)

    def field_of(self, index: int, name: str) -> str | None:
        """Give the field of an error: of a batch or spit where it was chosen, unless it was typed."""
        if name == "batch" and not self.batch.data:
            return "batch_of"
        return "free_spit" if name in ("load", "spit") and not self.spit.data else name


def _prepared(form: TrayOutForm) -> Draft:
    """Give what was prepared: used at once it is gone, kept cold it opens a batch."""
    product = {"product": form.product.data}
    return {**product, **_chilled(form)} if form.kept.data == KEPT_COLD else product


def _chilled(form: TrayOutForm) -> Draft:
    reading = form.reading(identity.current().site)
    has_reading = bool(reading["temperature"])
    batch = whole_name("batch", form.batch.data) or form.batch_of.data
    own = {"batch": batch, "cold_unit": form.cold_unit.data, "method": form.method.data}
    return {**own, **reading} if has_reading else own


def _returned(form: TrayOutForm) -> Draft:
    load, _slash, spit = (form.free_spit.data or "").rpartition("/")
    typed = form.spit.data
    return {"load": form.load.data if typed else load, "spit": count(typed or spit)}


_FIELDS: dict[str, Callable[[TrayOutForm], Draft]] = {
    "discarded": lambda form: {"reason": form.reason.data},
    "chilled": _chilled,
    "prepared": _prepared,
    "reheated": lambda form: {"reheat": whole_name("reheat", form.reheat.data)},
    "other_tray": lambda form: {"into": form.into.data},
    "returned_to_oven": _returned,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class WayPage:
    """A way out of a tray as its page shows it."""

    tray: TrayPage
    to: str

    @property
    def is_allowed(self) -> bool:
        """Whether the plan allows this way now, and what was answered about the food."""
        return self.to in self.tray.tray.ways_in_order

    @property
    def first_mark(self) -> tuple[TemperatureLimit, datetime] | None:
        """Down to where, and by when, if its birds are chilled now."""
        return cooling.first_mark(self.tray.tray, self.tray.assessment.plan)

    @property
    def is_mark_past(self) -> bool:
        """Whether that is over before it is chilled: only a reading that shows it hot begins it anew."""
        return self.first_mark is not None and self.first_mark[1] <= self.tray.assessment.as_of


@blueprint.route("/trays/<tray>/out/<to>", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def tray_out(tray: str, to: str) -> ResponseReturnValue:
    """Write down where birds of a tray went; what the plan does not allow is written down too, and raises a finding."""
    view = WayPage(tray=find_tray(tray), to=to if to in WAYS else abort(404))
    form = TrayOutForm.of_request(**_presets(view.tray.tray))
    holding = _holding(view)
    _offer(form, view, holding)
    asked = None
    if request.method == "POST":
        draft = form.entry(tray, to)
        asked = confirming.ask(form, draft, asking.of_chilled())
        is_on_page = form.is_on_page(holding, draft, _INTO.get(to, ""))
        is_answered = confirming.is_answered(form, draft, asked)
        if is_on_page and is_answered and recorded(form, [confirming.with_answer(form, draft)]):
            if "probe" in draft:
                readings.remember_probe(draft)
            said = {"birds": words.birds(Decimal(str(draft["birds"]))), "what": words.to_word(to)}
            flash(_("Tray %(tray)s: %(birds)s, %(what)s.", tray=words.short_name(tray), **said))
            return redirect(lead_on(form, url_for("home.now")), 303)
        form.note_shown(draft)
    form.note_on_page(holding)
    shown = {"view": view, "form": form, "asked": asked, "holding": holding}
    return page("holding/tray_out.html", 422 if form.errors_at() else 200, **shown)


def _presets(tray: TrayView) -> dict[str, object]:
    names = {"batch_of": propose_name("batch"), "reheat": propose_name("reheat")}
    return {"birds": words.bird_count(tray.birds_left), **names, **readings.probe_presets()}


_INTO = {"other_tray": "into", "chilled": "batch", "prepared": "batch", "reheated": "reheat"}
"""Where a way out names what the birds go into."""


def _holding(view: WayPage) -> list[Receiver]:
    """Give what birds may be added to by this way out."""
    assessment, into = view.tray.assessment, _INTO.get(view.to)
    if into == "into":
        return receivers.trays(assessment, but=view.tray.tray.tray)
    if into == "batch":
        return receivers.batches(assessment)
    return receivers.reheats(assessment) if into == "reheat" else []


def _offer(form: TrayOutForm, view: WayPage, holding: list[Receiver]) -> None:
    assessment, site = view.tray.assessment, identity.current().site
    form.offer_probes(site)
    form.reason.choices = {reason: words.reason_word(reason) for reason in _REASONS}
    form.kept.choices = keeping()
    form.method.choices = {method: words.method_word(method) for method in _METHODS}
    _list(form.cold_unit, [item.code for item in readings.listed(site, "cold_unit")])
    added = receivers.adding(holding)
    form.into.choices = receivers.new_tray() | added
    form.batch_of.choices = new_batch() | added
    _list(form.load, [load.load for load in loads_in_ovens(assessment)])
    form.free_spit.choices = {f"{one.load}/{one.spit}": _free_spit(one) for one in free_spits(assessment)}


def _free_spit(one: FreeSpit) -> str:
    load = words.short_name(one.load)
    return str(_("spit %(spit)s of load %(load)s, %(oven)s oven", spit=one.spit, load=load, oven=one.oven))


def new_batch() -> dict[str, str]:
    """Give the choice of a new batch, by the name that is proposed for it."""
    new = propose_name("batch")
    return {new: _("new batch %(batch)s", batch=words.short_name(new))}


def keeping() -> dict[str, str]:
    """Give the two answers to what becomes of food that is prepared."""
    return {USED_AT_ONCE: _("Used at once"), KEPT_COLD: _("Kept cold: it becomes a batch")}


def _list(field: RadioField, codes: list[str]) -> None:
    field.choices = {code: code for code in codes}
    if len(codes) == 1 and request.method != "POST":
        field.data = codes[0]
