"""People of the kitchen: who there is, adding somebody, a new password, PIN or role, retiring."""

from collections.abc import Sequence

from flask import Blueprint, abort, flash, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import PasswordField, RadioField, StringField

from app import models, register, words
from app.kinds.permissions import ROLES, USUAL_ROLE, Permission, works_by_pin
from app.server import get_database

from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from ..signin.password_again import may_change_access, own_password_field
from .index import changing, kitchen, refusals_at

blueprint = Blueprint("people", __name__, url_prefix="/setup/people")


def _roles() -> dict[str, str]:
    return {role: words.role_word(role) for role in ROLES}


class PersonForm(PageForm):
    """Somebody new."""

    login = StringField(_l("Sign-in name"))
    name = StringField(_l("Name, as it is printed on the log"))
    role = RadioField(_l("Role"), choices=_roles, validate_choice=False)
    password = PasswordField(_l("Password"))
    pin = PasswordField(_l("PIN for the tablets"))
    own_password = own_password_field("person")


class PasswordForm(PageForm):
    """A new password for somebody."""

    password = PasswordField(_l("New password"))
    own_password = own_password_field("password")


class PinForm(PageForm):
    """A new PIN for somebody; empty takes it away."""

    pin = PasswordField(_l("New PIN"))
    own_password = own_password_field("pin")


class CertificateForm(PageForm):
    """The number of a certificate, as the log prints it beside the name of whoever took charge."""

    certificate = StringField(_l("Number of the certificate"))


class RoleForm(PageForm):
    """Another role for somebody."""

    role = RadioField(_l("Role"), choices=_roles, validate_choice=False)
    own_password = own_password_field("role")


class RetireForm(PageForm):
    """The end of somebody's access."""

    own_password = own_password_field("retire")


@blueprint.get("")
@requires(Permission.READ_SETUP)
def index() -> ResponseReturnValue:
    """Show everybody, and the form for somebody new."""
    return _people(PersonForm.of_request(role=USUAL_ROLE))


@blueprint.post("")
@requires(Permission.KEEP_PEOPLE)
def add() -> ResponseReturnValue:
    """Add somebody."""
    form = PersonForm.of_request(role=USUAL_ROLE)
    if not may_change_access(form):
        return _people(form, 422)
    with refusals_at(form):
        added = added_of(form)
        flash(_("%(name)s was added.", name=added.name))
        return redirect(url_for("people.index"), 303)
    return _people(form, 422)


def added_of(form: PersonForm) -> models.Person:
    """Add the person of a form. Raises Refused.

    Who works by name and PIN needs no more: without a sign-in name one is made of the name.
    """
    name, role, login = form.name.data or "", form.role.data or "", (form.login.data or "").strip()
    password = register.hash_password(form.password.data, login=login or name) if form.password.data else None
    if password is None and form.pin.data == "" and works_by_pin(role):
        raise register.Refused("pin", "missing")
    pin = register.hash_pin(form.pin.data) if form.pin.data else None
    by = identity.current().author
    with changing() as (session, site, now):
        login = login or (register.free_login(session, site, name) if works_by_pin(role) else "")
        added = register.add_person(session, site, login, name=name, role=role, password=password, at=now, by=by)
        if pin is not None:
            register.set_pin(session, added, pin, at=now, by=by)
    return added


@blueprint.get("/<login>")
@requires(Permission.READ_SETUP)
def person(login: str) -> ResponseReturnValue:
    """Show one person, and what can be changed about them."""
    return _person(login)


@blueprint.post("/<login>/password")
@requires(Permission.KEEP_PEOPLE)
def set_password(login: str) -> ResponseReturnValue:
    """Give somebody a new password; their earlier sign-ins end."""
    form = PasswordForm.of_request()
    _get(login)
    if not may_change_access(form):
        return _person(login, 422, password_form=form)
    with refusals_at(form):
        hashed = register.hash_password(form.password.data or "", login=login)
        with changing() as (session, site, now):
            who = register.get_person(session, site, login)
            register.set_password(session, who, hashed, at=now, by=identity.current().author)
        flash(_("The new password is valid from now on. Earlier sign-ins have ended."))
        return redirect(url_for("people.person", login=login), 303)
    return _person(login, 422, password_form=form)


@blueprint.post("/<login>/pin")
@requires(Permission.KEEP_PEOPLE)
def set_pin(login: str) -> ResponseReturnValue:
    """Give somebody a new PIN for the tablets, or none."""
    form = PinForm.of_request()
    _get(login)
    if not may_change_access(form):
        return _person(login, 422, pin_form=form)
    with refusals_at(form):
        hashed = register.hash_pin(form.pin.data) if form.pin.data else None
        with changing() as (session, site, now):
            who = register.get_person(session, site, login)
            register.set_pin(session, who, hashed, at=now, by=identity.current().author)
        flash(_("The new PIN is valid from now on.") if hashed else _("The PIN was removed."))
        return redirect(url_for("people.person", login=login), 303)
    return _person(login, 422, pin_form=form)


@blueprint.post("/<login>/role")
@requires(Permission.KEEP_PEOPLE)
def set_role(login: str) -> ResponseReturnValue:
    """Give somebody another role; their earlier sign-ins end."""
    form = RoleForm.of_request()
    _get(login)
    if not may_change_access(form):
        return _person(login, 422, role_form=form)
    with refusals_at(form):
        with changing() as (session, site, now):
            register.set_role(session, site, login, form.role.data or "", at=now, by=identity.current().author)
        flash(_("The new role applies from now on."))
        return redirect(url_for("people.person", login=login), 303)
    return _person(login, 422, role_form=form)


@blueprint.post("/<login>/certificate")
@requires(Permission.KEEP_PEOPLE)
def set_certificate(login: str) -> ResponseReturnValue:
    """Write down the number of somebody's certificate, or take it away."""
    form = CertificateForm.of_request()
    _get(login)
    number = form.certificate.data or ""
    with refusals_at(form):
        with changing() as (session, site, now):
            register.set_certificate(session, site, login, number, at=now, by=identity.current().author)
        flash(_("The logs print it from now on.") if number.strip() else _("No certificate is printed any more."))
        return redirect(url_for("people.person", login=login), 303)
    return _person(login, 422, certificate_form=form)


@blueprint.post("/<login>/retire")
@requires(Permission.KEEP_PEOPLE)
def retire(login: str) -> ResponseReturnValue:
    """End somebody's access for good; what they wrote stays in the ledger under their name."""
    form = RetireForm.of_request()
    _get(login)
    if not may_change_access(form):
        return _person(login, 422, retire_form=form)
    with refusals_at(form):
        with changing() as (session, site, now):
            retired = register.retire_person(session, site, login, at=now, by=identity.current().author)
        flash(_("%(name)s was retired.", name=retired.name))
        return redirect(url_for("people.index"), 303)
    return _person(login, 422, retire_form=form)


def _people(form: PersonForm, status: int = 200) -> ResponseReturnValue:
    with get_database().reading() as session:
        everybody = register.list_people(session, kitchen(session))
    return page("setup/people.html", status, form=form, people=_present_first(everybody), has_password=_has_password)


def _person(login: str, status: int = 200, **forms: PageForm) -> ResponseReturnValue:
    found = _get(login)
    shown = {
        "password_form": PasswordForm(),
        "pin_form": PinForm(),
        "role_form": RoleForm(role=found.role),
        "retire_form": RetireForm(),
        "certificate_form": CertificateForm(certificate=found.certificate),
    }
    return page("setup/person.html", status, person=found, **{**shown, **forms})


def _has_password(person: models.Person) -> bool:
    return person.password_hash != register.NO_PASSWORD


def _get(login: str) -> models.Person:
    with get_database().reading() as session:
        found = register.find_person(session, kitchen(session), login)
    return found or abort(404)


def _present_first(people: Sequence[models.Person]) -> Sequence[models.Person]:
    return sorted(people, key=lambda person: (person.retired_at is not None, person.name))
