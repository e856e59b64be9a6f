"""Everybody's own account: a new password and a new PIN."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from flask import Blueprint, flash, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from sqlalchemy.orm import Session
from wtforms import PasswordField

from app import models, register
from app.kinds.permissions import Permission

from ..parts.page_form import PageForm
from ..parts.pages import page
from ..setup.index import changing, refusals_at
from . import identity, sign_ins
from .access_changes import changes_shown
from .identity import requires
from .password_again import password_is_right

blueprint = Blueprint("account", __name__, url_prefix="/account")


class OwnPasswordForm(PageForm):
    """A new password for oneself; the present one shows that it is oneself."""

    password = PasswordField(_l("Present password"))
    new_password = PasswordField(_l("New password"))


class OwnPinForm(PageForm):
    """A new PIN for oneself."""

    password = PasswordField(_l("Present password"), id="pin-password")
    pin = PasswordField(_l("New PIN"))


@blueprint.get("")
@requires(Permission.OWN_ACCOUNT)
def index() -> ResponseReturnValue:
    """Show one's own account."""
    return _account()


@blueprint.post("/password")
@requires(Permission.OWN_ACCOUNT)
def set_password() -> ResponseReturnValue:
    """Take a new password; sign-ins elsewhere end, this one goes on."""
    form, login = OwnPasswordForm.of_request(), identity.current().person.login
    if password_is_right(form):
        with refusals_at(form, {"password": "new_password"}):
            hashed = register.hash_password(form.new_password.data or "", login=login)
            with _changing_oneself() as (session, person, now):
                register.set_password(session, person, hashed, at=now, by=identity.current().author)
            flash(_("Your new password is valid from now on."))
            return redirect(url_for("account.index"), 303)
    return _account(422, password_form=form)


@blueprint.post("/pin")
@requires(Permission.OWN_ACCOUNT)
def set_pin() -> ResponseReturnValue:
    """Take a new PIN for the tablets."""
    form = OwnPinForm.of_request()
    if password_is_right(form):
        with refusals_at(form):
            hashed = register.hash_pin(form.pin.data or "")
            with _changing_oneself() as (session, person, now):
                register.set_pin(session, person, hashed, at=now, by=identity.current().author)
            flash(_("Your new PIN is valid from now on."))
            return redirect(url_for("account.index"), 303)
    return _account(422, pin_form=form)


def _account(status: int = 200, **forms: PageForm) -> ResponseReturnValue:
    shown = {"password_form": OwnPasswordForm(), "pin_form": OwnPinForm()}
    here = identity.current()
    changes = changes_shown(here.site, here.person.login)
    return page("account/index.html", status, **{**shown, **forms}, changes=changes)


@contextmanager
def _changing_oneself() -> Iterator[tuple[Session, models.Person, datetime]]:
    """Change the account of who is at the screen, who stays signed in; all other sign-ins end."""
    present = identity.current()
    with changing() as (session, site, now):
        person = register.get_person(session, site, present.person.login)
        yield session, person, now
    sign_ins.sign_in(person, present.site.code, tablet=present.tablet)
