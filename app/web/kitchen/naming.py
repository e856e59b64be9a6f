"""Names for new loads, trays, batches and reheats: proposed with the tablet's prefix, used once for ever."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from app import words
from app.models import EntrySubject, Site
from app.server import get_database

from ..signin import identity

_LETTER = {"load": "L", "tray": "T", "batch": "B", "reheat": "R"}


def propose_name(kind: str) -> str:
    """Give a free name of a kind, the next after the ones in use: `A-T12` on tablet A, `T12` elsewhere."""
    person = identity.current()
    prefix = f"{person.tablet}-{_LETTER[kind]}" if person.tablet else _LETTER[kind]
    with get_database().reading() as session:
        number = _next_number(session, person.site.code, f"{kind}:{prefix}")
    # What screens call another one by is no name for a new one.
    while words.names_ending(f"{prefix}{number}"):
        number += 1
    return f"{prefix}{number}"


def _next_number(session: Session, site: str, prefix: str) -> int:
    """Search by doubling, then by halving: some thirty look-ups, however long the history is."""
    used, free = 0, 1
    while _is_used(session, site, f"{prefix}{free}"):
        used, free = free, 2 * free
    while free - used > 1:
        middle = (used + free) // 2
        if _is_used(session, site, f"{prefix}{middle}"):
            used = middle
        else:
            free = middle
    return free


def _is_used(session: Session, site: str, subject: str) -> bool:
    """Whether any entry ever named the subject, withdrawn or not."""
    named = (
        select(EntrySubject.seq)
        .join(Site, Site.id == EntrySubject.site_id)
        .where(Site.code == site, EntrySubject.subject == subject)
        .limit(1)
    )
    return session.scalar(named) is not None
