"""A password or a PIN is checked, and guesses are counted."""

from collections.abc import Callable

from flask import request
from flask_babel import gettext as _
from sqlalchemy.orm import Session

from app import clock, models, register, words
from app.server import get_database, hashing

from ..parts.page_form import PageForm
from . import identity, known_browsers

_Check = Callable[[Session], models.Person | None]


def checked(
    form: PageForm,
    kind: str,
    site: models.Site | None,
    login: str,
    check: _Check,
    *,
    field: str | None = None,
    wrong: str = "wrong",
) -> models.Person | None:
    """Give the person whose password (`kind` login) or PIN (`pin`) this is; None with the error at the form's field
    (`field`, where it is not called `password` or `pin`). `wrong` is the code of that error.

    A try counts as failed before it is known: so a burst counts.
    """
    secret, guess = "password" if kind == "login" else kind, _guess(kind, site, login)
    field = field or secret
    try:
        wait, person = _wait_s(guess), None
        if not wait:
            with (hashing.KNOWN if guess.is_known else hashing.STRANGERS).turn():
                wait = _count(guess)
                person = None if wait else _checked(guess, check)
    except hashing.TooManyAtOnce:
        form.refuse(field, _("Many are signing in just now. Nothing was checked. Try again in a few seconds."))
        return None
    if wait:
        form.refuse(field, blocked_words(wait))
    elif person is None:
        form.refuse(field, words.error_words(secret, wrong))
    else:
        with get_database().writing() as session:
            register.record_right_guess(session, guess)
    return person


def blocked_words(wait: int) -> str:
    """Say for how long no try is heard; `wait` in seconds."""
    if wait >= register.NEVER_S:
        return str(_("Too many tries. The person in charge has to set a new one."))
    return words.error_words("password", "blocked", {"seconds": wait})


def _guess(kind: str, site: models.Site | None, login: str) -> register.Guess:
    """Give who is tried from where: an enrolled tablet and a browser that they signed in with before are known."""
    tablet = identity.find_tablet()
    if site is not None and tablet is not None and tablet.site_code == site.code:
        return register.Guess(kind, site.id, login, f"tablet {tablet.code}", is_known=True)
    own = known_browsers.known_as(site.code, login) if site else None
    if site is not None and own is not None:
        return register.Guess(kind, site.id, login, f"browser {own}", is_known=True)
    return register.Guess(kind, site.id if site else 0, login, f"sender {request.remote_addr}", is_known=False)


def _wait_s(guess: register.Guess) -> int:
    """Give for how many seconds a try is not heard: one that is not costs no hash and writes nothing."""
    with get_database().reading() as session:
        return register.guess_wait_s(session, guess, clock.utc_now())


def _count(guess: register.Guess) -> int:
    """Count the try; give for how many seconds it is not heard after all."""
    now = clock.utc_now()
    with get_database().writing() as session:
        wait = register.guess_wait_s(session, guess, now)
        if not wait:
            register.record_guess(session, guess, now)
    return wait


def _checked(guess: register.Guess, check: _Check) -> models.Person | None:
    with get_database().reading() as session:
        person = check(session)
    if person is None and not guess.is_known:
        hashing.keep_turn_after_failure()
    return person
