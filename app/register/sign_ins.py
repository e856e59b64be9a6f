"""Sign-ins that go on. The browser holds a random key; here stands its digest, until it signs out."""

import hashlib
import secrets
from datetime import datetime, timedelta

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.models import Person, SignIn

_FORGOTTEN_AFTER = timedelta(days=2)
"""Longer than any sign-in lasts: what was never signed out is dropped then."""


def begin_sign_in(session: Session, person: Person, *, at: datetime) -> str:
    """Begin a sign-in: the key that the browser will hold. It is shown once and not kept."""
    session.execute(delete(SignIn).where(SignIn.started_at < at - _FORGOTTEN_AFTER))
    key = secrets.token_urlsafe(32)
    session.add(SignIn(digest=_digest(key), person_id=person.id, started_at=at))
    return key


def is_signed_in(session: Session, person: Person, key: str) -> bool:
    """Whether this person's sign-in of that key goes on."""
    query = select(SignIn.person_id).where(SignIn.digest == _digest(key))
    return session.scalar(query) == person.id


def end_sign_in(session: Session, key: str) -> None:
    """End a sign-in at once; one that has ended already stays ended."""
    session.execute(delete(SignIn).where(SignIn.digest == _digest(key)))


def _digest(key: str) -> str:
    return hashlib.sha256(key.encode("utf-8", "surrogatepass")).hexdigest()
