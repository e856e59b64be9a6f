"""Links for an inspector at the door: they show a stretch of days to whoever has them, and end by themselves.

Nobody signs in with one and nothing is kept in the browser. The text is 32 random bytes; only its SHA-256 is kept.
Every use is written down, a link can be ended at any time, and whoever guesses is slowed down like a wrong token.
"""

import hashlib
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.models import InspectionLink, InspectionUse, Site

from .recording import Author
from .refused import Refused, checked_line

LONGEST_HOURS = 24 * 14
MOST_DAYS = 31
USES_SHOWN = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenLink:
    """A link that opens now: of which kitchen, and which days it shows."""

    number: int
    site_code: str
    whom: str
    made_by: str
    first: date
    last: date
    expires_at: datetime


def issue_inspection_link(
    session: Session, site: Site, whom: str, *, days: tuple[date, date], hours: int, by: Author, at: datetime
) -> tuple[int, str]:
    """Make a link for somebody to a stretch of days: its number and its text, which is shown once and not kept.

    Raises Refused (whom missing; hours range; last range: too many days).
    """
    first, last = days
    if not 1 <= hours <= LONGEST_HOURS:
        raise Refused("hours", "range", low=1, high=LONGEST_HOURS)
    if not 0 <= (last - first).days < MOST_DAYS:
        raise Refused("days", "range", low=1, high=MOST_DAYS)
    text = secrets.token_urlsafe(32)
    link = InspectionLink(
        site_id=site.id,
        digest=_digest(text),
        whom=checked_line("whom", whom),
        made_by=by.login or "",
        made_at=at,
        first=first,
        last=last,
        expires_at=at + timedelta(hours=hours),
    )
    session.add(link)
    session.flush()
    return link.id, text


def open_inspection_link(session: Session, text: str, *, at: datetime) -> OpenLink | None:
    """Give what a link shows; None where there is none of that text, or it ended."""
    query = select(InspectionLink, Site.code).join(Site, Site.id == InspectionLink.site_id)
    found = session.execute(query.where(InspectionLink.digest == _digest(text))).first()
    if found is None:
        return None
    link, code = found
    if link.revoked_at is not None or link.expires_at <= at:
        return None
    return OpenLink(
        number=link.id,
        site_code=code,
        whom=link.whom,
        made_by=link.made_by,
        first=link.first,
        last=link.last,
        expires_at=link.expires_at,
    )


def record_use(session: Session, number: int, shown: str, *, address: str, at: datetime) -> None:
    """Write down that a link was used: what was shown, and to which network address."""
    session.add(InspectionUse(link_id=number, at=at, shown=shown[:64], address=address[:64]))
    session.flush()


def list_inspection_links(session: Session, site: Site) -> Sequence[tuple[InspectionLink, int]]:
    """Give the links of a site with how often each was used, the newest first."""
    uses = select(func.count()).where(InspectionUse.link_id == InspectionLink.id).scalar_subquery()
    query = select(InspectionLink, uses).where(InspectionLink.site_id == site.id).order_by(InspectionLink.id.desc())
    return [(link, count) for link, count in session.execute(query.limit(USES_SHOWN))]


def list_uses(session: Session, site: Site, number: int) -> Sequence[InspectionUse]:
    """Give the uses of a link, the newest first. Raises Refused (number unknown)."""
    link = _get(session, site, number)
    query = select(InspectionUse).where(InspectionUse.link_id == link.id).order_by(InspectionUse.id.desc())
    return session.scalars(query.limit(USES_SHOWN)).all()


def revoke_inspection_link(session: Session, site: Site, number: int, *, at: datetime) -> InspectionLink:
    """End a link at once; one that ended already stays as it is. Raises Refused (number unknown)."""
    link = _get(session, site, number)
    if link.revoked_at is None and link.expires_at > at:
        link.revoked_at = at
    return link


def _get(session: Session, site: Site, number: int) -> InspectionLink:
    link = session.get(InspectionLink, number) if 0 < number < 2**31 else None
    if link is None or link.site_id != site.id:
        raise Refused("number", "unknown", value=number)
    return link


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
