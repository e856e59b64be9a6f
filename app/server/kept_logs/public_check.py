"""What anybody may know of a file that they hold: issued here, unchanged, still what the records say, amended since."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app import ledger, register
from app.models import KeptLog, Site

from . import check_logs
from .bounded import check_bounded
from .certificates import certificates_of, fingerprint_of
from .checking import differing_entries


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """Answers about one file. What cannot be asked of it is None."""

    is_issued: bool
    is_unchanged: bool | None = None
    """Byte for byte the file that was kept."""
    says_the_same: bool | None = None
    """Whether the ledger still has every entry that it attaches, and its head."""
    is_amended: bool | None = None
    """Whether entries came later that touch its day."""
    is_signed_again: bool | None = None
    day: date | None = None
    head: tuple[int, str] | None = None
    fingerprint: str = ""
    signed_at: datetime | None = None
    stamped_at: datetime | None = None
    found: tuple[str, ...] = ()
    """What the checker says is wrong with the file by itself."""


def look_at(session: Session, content: bytes, *, at: datetime) -> Looked:
    """Hold a file to the kept logs and to the ledger of the kitchen that it names. Writes nothing.

    Raises TooManyAtOnce.
    """
    log = check_bounded(content)
    known = session.execute(
        select(Site.code, KeptLog.signed_seq).join(Site, Site.id == KeptLog.site_id).where(KeptLog.sha256 == log.sha256)
    ).first()
    if known is not None:
        return _looked(session, log, known[0], known[1], at=at)
    site = str(log.records.get("site", ""))
    is_ours = register.find_site(session, site) is not None and log.fingerprint in {
        fingerprint_of(one) for one in certificates_of(session, site)
    }
    if not is_ours:
        return Looked(is_issued=False, found=tuple(log.faults), fingerprint=log.fingerprint)
    return _looked(session, log, site, None, at=at)


def _looked(session: Session, log: check_logs.Log, site: str, signed_seq: int | None, *, at: datetime) -> Looked:
    if not log.records:
        return Looked(is_issued=True, is_unchanged=False, found=tuple(log.faults), fingerprint=log.fingerprint)
    day = date.fromisoformat(log.records["day"])
    signings = ledger.assess_day(session, site, day, as_of=at).signings
    own = next((signed for signed in signings if signed.seq == signed_seq), None)
    return Looked(
        is_issued=True,
        is_unchanged=signed_seq is not None,
        says_the_same=not differing_entries(session, site, log),
        is_amended=None if own is None else own.stale,
        is_signed_again=None if own is None else own is not signings[-1],
        day=day,
        head=log.head,
        fingerprint=log.fingerprint,
        signed_at=log.signed_at,
        stamped_at=log.stamped_at,
        found=tuple(log.faults),
    )
