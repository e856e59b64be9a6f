"""Sign-ins of this browser begin, end, and go on by the name alone for whoever was at the tablet a few minutes ago."""

from collections.abc import Iterator
from dataclasses import replace

from flask import g, session

from app import clock, models, register
from app.db import milliseconds
from app.server import get_database

from . import identity
from .access_changes import tell_changes
from .signed import PIN, RECENT, SignedIn

_STAYS_ON_TABLET = ("probe", "probe_person", "csrf_token")
"""What a tablet keeps when another comes: the probe, to be confirmed by them; the key of forms that stand on it."""

_MOST_LATELY = 6
"""So many names are kept beside the one who is there: the cookie stays small."""


def sign_in(person: models.Person, site_code: str, *, tablet: str | None) -> None:
    """Begin a sign-in of this person. What the browser held of an earlier one is dropped."""
    stays = _make_way(person.login) if tablet is not None else {}
    sign_out()
    session.clear()
    session.update(stays)
    now = clock.utc_now()
    with get_database().writing() as database:
        key = register.begin_sign_in(database, person, at=now, with_password=tablet is None)
    at, identified = milliseconds(now), PIN if tablet else None
    _hold(SignedIn(site_code, person.login, tablet, key, at=at, seen=at, identified=identified))
    tell_changes(site_code, person.login)


def resume(login: str) -> bool:
    """Let somebody who was here within the last minutes go on by the name alone; False where the PIN is wanted."""
    signed = next((signed for signed, _person in _lately() if signed.login == login), None)
    if signed is None:
        return False
    session.update(_make_way(login))
    _hold(replace(signed, seen=milliseconds(clock.utc_now()), identified=RECENT))
    return True


def here_lately() -> list[models.Person]:
    """Give who was at this tablet within the last minutes, whoever is there now first."""
    return [person for _signed, person in _lately()]


def sign_out() -> None:
    """End the sign-in of this browser at once, for copies of its cookie too. An enrolled tablet stays enrolled."""
    signed = SignedIn.of(session.pop("sign_in", None))
    if signed is not None:
        with get_database().writing() as database:
            register.end_sign_in(database, signed.key)
    g.pop("identity", None)


def forget_everybody() -> None:
    """End every sign-in of this browser, before it becomes another tablet."""
    sign_out()
    session.clear()


def _hold(signed: SignedIn) -> None:
    session["sign_in"] = signed.kept()
    g.pop("identity", None)


def _lately() -> Iterator[tuple[SignedIn, models.Person]]:
    tablet, now = identity.find_tablet(), clock.utc_now()
    held = [SignedIn.of(kept) for kept in (session.get("sign_in"), *session.get("lately", ()))]
    with get_database().reading() as database:
        for signed in held:
            if signed is None or not signed.is_recent(now) or signed.tablet is None:
                continue
            person = signed.find_person(database)
            if person is not None and tablet == identity.Tablet(signed.site, signed.tablet):
                yield signed, person


def _make_way(login: str) -> dict[str, object]:
    """Give what stays in the session when this person comes: who was here lately can come back by the name alone.

    Whoever is there now gets another key for that: copies of the cookie as it is are worth nothing from then on.
    """
    present, now = SignedIn.of(session.get("sign_in")), clock.utc_now()
    lately = [signed for signed, _person in _lately() if signed.login != login]
    if present is not None and lately and lately[0].key == present.key:
        with get_database().writing() as database:
            person = present.find_person(database)
            register.end_sign_in(database, present.key)
            if person is not None:
                lately[0] = replace(present, key=register.begin_sign_in(database, person, at=now))
    stays = {name: session[name] for name in _STAYS_ON_TABLET if name in session}
    return stays | {"lately": [signed.kept() for signed in lately[:_MOST_LATELY]]}
