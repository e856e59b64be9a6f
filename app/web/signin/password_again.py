"""The password once more, before something is done in a person's own name: signing, adopting a plan."""

from app import register
from app.server import get_database

from ..parts.page_form import PageForm
from . import identity
from .checking import checked


def password_is_right(form: PageForm) -> bool:
    """Whether the form's `password` is that of who is at the screen; where not, the form says so.

    Guesses are counted together with those at sign-in.
    """
    person = identity.current()
    with get_database().reading() as session:
        site = register.get_site(session, person.site.code)
    typed = form["password"].data or ""
    login = person.person.login
    return (
        checked(form, "login", site, login, lambda session: register.check_password(session, site, login, typed))
        is not None
    )
