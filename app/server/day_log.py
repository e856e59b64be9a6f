"""The log of a day as a PDF: the signed one that is kept, or a print of the records as they stand."""

from datetime import date, datetime

from sqlalchemy.orm import Session

from app import ledger, logs

from . import get_database, kept_logs
from .kept_logs.records import Proved, records_json


def give_log(site: str, day: date, *, as_of: datetime) -> bytes:
    """Give a day's log: the kept one, byte for byte, while the day is signed and nothing came after that changes it.

    Where that log is not made yet, it is made now. Raises SigningRefused.
    """
    with get_database().reading() as session:
        signed_seq = holding_sign_off(session, site, day, as_of=as_of)
        if signed_seq is None:
            return print_day(session, site, day, as_of=as_of)
    kept_logs.keep(site, signed_seq, at=as_of)
    with get_database().reading() as session:
        return kept_logs.read_pdf(session, site, signed_seq)


def find_kept(site: str, day: date, *, as_of: datetime) -> bytes | None:
    """Give the kept log by which a day is signed now, if it is signed and its log is made."""
    with get_database().reading() as session:
        if kept_logs.kept_log(session, site, day) is None:
            return None
        signed_seq = holding_sign_off(session, site, day, as_of=as_of)
        known = {log.signed_seq for log in kept_logs.kept_logs(session, site, day)}
        return kept_logs.read_pdf(session, site, signed_seq) if signed_seq in known else None


def holding_sign_off(session: Session, site: str, day: date, *, as_of: datetime) -> int | None:
    """Give the sign-off by which a day is signed now; None where nobody signed it, or entries came that touch it."""
    signed = ledger.assess_day(session, site, day, as_of=as_of).signed
    return None if signed is None or signed.stale else signed.seq


def print_day(session: Session, site: str, day: date, *, as_of: datetime) -> bytes:
    """Give a day's log as nobody signed it, as PDF. Nothing written after the head was read is in it."""
    head = ledger.head(session, site)
    assessment = ledger.assess_day(session, site, day, as_of=as_of, through_seq=head[0])
    proved = Proved(kept_logs.kept_logs(session, site))
    with records_json(session, assessment, head=head, proved=proved) as records:
        return logs.write_log(assessment, head=head, records=records)
