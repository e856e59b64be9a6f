"""The pages of a new kitchen's first day that are its own: equipment in one go, people, a probe check, skipping."""

from collections.abc import Mapping, Sequence

from flask import Blueprint, abort, flash, redirect, session, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, StringField

from app import models, register, words
from app.kinds.permissions import USUAL_ROLE, Permission
from app.kinds.register import SCALES
from app.server import get_database

from ..parts import first_steps
from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from ..signin.password_again import may_change_access
from .index import changing, kitchen, refusals_at
from .people import PersonForm, added_of

blueprint = Blueprint("first_day", __name__, url_prefix="/setup/first-day")

_KINDS: Mapping[str, str] = {"ovens": "oven", "hot_units": "hot_unit", "cold_units": "cold_unit", "probes": "probe"}
"""Each field, and the kind of equipment whose codes it takes."""


class FirstEquipmentForm(PageForm):
    """The codes of all equipment, several to a field."""

    ovens = StringField(_l("Ovens"))
    hot_units = StringField(_l("Hot-holding units"))
    cold_units = StringField(_l("Cold units"))
    probes = StringField(_l("Probes"))
    scale = RadioField(
        _l("The probes' displays show"),
        choices=lambda: {scale: words.scale_word(scale) for scale in ("dual", *SCALES[:2])},
        default="dual",
        validate_choice=False,
    )


@blueprint.post("/next")
@requires(Permission.KEEP_SITE)
def start() -> ResponseReturnValue:
    """Work the list off: each step leads to the next one that is open."""
    session[first_steps.FOLLOWED] = True
    return redirect(_next(), 303)


@blueprint.get("/next")
@requires(Permission.KEEP_SITE)
def go_on() -> ResponseReturnValue:
    """Lead to what is to be done next."""
    return redirect(_next(), 303)


@blueprint.get("/equipment")
@requires(Permission.READ_SETUP)
def equipment() -> ResponseReturnValue:
    """Show the form for all equipment at once, and what is listed already."""
    return _equipment(FirstEquipmentForm.of_request())


@blueprint.post("/equipment")
@requires(Permission.KEEP_EQUIPMENT)
def add_equipment() -> ResponseReturnValue:
    """List all that was typed, or nothing of it."""
    form = FirstEquipmentForm.of_request()
    typed = [(field, code) for field in _KINDS for code in _codes(form[field].data)]
    if not typed:
        form.refuse("ovens", _("Type at least one code."))
        return _equipment(form, 422)
    if _added(form, typed):
        flash(_("Added: %(codes)s.", codes=", ".join(code for _field, code in typed)))
        return redirect(first_steps.go_on(url_for("setup.index")), 303)
    return _equipment(form, 422)


@blueprint.get("/probe-check")
@requires(Permission.READ_SETUP)
def probe_check() -> ResponseReturnValue:
    """Lead to the check of the first probe that is listed."""
    with get_database().reading() as database:
        listed = register.list_equipment(database, kitchen(database))
    probes = [item.code for item in listed if item.kind == "probe" and item.retired_at is None]
    if not probes:
        flash(_("List a probe first, then check it."))
        return redirect(url_for("first_day.equipment"), 303)
    return redirect(url_for("probes.probe_check", probe=probes[0]), 303)


@blueprint.get("/people")
@requires(Permission.READ_SETUP)
def people() -> ResponseReturnValue:
    """Show the form for a cook: a name and a PIN."""
    return _people(PersonForm.of_request(role=USUAL_ROLE))


@blueprint.post("/people")
@requires(Permission.KEEP_PEOPLE)
def add_person() -> ResponseReturnValue:
    """Add a cook by name and PIN."""
    form = PersonForm.of_request()
    form.role.data, form.login.data, form.password.data = USUAL_ROLE, "", ""
    if not may_change_access(form):
        return _people(form, 422)
    with refusals_at(form):
        flash(_("%(name)s was added.", name=added_of(form).name))
        return redirect(url_for("first_day.people"), 303)
    return _people(form, 422)


@blueprint.post("/skip/<step>")
@requires(Permission.KEEP_SITE)
def skip(step: str) -> ResponseReturnValue:
    """Skip a step; the list goes on with the next."""
    _set(step, is_skipped=True)
    flash(_("Skipped. The list still has it."))
    return redirect(_next() if session.get(first_steps.FOLLOWED) else url_for("setup.index"), 303)


@blueprint.post("/take-up/<step>")
@requires(Permission.KEEP_SITE)
def take_up(step: str) -> ResponseReturnValue:
    """Ask for a step again that was skipped."""
    _set(step, is_skipped=False)
    flash(_("This step is on the list again."))
    return redirect(url_for("setup.index"), 303)


def _set(step: str, *, is_skipped: bool) -> None:
    if not first_steps.is_step(step):
        abort(404)
    with get_database().writing() as database:
        (register.skip_step if is_skipped else register.take_up_step)(kitchen(database), step)


def _next() -> str:
    """Give the page of the next open step: of those that the first reading needs, else of the others."""
    waiting = [step for step in first_steps.steps() if step.is_open]
    needed = [step for step in waiting if step.is_needed]
    if not waiting:
        session.pop(first_steps.FOLLOWED, None)
    return (needed or waiting)[0].href if waiting else url_for("setup.index")


def _codes(typed: str | None) -> Sequence[str]:
    """Give the codes of a field, with blanks or commas between; each once."""
    return list(dict.fromkeys((typed or "").replace(",", " ").split()))


def _added(form: FirstEquipmentForm, typed: Sequence[tuple[str, str]]) -> bool:
    """List all of it in one transaction; False with the error at the field of the first that cannot be."""
    by, place = identity.current().author, {"code": typed[0][0], "scale": "scale"}
    with refusals_at(form, place), changing() as (database, site, now):
        for field, code in typed:
            place["code"] = field
            kind = _KINDS[field]
            scale = form.scale.data if kind == "probe" else None
            register.add_equipment(database, site, kind, code, at=now, scale=scale, by=by)
    return not form.errors_at()


def _equipment(form: FirstEquipmentForm, status: int = 200) -> ResponseReturnValue:
    with get_database().reading() as database:
        listed = [item for item in register.list_equipment(database, kitchen(database)) if item.retired_at is None]
    there = {field: [item.code for item in listed if item.kind == kind] for field, kind in _KINDS.items()}
    return page("setup/first_equipment.html", status, form=form, there=there)


def _people(form: PersonForm, status: int = 200) -> ResponseReturnValue:
    with get_database().reading() as database:
        everybody: Sequence[models.Person] = register.list_people(database, kitchen(database))
    present = [person for person in everybody if person.retired_at is None]
    return page("setup/first_people.html", status, form=form, people=present)
