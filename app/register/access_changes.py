"""What changed about somebody's access, by the ledger: who set their password, PIN, role or a token, and when."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app import ledger
from app.kinds import CredentialSet, PersonSet, RegisterEntry
from app.models import Person, Site


@dataclass(frozen=True, slots=True)
class AccessChange:
    """One change. `what` is password, pin, token, role or added; `by` a login, None for the server's command line."""

    what: str
    is_end: bool
    by: str | None
    at: datetime
    role: str = ""
    number: int | None = None
    """Of a token."""


def access_changes(session: Session, site: Site, login: str) -> Sequence[AccessChange]:
    """Give every change of somebody's access by seq, those by themselves too."""
    return tuple(_changes(ledger.register_entries(session, site.code), login))


def changes_to_tell(session: Session, site: Site, person: Person, *, at: datetime) -> Sequence[AccessChange]:
    """Give what others changed since this person was told last; from now on they are told. Oldest first."""
    since, person.told_at = person.told_at or person.added_at, at
    session.add(person)
    changes = access_changes(session, site, person.login)
    return [one for one in changes if since < one.at <= at and one.by != person.login]


def _changes(entries: Sequence[RegisterEntry], login: str) -> Iterator[AccessChange]:
    role = None
    for entry in entries:
        by = entry.person or None
        if isinstance(entry, CredentialSet) and entry.login == login:
            yield AccessChange(entry.credential, entry.revoked, by, entry.recorded_at, number=entry.number)
        elif isinstance(entry, PersonSet) and entry.login == login and entry.role != role:
            what = "added" if role is None else "role"
            yield AccessChange(what, False, by, entry.recorded_at, role=entry.role)
            role = entry.role
