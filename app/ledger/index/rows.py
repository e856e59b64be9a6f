"""Reading rows of the ledger and of the index of subjects."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import NamedTuple, cast

from sqlalchemy import ColumnElement, Table, bindparam, literal_column, not_, select

from app import models
from app.db import Prepared, Source, among, moment
from app.kinds.form import NONE
from app.models import IN_REGISTER

from ..checks.states import Fact, State
from ..form import chain
from ..form.typed import Row
from ..register import SiteRow
from .subjects import MOVING

ENTRY = cast(Table, models.Entry.__table__).c
INDEX = cast(Table, models.EntrySubject.__table__).c

ROW = select(ENTRY.seq, ENTRY.root_seq, ENTRY.body)
OF_SITE = ENTRY.site_id == bindparam("site_id")
OF_KITCHEN: ColumnElement[bool] = not_(literal_column(IN_REGISTER))
"""What is of no business day asks for nothing and is no part of one: whoever reads a day has the register apart."""

INDEX_OF_SITE = INDEX.site_id == bindparam("site_id")


class Head(NamedTuple):
    """A site's newest entry, and when it was recorded; of an empty ledger 0, where its chain begins, and None."""

    seq: int
    hash: str
    recorded_at: datetime | None


_HEAD = Prepared(select(ENTRY.seq, ENTRY.hash, ENTRY.recorded_at).where(OF_SITE).order_by(ENTRY.seq.desc()).limit(1))


def head(source: Source, site: SiteRow) -> Head:
    """Give a site's newest entry."""
    found = _HEAD.run(source, site_id=site.id)
    if not found:
        return Head(0, chain.genesis_hash(site.code), None)
    seq, own_hash, recorded_at = found[0]
    return Head(seq, own_hash, moment(recorded_at))


_FIRST_SEEN = Prepared(select(ENTRY.observed_at).where(OF_SITE, OF_KITCHEN).order_by(ENTRY.observed_at).limit(1))


def first_seen(source: Source, site_id: int) -> datetime | None:
    """Give when the earliest of the kitchen's own entries was seen; None while there is none."""
    found = _FIRST_SEEN.run(source, site_id=site_id)
    return moment(found[0][0]) if found else None


_IDS = Prepared(select(ENTRY.id).where(OF_SITE, among(ENTRY.seq)).order_by(ENTRY.seq))


def ids_of(source: Source, site_id: int, seqs: Iterable[int]) -> list[str]:
    """Give the ids of entries by their seqs."""
    return [row[0] for row in _IDS.run_among(source, seqs, site_id=site_id)]


_BY_ID = Prepared(ROW.where(OF_SITE, among(ENTRY.id)))
_BY_SEQ = Prepared(ROW.where(OF_SITE, among(ENTRY.seq)))
_AMENDMENTS = Prepared(ROW.where(OF_SITE, ENTRY.root_seq != ENTRY.seq, among(ENTRY.root_seq)))


def by_ids(source: Source, site_id: int, ids: Iterable[str]) -> list[Row]:
    """Give the rows with these ids."""
    return [Row(*row) for row in _BY_ID.run_among(source, ids, site_id=site_id)]


def by_seqs(source: Source, site_id: int, seqs: Iterable[int]) -> list[Row]:
    """Give the rows with these seqs."""
    return [Row(*row) for row in _BY_SEQ.run_among(source, seqs, site_id=site_id)]


def amendments_of(source: Source, site_id: int, root_seqs: Iterable[int]) -> list[Row]:
    """Give the later versions of these entries (each named by the seq of its first)."""
    return [Row(*row) for row in _AMENDMENTS.run_among(source, root_seqs, site_id=site_id)]


_FACTS = select(
    *(INDEX.subject, INDEX.newest),
    *(INDEX.observed_at, INDEX.root_seq, INDEX.seq, INDEX.role, INDEX.quarters, INDEX.bird),
).where(INDEX_OF_SITE, among(INDEX.subject))
_MOVING_FACTS = Prepared(_FACTS.where(INDEX.role.in_(MOVING)))
_WHOLE_FACTS = Prepared(_FACTS.where(INDEX.role != NONE))


def states(source: Source, site_id: int, subjects: Sequence[str], *, whole: bool) -> dict[str, State]:
    """Give what the index knows of these subjects; `whole`: with readings and moves, too."""
    facts: dict[str, list[Fact]] = {subject: [] for subject in subjects}
    used: set[str] = set()
    statement = _WHOLE_FACTS if whole else _MOVING_FACTS
    for subject, newest, *columns in statement.run_among(source, subjects, site_id=site_id):
        fact = Fact(*columns)
        if fact.role in MOVING:
            used.add(subject)
        if newest:
            facts[subject].append(fact)
    return {subject: State(subject, facts[subject], subject in used, whole) for subject in subjects}


_LATER = (ENTRY.root_seq == bindparam("root_seq")) & (ENTRY.root_seq != ENTRY.seq)
_VERSIONS_AT = Prepared(select(ENTRY.observed_at).where(OF_SITE, (ENTRY.seq == bindparam("root_seq")) | _LATER))
_ABOUT_AT = Prepared(
    select(INDEX.observed_at).where(INDEX_OF_SITE, INDEX.subject == bindparam("subject")).order_by(INDEX.observed_at)
)


def moments_of(source: Source, site_id: int, root_seq: int) -> list[datetime]:
    """Give when the versions of an entry were seen."""
    return [moment(row[0]) for row in _VERSIONS_AT.run(source, site_id=site_id, root_seq=root_seq)]


def moments_about(source: Source, site_id: int, subject: str) -> list[datetime]:
    """Give when the entries that name a subject were seen, in order."""
    return [moment(row[0]) for row in _ABOUT_AT.run(source, site_id=site_id, subject=subject)]
