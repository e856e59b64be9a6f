"""People of a site, each with a role. They are retired, never removed: the ledger names them."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.kinds.permissions import ROLES, Permission, may, works_by_pin
from app.models import Person, Site

from . import throttle
from .passwords import NO_PASSWORD, Hashed, matches
from .recording import COMMAND, Author, lock_site, record, record_person
from .refused import Refused, checked_code, checked_line, is_code, numbered, plain_words

_NEVER_WITHOUT = (Permission.KEEP_PEOPLE, Permission.SIGN_DAY)
"""Without anybody who may do this nobody could sign, or make somebody able to."""


def add_person(
    session: Session,
    site: Site,
    login: str,
    *,
    name: str,
    role: str,
    password: Hashed | None,
    at: datetime,
    by: Author = COMMAND,
) -> Person:
    """Add somebody; without a password only who works by name and PIN at a tablet.

    Raises Refused (login missing, type, taken; name; role range; password missing).
    """
    moment = lock_site(session, site, at)
    checked_login = checked_code("login", login)
    if find_person(session, site, checked_login) is not None:
        raise Refused("login", "taken", value=checked_login)
    person = Person(
        site_id=site.id,
        login=checked_login,
        name=checked_line("name", name),
        role=_checked_role(role),
        password_hash=_checked_password(role, password),
        credentials_at=at,
        added_at=moment,
    )
    session.add(person)
    record_person(session, site, person, by=by, at=moment)
    if password is not None:
        about = {"credential": "password", "login": checked_login, "revoked": False}
        record(session, site, "credential_set", by=by, at=moment, **about)
    return person


def free_login(session: Session, site: Site, name: str) -> str:
    """Give a sign-in name made of somebody's first name that nobody of the site has yet: `ana`, else `ana-2`."""
    taken = {person.login for person in list_people(session, site)}
    return next(login for login in numbered(login_of(name)) if login not in taken)


def login_of(name: str) -> str:
    """Give a sign-in name made of somebody's first name: `ana`."""
    return next(iter(plain_words(name)), "person")[:24]


def find_person(session: Session, site: Site, login: str) -> Person | None:
    """Give the person of that login, retired or not."""
    if not is_code(login):
        return None
    return session.scalar(select(Person).where(Person.site_id == site.id, Person.login == login))


def get_person(session: Session, site: Site, login: str) -> Person:
    """Give the person of that login who works here. Raises Refused (login unknown, retired)."""
    person = find_person(session, site, login)
    if person is None:
        raise Refused("login", "unknown", value=login)
    if person.retired_at is not None:
        raise Refused("login", "retired", value=login)
    return person


def sites_of_login(session: Session, login: str) -> list[str]:
    """Give the codes of all kitchens of this database where somebody has this login."""
    found = select(Site.code).join(Person, Person.site_id == Site.id).where(Person.login == login)
    return list(session.scalars(found.order_by(Site.code)))


def list_people(session: Session, site: Site) -> Sequence[Person]:
    """Give everybody of the site by login, the retired too."""
    return session.scalars(select(Person).where(Person.site_id == site.id).order_by(Person.login)).all()


def retire_person(session: Session, site: Site, login: str, *, at: datetime, by: Author = COMMAND) -> Person:
    """End somebody's sign-ins and tokens. Raises Refused (login unknown, retired, last: nobody else is in charge)."""
    moment = lock_site(session, site, at)
    person = get_person(session, site, login)
    _keep_one_in_charge(session, site, person, role=None, field="login")
    person.retired_at = moment
    person.credentials_at = at
    record_person(session, site, person, by=by, at=moment)
    return person


def set_role(session: Session, site: Site, login: str, role: str, *, at: datetime, by: Author = COMMAND) -> Person:
    """Give somebody another role; sign-ins made before it have ended. Raises Refused (login; role range,
    last, no_password)."""
    moment = lock_site(session, site, at)
    person = get_person(session, site, login)
    if _checked_role(role) != person.role:
        if person.password_hash == NO_PASSWORD and not works_by_pin(role):
            raise Refused("role", "no_password")
        _keep_one_in_charge(session, site, person, role=role, field="role")
        person.role = role
        person.credentials_at = at
        record_person(session, site, person, by=by, at=moment)
    return person


def set_certificate(
    session: Session, site: Site, login: str, certificate: str, *, at: datetime, by: Author = COMMAND
) -> Person:
    """Write down the number of somebody's certificate as the logs of later days print it; empty takes it away.

    Raises Refused (login unknown, retired; certificate type, range).
    """
    moment = lock_site(session, site, at)
    person = get_person(session, site, login)
    number = checked_line("certificate", certificate) if certificate.strip() else None
    if number != person.certificate:
        person.certificate = number
        record_person(session, site, person, by=by, at=moment)
    return person


def set_password(session: Session, person: Person, password: Hashed, *, at: datetime, by: Author = COMMAND) -> None:
    """Give somebody a new password: earlier sign-ins have ended, and failed ones are forgotten."""
    _record_secret(session, person, "password", by=by, at=at)
    person.password_hash = password
    person.credentials_at = at
    throttle.forget_guesses(session, "login", person.site_id, person.login)


def set_pin(session: Session, person: Person, pin: Hashed | None, *, at: datetime, by: Author = COMMAND) -> None:
    """Give somebody a new PIN for the tablets, or none."""
    _record_secret(session, person, "pin", by=by, at=at, revoked=pin is None)
    person.pin_hash = pin
    person.credentials_at = at
    throttle.forget_guesses(session, "pin", person.site_id, person.login)


def _record_secret(
    session: Session, person: Person, credential: str, *, by: Author, at: datetime, revoked: bool = False
) -> None:
    """Write down that somebody has a new secret, or none; the secret itself never."""
    site = session.get_one(Site, person.site_id)
    moment = lock_site(session, site, at)
    about = {"credential": credential, "login": person.login, "revoked": revoked}
    record(session, site, "credential_set", by=by, at=moment, **about)


def check_password(session: Session, site: Site | None, login: str, password: str) -> Person | None:
    """Give the person whose password this is. Takes as long for nobody as for somebody."""
    person = _present(session, site, login)
    return person if matches(person.password_hash if person else None, password) else None


def check_pin(session: Session, site: Site | None, login: str, pin: str) -> Person | None:
    """Give the person whose PIN this is. Only an enrolled tablet may ask."""
    person = _present(session, site, login)
    return person if matches(person.pin_hash if person else None, pin) else None


def _present(session: Session, site: Site | None, login: str) -> Person | None:
    person = find_person(session, site, login) if site else None
    return person if person and person.retired_at is None else None


def _checked_role(role: str) -> str:
    if role not in ROLES:
        raise Refused("role", "range", allowed=tuple(ROLES))
    return role


def _checked_password(role: str, password: Hashed | None) -> Hashed:
    if password is None and not works_by_pin(role):
        raise Refused("password", "missing")
    return password or NO_PASSWORD


def _keep_one_in_charge(session: Session, site: Site, leaving: Person, *, role: str | None, field: str) -> None:
    """Refuse a new role (None: retiring) with which the last one goes who may do what a site is never without.

    Raises Refused (`field` last).
    """
    lost = [one for one in _NEVER_WITHOUT if may(leaving.role, one) and not may(role, one)]
    others = [one for one in list_people(session, site) if one.retired_at is None and one.id != leaving.id]
    if not all(any(may(person.role, one) for person in others) for one in lost):
        raise Refused(field, "last", value=leaving.login)
