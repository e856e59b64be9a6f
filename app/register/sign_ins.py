"""Sign-ins that go on. The browser holds a random key; here stands its digest, until it signs out."""

import hashlib
import secrets
from datetime import datetime, timedelta

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from app.models import Person, SignIn

_FORGOTTEN_AFTER = timedelta(days=2)
"""Longer than any sign-in lasts: what was never signed out is dropped then."""


_PASSWORD_COUNTS_FOR = timedelta(minutes=5)
"""For so long whoever typed the password changes the access of people and devices without typing it again."""


def begin_sign_in(session: Session, person: Person, *, at: datetime, with_password: bool = False) -> str:
    """Begin a sign-in: the key that the browser will hold. It is shown once and not kept."""
    session.execute(delete(SignIn).where(SignIn.started_at < at - _FORGOTTEN_AFTER))
    key = secrets.token_urlsafe(32)
    password_at = at if with_password else None
    session.add(SignIn(digest=_digest(key), person_id=person.id, started_at=at, password_at=password_at))
    return key


def show_password(session: Session, key: str, *, at: datetime) -> None:
    """Keep that in this sign-in the password was typed once more."""
    session.execute(update(SignIn).where(SignIn.digest == _digest(key)).values(password_at=at))


def has_shown_password(session: Session, key: str, *, at: datetime) -> bool:
    """Whether in this sign-in the password was typed within the last minutes."""
    shown_at = session.scalar(select(SignIn.password_at).where(SignIn.digest == _digest(key)))
    return shown_at is not None and timedelta() <= at - shown_at < _PASSWORD_COUNTS_FOR


def is_signed_in(session: Session, person: Person, key: str) -> bool:
    """Whether this person's sign-in of that key goes on."""
    query = select(SignIn.person_id).where(SignIn.digest == _digest(key))
    return session.scalar(query) == person.id


def end_sign_in(session: Session, key: str) -> None:
    """End a sign-in at once; one that has ended already stays ended."""
    session.execute(delete(SignIn).where(SignIn.digest == _digest(key)))


def _digest(key: str) -> str:
    return hashlib.sha256(key.encode("utf-8", "surrogatepass")).hexdigest()
