"""The checks of one probe or unit over time, found through the index."""

from datetime import datetime

from sqlalchemy.orm import Session

from app.rules.facts import Entry
from app.rules.versions import effective

from . import register, rows
from .gathering import Gathering


def checks_since(session: Session, code: str, subject: str, *, since: datetime, as_of: datetime) -> list[Entry]:
    """Give what counts of the entries about `check:PROBE` or `unit:UNIT` from a moment until another."""
    row = register.get_site_row(session, code)
    found = Gathering(session, row.id, through_seq=rows.head(session, row)[0])
    found.about_between([subject], since, as_of)
    return effective(found.entries.values(), as_of=as_of)
