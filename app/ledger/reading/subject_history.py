"""What was written of one thing over time: the checks of a probe or unit, the newest entry of a kind."""

from datetime import datetime
from operator import attrgetter

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.kinds import Entry, PlanReassessed, of_kind
from app.kinds.entry import K
from app.rules.history.versions import effective

from .. import register
from ..form.typed import Row, typed
from ..index import rows
from ..index.rows import ENTRY
from ..register_entries import calendar_of_row
from .gathering import Gathering


def checks_since(
    session: Session, code: str, kind: type[K], *subjects: str, since: datetime, as_of: datetime
) -> list[K]:
    """Give what counts of the entries of one kind about `check:PROBE`, `unit:UNIT` … from a moment until another."""
    row = register.get_site_row(session, code)
    found = Gathering(session, row.id, through_seq=rows.head(session, row).seq)
    found.about_between(subjects, since, as_of)
    return of_kind(effective(found.entries.values(), as_of=as_of), kind)


def plan_reassessments(session: Session, code: str, *, as_of: datetime) -> list[PlanReassessed]:
    """Give every look at a site's plan as a whole, in order of time."""
    row = register.get_site_row(session, code)
    found = Gathering(session, row.id, through_seq=rows.head(session, row).seq)
    found.about([f"plan:{adopted.version}" for adopted in calendar_of_row(session, row).plans])
    return of_kind(effective(found.entries.values(), as_of=as_of), PlanReassessed)


def newest_of(session: Session, code: str, kind: type[K], *, since: datetime, as_of: datetime) -> K | None:
    """Give the newest entry of a kind between two moments as it was first written, to fill in a form again."""
    row = register.get_site_row(session, code)
    query = (
        select(ENTRY.seq, ENTRY.root_seq, ENTRY.body)
        .where(ENTRY.site_id == row.id, ENTRY.observed_at >= since, ENTRY.observed_at <= as_of)
        .where(ENTRY.kind == kind.KIND, ENTRY.root_seq == ENTRY.seq)
        .order_by(ENTRY.observed_at.desc(), ENTRY.seq.desc())
        .limit(1)
    )
    found = typed([Row(*found) for found in session.execute(query)], {})
    return next(iter(of_kind(found, kind)), None)


def entries_since(session: Session, code: str, *kinds: type[Entry], since: datetime, as_of: datetime) -> list[Entry]:
    """Give what counts of the entries of some kinds seen between two moments, in the order of their writing."""
    row = register.get_site_row(session, code)
    query = (
        select(ENTRY.seq, ENTRY.root_seq, ENTRY.body)
        .where(ENTRY.site_id == row.id, ENTRY.observed_at >= since, ENTRY.observed_at <= as_of)
        .where(ENTRY.kind.in_([kind.KIND for kind in kinds]))
        .order_by(ENTRY.seq)
    )
    found = [Row(*found) for found in session.execute(query)]
    seqs = {row.seq for row in found}
    counting = effective(typed(row for row in found if row.root_seq in seqs), as_of=as_of)
    return sorted(counting, key=attrgetter("seq"))
