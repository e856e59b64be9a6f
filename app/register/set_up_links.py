"""Who may set up the first kitchen: whoever has the link that the terminal printed. It opens once, and not for ever."""

import hashlib
import secrets
from datetime import datetime, timedelta
from enum import Enum, auto

from sqlalchemy import delete, update
from sqlalchemy.orm import Session

from app.models import SetUpLink

from .refused import Refused

LASTS = timedelta(hours=24)


class LinkState(Enum):
    """What a link is good for."""

    OPENS = auto()
    USED = auto()
    EXPIRED = auto()
    UNKNOWN = auto()
    """None of that text, or a later one took its place."""


def issue_set_up_link(session: Session, *, at: datetime) -> tuple[str, datetime]:
    """Give the text of a new link, which is not kept, and when it ends. Earlier ones that nobody used end now."""
    session.execute(delete(SetUpLink).where(SetUpLink.used_at.is_(None)))
    text, expires_at = secrets.token_urlsafe(32), at + LASTS
    session.add(SetUpLink(digest=_digest(text), expires_at=expires_at))
    return text, expires_at


def set_up_link_state(session: Session, text: str, *, at: datetime) -> LinkState:
    """Give what a link is good for at a moment."""
    link = session.get(SetUpLink, _digest(text))
    if link is None:
        return LinkState.UNKNOWN
    if link.used_at is not None:
        return LinkState.USED
    return LinkState.OPENS if at < link.expires_at else LinkState.EXPIRED


def use_set_up_link(session: Session, text: str, *, at: datetime) -> None:
    """Use a link up: of two at once only one may. Raises Refused (link retired)."""
    unused = (SetUpLink.digest == _digest(text), SetUpLink.used_at.is_(None), SetUpLink.expires_at > at)
    used = session.execute(update(SetUpLink).where(*unused).values(used_at=at))
    if used.rowcount != 1:  # type: ignore[attr-defined]  # an UPDATE's result has it
        raise Refused("link", "retired")


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
