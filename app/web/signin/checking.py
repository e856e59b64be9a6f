"""A password or a PIN is checked, and guesses are counted."""

from collections.abc import Callable

from flask_babel import gettext as _
from sqlalchemy.orm import Session

from app import clock, models, register, words
from app.server import get_database

from ..parts.page_form import PageForm


def checked(
    form: PageForm,
    kind: str,
    site: models.Site | None,
    login: str,
    check: Callable[[Session], models.Person | None],
) -> models.Person | None:
    """Give the person whose password (`kind` login) or PIN (`pin`) this is; None with the error at the form's field.

    A try counts as failed before it is known: so a burst counts.
    """
    field = "password" if kind == "login" else kind
    now = clock.utc_now()
    key = register.throttle_key(kind, site.id if site else 0, login)
    with get_database().writing() as session:
        wait = register.wait_s(session, key, now)
        if not wait:
            register.record_failure(session, key, now)
    if wait:
        form.refuse(field, blocked_words(wait))
        return None
    with get_database().reading() as session:
        person = check(session)
    if person is None:
        form.refuse(field, words.error_words(field, "wrong"))
        return None
    with get_database().writing() as session:
        register.record_success(session, key)
    return person


def blocked_words(wait: int) -> str:
    """Say for how long no try is heard; `wait` in seconds."""
    if wait >= register.NEVER_S:
        return str(_("Too many tries. The person in charge has to set a new one."))
    return words.error_words("password", "blocked", {"seconds": wait})
