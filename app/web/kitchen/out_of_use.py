"""Ovens, units and probes that go out of use and come back."""

from dataclasses import dataclass
from datetime import timedelta

from flask import Blueprint, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import HiddenField, TextAreaField

from app import clock, ledger
from app.kinds import Entry, EquipmentBack, EquipmentOut
from app.kinds.permissions import Permission
from app.kinds.register import EQUIPMENT_TYPES
from app.rules.facts import Equipment
from app.server import get_database

from ..parts.forms import EntryForm, recorded
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import readings
from .running_day import lead_on

blueprint = Blueprint("out_of_use", __name__, url_prefix="/out-of-use")

_LOOK_BACK = timedelta(days=400)
_TICK = timedelta(milliseconds=1)
_TURNS = (EquipmentOut.KIND, EquipmentBack.KIND)
_Turn = EquipmentOut | EquipmentBack


class OutOfUseForm(EntryForm):
    """Why it goes out of use, or what was done before it came back; `kind` is what the page offered."""

    kind = HiddenField()
    cause = TextAreaField(_l("Why, or what was done"))


@dataclass(frozen=True, slots=True)
class EquipmentLine:
    """A piece of equipment and what was last said of it."""

    equipment: Equipment
    last: _Turn | None

    @property
    def is_out(self) -> bool:
        """Whether it is out of use."""
        return isinstance(self.last, EquipmentOut)

    @property
    def turn(self) -> str:
        """The kind of entry that comes next."""
        return _TURNS[self.is_out]


@blueprint.get("")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def index() -> ResponseReturnValue:
    """Show what is in use and what is out."""
    site = identity.current().site
    lines = [_line(item) for kind in EQUIPMENT_TYPES for item in readings.listed(site, kind)]
    return page("checklists/out_of_use.html", lines=sorted(lines, key=lambda line: not line.is_out))


@blueprint.route("/<code>", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def turn(code: str) -> ResponseReturnValue:
    """Take a piece of equipment out of use, or bring it back."""
    item = identity.current().site.equipment.get(code)
    if item is None or item.retired_at is not None:
        abort(404)
    line = _line(item)
    form = OutOfUseForm.of_request(kind=line.turn)
    kind = form.kind.data if form.kind.data in _TURNS else line.turn
    if request.method == "POST" and recorded(form, [form.draft(kind, code=code, cause=form.cause.data)]):
        said = _("%(code)s is out of use.") if kind == EquipmentOut.KIND else _("%(code)s is back in use.")
        flash(said % {"code": code})
        return redirect(lead_on(form, url_for("out_of_use.index")), 303)
    return page("checklists/turn.html", 422 if form.errors_at() else 200, line=line, form=form)


def codes_out() -> set[str]:
    """Give what is out of use now."""
    site, until = identity.current().site, clock.utc_now() + _TICK
    subjects = [f"equipment:{item.code}" for kind in EQUIPMENT_TYPES for item in readings.listed(site, kind)]
    with get_database().reading() as session:
        found = ledger.checks_since(session, site.code, Entry, *subjects, since=until - _LOOK_BACK, as_of=until)
    last = {entry.code: entry for entry in found if isinstance(entry, _Turn)}
    return {code for code, entry in last.items() if isinstance(entry, EquipmentOut)}


def _line(item: Equipment) -> EquipmentLine:
    until, code = clock.utc_now() + _TICK, identity.current().site.code
    with get_database().reading() as session:
        found = ledger.checks_since(
            session, code, Entry, f"equipment:{item.code}", since=until - _LOOK_BACK, as_of=until
        )
    turns = [entry for entry in found if isinstance(entry, _Turn)]
    return EquipmentLine(item, turns[-1] if turns else None)
