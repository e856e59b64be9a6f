"""Bearer credentials: the API tokens of people and the credentials of enrolled tablets. Only a digest is kept.

The text is 32 random bytes, so a plain SHA-256 is enough to keep it by: there is nothing to guess. That makes
looking one up a single indexed query.
"""

import hashlib
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session

from app.db import Prepared, Source, moment
from app.models import Credential, Person, Site

from .recording import COMMAND, Author, lock_site, record
from .refused import Refused, checked_code

LONGEST_DAYS = 366


@dataclass(frozen=True, slots=True)
class Bearer:
    """Who holds a valid credential: a person (with the role of this moment) or an enrolled tablet."""

    number: int
    site_id: int
    site_code: str
    tablet: str | None
    login: str | None
    name: str | None
    role: str | None

    @property
    def via(self) -> str:
        """How an entry by this credential is marked: `tablet:CODE` or `token:N`."""
        return f"token:{self.number}" if self.tablet is None else f"tablet:{self.tablet}"


@dataclass(frozen=True, slots=True)
class Listed:
    """A credential as the list shows it; `holder` is a login or a tablet's code."""

    number: int
    holder: str
    is_tablet: bool
    added_at: datetime
    expires_at: datetime | None
    revoked_at: datetime | None


def issue_token(session: Session, person: Person, *, days: int, at: datetime, by: Author = COMMAND) -> tuple[int, str]:
    """Give a person a token for so many days: its number and its text, which is shown once and not kept.

    Raises Refused (days range).
    """
    if not 1 <= days <= LONGEST_DAYS:
        raise Refused("days", "range", low=1, high=LONGEST_DAYS)
    site = session.get_one(Site, person.site_id)
    moment, expires_at = lock_site(session, site, at), at + timedelta(days=days)
    credential = Credential(site_id=site.id, person_id=person.id, added_at=moment, expires_at=expires_at)
    text = _issue(session, credential)
    about = {"credential": "token", "login": person.login, "number": credential.id, "until": expires_at}
    record(session, site, "credential_set", by=by, at=moment, revoked=False, **about)
    return credential.id, text


def issue_tablet(session: Session, site: Site, tablet: str, *, at: datetime, by: Author = COMMAND) -> tuple[int, str]:
    """Enrol a tablet: the number and text of its credential. An earlier one of that tablet ends.

    Two tablets of one code would propose the same names for loads and trays. Raises Refused (tablet missing, type).
    """
    moment = lock_site(session, site, at)
    code = checked_code("tablet", tablet)
    earlier = select(Credential).where(
        Credential.site_id == site.id, Credential.tablet == code, Credential.revoked_at.is_(None)
    )
    for old in session.scalars(earlier.order_by(Credential.id)).all():
        _end(session, site, old, by=by, at=moment)
    credential = Credential(site_id=site.id, tablet=code, added_at=moment)
    text = _issue(session, credential)
    about = {"credential": "tablet", "tablet": code, "number": credential.id}
    record(session, site, "credential_set", by=by, at=moment, revoked=False, **about)
    return credential.id, text


def _issue(session: Session, credential: Credential) -> str:
    text = secrets.token_urlsafe(32)
    credential.digest = _digest(text)
    session.add(credential)
    session.flush()
    return text


def _end(session: Session, site: Site, credential: Credential, *, by: Author, at: datetime) -> None:
    """End a credential, and write that down."""
    credential.revoked_at = at
    person = None if credential.person_id is None else session.get_one(Person, credential.person_id)
    about: dict[str, object] = {
        "credential": "token" if person else "tablet",
        "login": person.login if person else None,
    }
    about |= {"tablet": credential.tablet, "number": credential.id, "until": credential.expires_at}
    record(session, site, "credential_set", by=by, at=at, revoked=True, **about)


# Asked for with every request.
_CREDENTIAL, _SITE, _PERSON = Credential.__table__, Site.__table__, Person.__table__
_LOOK_UP = Prepared(
    select(
        *(_CREDENTIAL.c.id, _CREDENTIAL.c.site_id, _SITE.c.code, _CREDENTIAL.c.tablet),
        *(_PERSON.c.login, _PERSON.c.name, _PERSON.c.role),
        *(_CREDENTIAL.c.expires_at, _CREDENTIAL.c.revoked_at, _PERSON.c.retired_at),
    )
    .select_from(
        _CREDENTIAL.join(_SITE, _SITE.c.id == _CREDENTIAL.c.site_id).outerjoin(
            _PERSON, _PERSON.c.id == _CREDENTIAL.c.person_id
        )
    )
    .where(_CREDENTIAL.c.digest == bindparam("digest"))
)


def find_credential(source: Source, text: str, *, at: datetime) -> Bearer | None:
    """Give the holder of a credential, unless it is unknown, expired, revoked or its person retired."""
    found = _LOOK_UP.run(source, digest=_digest(text))
    if not found:
        return None
    *holder, expires_at, revoked_at, retired_at = found[0]
    if revoked_at is not None or retired_at is not None or (expires_at is not None and moment(expires_at) <= at):
        return None
    return Bearer(*holder)


def list_credentials(session: Session, site: Site) -> Sequence[Listed]:
    """Give every credential ever issued in the site, by number."""
    columns = (Credential.id, Person.login, Credential.tablet, Credential.added_at)
    query = select(*columns, Credential.expires_at, Credential.revoked_at).outerjoin(
        Person, Person.id == Credential.person_id
    )
    rows = session.execute(query.where(Credential.site_id == site.id).order_by(Credential.id))
    return [
        Listed(number, login or tablet or "", tablet is not None, added_at, expires_at, revoked_at)
        for number, login, tablet, added_at, expires_at, revoked_at in rows
    ]


def revoke_credential(session: Session, site: Site, number: int, *, at: datetime, by: Author = COMMAND) -> Credential:
    """End a credential at once. Raises Refused (number unknown; retired: it had ended already)."""
    moment = lock_site(session, site, at)
    credential = session.get(Credential, number) if 0 < number < 2**31 else None
    if credential is None or credential.site_id != site.id:
        raise Refused("number", "unknown", value=number)
    if credential.revoked_at is not None:
        raise Refused("number", "retired", value=number)
    _end(session, site, credential, by=by, at=moment)
    return credential


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
