"""Reading rows of the ledger and of the index of subjects."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from itertools import islice
from typing import TypeVar

from sqlalchemy import BigInteger, select, type_coerce
from sqlalchemy.orm import Session

from app import models
from app.rules import chain

from .register import SiteRow
from .states import Fact, State
from .subjects import MOVING, NONE
from .typed import Row

ENTRY = models.Entry.__table__.c
INDEX = models.EntrySubject.__table__.c
INDEXED_AT = type_coerce(INDEX.observed_at, BigInteger)
"""Moments of the index in milliseconds, as they are stored."""

_FACT = (
    *(INDEX.subject, INDEX.newest),
    *(INDEXED_AT, INDEX.root_seq, INDEX.seq, INDEX.role, INDEX.quarters, INDEX.bird),
)

_AT_A_TIME = 2000
"""Values in one statement: below the number of parameters that either database takes."""

_Value = TypeVar("_Value")


def chunks(values: Iterable[_Value]) -> Iterator[list[_Value]]:
    """Give values in portions that fit into a statement."""
    remaining = iter(values)
    while portion := list(islice(remaining, _AT_A_TIME)):
        yield portion


def head(session: Session, site: SiteRow) -> tuple[int, str]:
    """Give seq and hash of a site's newest entry; of an empty ledger 0 and where its chain begins."""
    query = select(ENTRY.seq, ENTRY.hash).where(ENTRY.site_id == site.id).order_by(ENTRY.seq.desc()).limit(1)
    row = session.execute(query).one_or_none()
    return (0, chain.genesis_hash(site.code)) if row is None else (row[0], row[1])


def ids_of(session: Session, site_id: int, seqs: Iterable[int]) -> list[str]:
    """Give the ids of entries by their seqs, in that order."""
    query = select(ENTRY.id).where(ENTRY.site_id == site_id, ENTRY.seq.in_(list(seqs))).order_by(ENTRY.seq)
    return list(session.execute(query).scalars())


def by_ids(session: Session, site_id: int, ids: Iterable[str]) -> list[Row]:
    """Give the rows with these ids."""
    return [
        Row(*row)
        for portion in chunks(ids)
        for row in session.execute(
            select(ENTRY.seq, ENTRY.root_seq, ENTRY.body).where(ENTRY.site_id == site_id, ENTRY.id.in_(portion))
        )
    ]


def by_seqs(session: Session, site_id: int, seqs: Iterable[int]) -> list[Row]:
    """Give the rows with these seqs."""
    return [
        Row(*row)
        for portion in chunks(seqs)
        for row in session.execute(
            select(ENTRY.seq, ENTRY.root_seq, ENTRY.body).where(ENTRY.site_id == site_id, ENTRY.seq.in_(portion))
        )
    ]


def amendments_of(session: Session, site_id: int, root_seqs: Iterable[int]) -> list[Row]:
    """Give the later versions of these entries (each named by the seq of its first)."""
    return [
        Row(*row)
        for portion in chunks(root_seqs)
        for row in session.execute(
            select(ENTRY.seq, ENTRY.root_seq, ENTRY.body).where(
                ENTRY.site_id == site_id, ENTRY.root_seq != ENTRY.seq, ENTRY.root_seq.in_(portion)
            )
        )
    ]


def states(session: Session, site_id: int, subjects: Sequence[str], *, whole: bool) -> dict[str, State]:
    """Give what the index knows of these subjects; `whole`: with readings and moves, too."""
    facts: dict[str, list[Fact]] = {subject: [] for subject in subjects}
    used: set[str] = set()
    for portion in chunks(subjects):
        query = select(*_FACT).where(INDEX.site_id == site_id, INDEX.subject.in_(portion))
        rows = session.execute(query.where(INDEX.role != NONE) if whole else query.where(INDEX.role.in_(MOVING)))
        for subject, newest, *columns in rows:
            fact = Fact(*columns)
            if fact.role in MOVING:
                used.add(subject)
            if newest:
                facts[subject].append(fact)
    return {subject: State(subject, facts[subject], subject in used, whole) for subject in subjects}


def moments_of(session: Session, site_id: int, root_seq: int) -> list[datetime]:
    """Give when the versions of an entry were seen."""
    mine = (ENTRY.seq == root_seq) | ((ENTRY.root_seq == root_seq) & (ENTRY.root_seq != ENTRY.seq))
    return list(session.execute(select(ENTRY.observed_at).where(ENTRY.site_id == site_id, mine)).scalars())


def moments_about(session: Session, site_id: int, subject: str) -> list[datetime]:
    """Give when the entries that name a subject were seen, in order."""
    query = select(INDEX.observed_at).where(INDEX.site_id == site_id, INDEX.subject == subject)
    return list(session.execute(query.order_by(INDEX.observed_at)).scalars())
