"""The password once more, before something is done in a person's own name (signing, adopting a plan), and, where it was
not typed within the last minutes, before somebody's access is changed."""

from flask import session
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import PasswordField

from app import clock, register
from app.server import get_database

from ..parts.page_form import PageForm
from . import identity
from .checking import checked
from .signed import SignedIn


def own_password_field(form: str) -> PasswordField:
    """Give the field, one on each form that changes somebody's access; `form` makes its id unlike those of others."""
    return PasswordField(_l("Your own password"), id=f"{form}-own-password")


def asks_own_password() -> bool:
    """Whether a form that changes somebody's access has to ask for the password, for templates too.

    When it was typed is kept on the server, with the sign-in.
    """
    signed = SignedIn.of(session.get("sign_in"))
    if signed is None:
        return True
    with get_database().reading() as database:
        return not register.has_shown_password(database, signed.key, at=clock.utc_now())


def may_change_access(form: PageForm) -> bool:
    """Whether who is at the screen showed the password lately, or does so in the form's `own_password`."""
    if not asks_own_password():
        return True
    if not form["own_password"].data:
        form.refuse("own_password", _("Type your own password again: it was last typed a while ago."))
        return False
    if not password_is_right(form, "own_password"):
        return False
    signed = SignedIn.of(session.get("sign_in"))
    with get_database().writing() as database:
        register.show_password(database, signed.key if signed else "", at=clock.utc_now())
    return True


def password_is_right(form: PageForm, field: str = "password") -> bool:
    """Whether what was typed in a field is the password of who is at the screen; where not, the form says so there.

    Guesses are counted together with those at sign-in.
    """
    person = identity.current()
    with get_database().reading() as database:
        site = register.get_site(database, person.site.code)
    typed = form[field].data or ""
    login = person.person.login
    return (
        checked(
            form,
            "login",
            site,
            login,
            lambda database: register.check_password(database, site, login, typed),
            field=field,
            wrong="not_yours",
        )
        is not None
    )
