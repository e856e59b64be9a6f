"""What anybody may know of a file that they hold: issued here, unchanged, still what the records say, amended since."""

import hashlib
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app import ledger
from app.models import Certificate, KeptLog, Site

from .. import get_database
from .bounded import check_bounded
from .check_one import Answer
from .checking import differing


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """Answers about one file. What cannot be asked of it is None."""

    is_issued: bool | None
    """None where it names a certificate of this kitchen, but is not what that signed: it was issued and changed, or
    made by somebody else. Nothing else is said of it then: whoever made it chose what it says."""
    is_signed_elsewhere: bool = False
    """Whether it is whole under a certificate that is of no kitchen here."""
    is_unchanged: bool | None = None
    """Byte for byte the file that was kept."""
    says_the_same: bool | None = None
    """Whether the ledger still has every entry that it attaches, and its head."""
    is_amended: bool | None = None
    """Whether entries came later that touch its day."""
    is_signed_again: bool | None = None
    site: str = ""
    """The kitchen's code, which stands on the log too."""
    day: date | None = None
    head: tuple[int, str] | None = None
    fingerprint: str = ""
    found: tuple[str, ...] = ()
    """What the checker says is wrong with the file by itself."""


def look_at(content: bytes, *, at: datetime) -> Looked:
    """Hold a file to the kept logs and to the ledger of the kitchen that it names. Writes nothing.

    Raises TooManyAtOnce.
    """
    database = get_database()
    with database.reading() as session:
        certificates = session.scalars(select(Certificate.fingerprint).distinct()).all()
    found = check_bounded(content, certificates)  # no transaction is held over it
    with database.reading() as session:
        return _looked(session, hashlib.sha256(content).hexdigest(), found, set(certificates), at=at)


def _looked(session: Session, digest: str, found: Answer, certificates: set[str], *, at: datetime) -> Looked:
    kept = _kept(session, digest)
    faults = tuple(found.faults)
    is_ours = found.head is not None and found.fingerprint in _certificates(session, found.site)
    if kept is None and not is_ours:
        is_ours_or_forged = found.fingerprint in certificates and not found.is_intact
        is_elsewhere = found.is_intact and found.fingerprint not in certificates
        return Looked(
            is_issued=None if is_ours_or_forged else False,
            is_signed_elsewhere=is_elsewhere,
            fingerprint=found.fingerprint if is_elsewhere else "",
            found=faults,
        )
    if found.head is None:  # one that is kept, and not as the checker wants it: the database was changed
        return Looked(is_issued=True, is_unchanged=True, found=faults)
    day = date.fromisoformat(found.day)
    signings = ledger.assess_day(session, found.site, day, as_of=at).signings
    own = next((signed for signed in signings if kept is not None and signed.seq == kept), None)
    return Looked(
        is_issued=True,
        is_unchanged=kept is not None,
        says_the_same=not differing(session, found.site, found.entries),
        is_amended=None if own is None else own.stale,
        is_signed_again=None if own is None else own is not signings[-1],
        site=found.site,
        day=day,
        head=found.head,
        fingerprint=found.fingerprint,
        found=faults,
    )


def _kept(session: Session, digest: str) -> int | None:
    """Give the seq of the sign-off whose kept log has this SHA-256."""
    return session.scalar(select(KeptLog.signed_seq).where(KeptLog.sha256 == digest))


def _certificates(session: Session, site: str) -> set[str]:
    query = select(Certificate.fingerprint).join(Site, Site.id == Certificate.site_id).where(Site.code == site)
    return set(session.scalars(query))
