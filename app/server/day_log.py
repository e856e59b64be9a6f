"""The printed log of a day, from the records as they stand."""

from datetime import date, datetime

from sqlalchemy.orm import Session

from app import ledger, logs


def print_day(session: Session, site: str, day: date, *, as_of: datetime) -> bytes:
    """Give a day's log as PDF. Nothing written after the head was read is in it."""
    head = ledger.head(session, site)
    assessment = ledger.assess_day(session, site, day, as_of=as_of, through_seq=head[0])
    return logs.write_log(
        assessment, head=head, bodies=ledger.day_bodies(session, site, assessment.entries, assessment.set_up)
    )
