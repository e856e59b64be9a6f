"""Equipment of the kitchen: ovens, hot-holding units, cold units and probes with the scale of their display."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask import Blueprint, abort, flash, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, StringField

from app import models, register, words
from app.kinds.permissions import Permission
from app.kinds.register import EQUIPMENT_TYPES
from app.server import get_database

from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from .index import changing, kitchen, refusals_at

blueprint = Blueprint("equipment", __name__, url_prefix="/setup/equipment")

_SCALES = ("dual", "F", "C")


def _kinds() -> dict[str, str]:
    return {kind: words.equipment_word(kind) for kind in EQUIPMENT_TYPES}


def _scales() -> dict[str, str]:
    return {scale: words.scale_word(scale) for scale in _SCALES}


class EquipmentForm(PageForm):
    """A new piece of equipment; the scale matters for probes only."""

    kind = RadioField(_l("Kind"), choices=_kinds, validate_choice=False)
    code = StringField(_l("Code"))
    scale = RadioField(_l("A probe's display shows"), choices=_scales, default="dual", validate_choice=False)


@dataclass(frozen=True, slots=True)
class KindOfEquipment:
    """All equipment of one kind, what is in use first."""

    kind: str
    items: Sequence[models.Equipment]


@blueprint.get("")
@requires(Permission.READ_SETUP)
def index() -> ResponseReturnValue:
    """Show all equipment, and the form for more."""
    return _equipment(EquipmentForm.of_request())


@blueprint.post("")
@requires(Permission.KEEP_EQUIPMENT)
def add() -> ResponseReturnValue:
    """List a piece of equipment."""
    form = EquipmentForm.of_request()
    kind = form.kind.data or ""
    scale = form.scale.data if kind == "probe" else None
    with refusals_at(form):
        with changing() as (session, site, now):
            item = register.add_equipment(
                session, site, kind, form.code.data or "", at=now, scale=scale, by=identity.current().author
            )
        flash(_("%(kind)s %(code)s was added.", kind=words.sentence_start(words.equipment_word(kind)), code=item.code))
        return redirect(url_for("equipment.index"), 303)
    return _equipment(form, 422)


@blueprint.post("/<code>/retire")
@requires(Permission.KEEP_EQUIPMENT)
def retire(code: str) -> ResponseReturnValue:
    """Take a piece of equipment off the list for good; what was read with it stays."""
    form = EquipmentForm()
    with get_database().reading() as session:
        if register.find_equipment(session, kitchen(session), code) is None:
            abort(404)
    with refusals_at(form):
        with changing() as (session, site, now):
            register.retire_equipment(session, site, code, at=now, by=identity.current().author)
        flash(_("%(code)s was retired.", code=code))
        return redirect(url_for("equipment.index"), 303)
    return _equipment(form, 422)


def _equipment(form: EquipmentForm, status: int = 200) -> ResponseReturnValue:
    with get_database().reading() as session:
        listed = register.list_equipment(session, kitchen(session))
    kinds = [
        KindOfEquipment(kind, _in_use_first([item for item in listed if item.kind == kind])) for kind in EQUIPMENT_TYPES
    ]
    return page("setup/equipment.html", status, form=form, kinds=kinds)


def _in_use_first(items: Sequence[models.Equipment]) -> Sequence[models.Equipment]:
    return sorted(items, key=lambda item: (item.retired_at is not None, item.code))
