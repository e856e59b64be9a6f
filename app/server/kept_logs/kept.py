"""Which signed logs are kept, and their files."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.models import KeptLog, Site


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A kept log, without its file."""

    day: date
    signed_seq: int
    """Seq of the sign-off that it prints."""
    covers_seq: int
    after_seq: int
    """Its run of entries begins after this one."""
    kept_seq: int
    sha256: str
    made_at: datetime


def kept_log(session: Session, site: str, day: date) -> Kept | None:
    """Give the kept log of a day's newest sign-off that has one; None where none is made yet."""
    return next(iter(kept_logs(session, site, day)), None)


def kept_logs(session: Session, site: str, day: date | None = None) -> Sequence[Kept]:
    """Give the kept logs of a day, or of a site, the newest sign-off first."""
    query = select(KeptLog).join(Site).where(Site.code == site).order_by(KeptLog.signed_seq.desc())
    rows = session.scalars(query if day is None else query.where(KeptLog.day == day))
    return [
        Kept(
            day=row.day,
            signed_seq=row.signed_seq,
            covers_seq=row.covers_seq,
            after_seq=row.after_seq,
            kept_seq=row.kept_seq,
            sha256=row.sha256,
            made_at=row.made_at,
        )
        for row in rows
    ]


def read_pdf(session: Session, site: str, signed_seq: int) -> bytes:
    """Give the file of the log that prints a sign-off. Raises LookupError where none is kept."""
    query = select(KeptLog.pdf).join(Site).where(Site.code == site, KeptLog.signed_seq == signed_seq)
    pdf = session.scalar(query)
    if pdf is None:
        raise LookupError(f"no log of entry {signed_seq} of {site} is kept")
    return pdf
