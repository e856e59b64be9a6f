"""Reading a long period: what counts of some kinds of entries, in order of time, a thousand at a time."""

import json
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import bindparam, func, or_, select
from sqlalchemy.orm import Session

from app.db import Prepared, Result, Source, among, milliseconds
from app.kinds import Entry

from .. import register
from ..index.rows import ENTRY, OF_KITCHEN, OF_SITE

_AT_A_TIME = 1000

# Named twice: a statement may be run with one list of values only, and the kinds are that list.
_PAGE = Prepared(
    select(ENTRY.seq, ENTRY.root_seq, ENTRY.observed_at, ENTRY.recorded_at, ENTRY.body)
    .where(OF_SITE, among(ENTRY.kind), ENTRY.observed_at >= bindparam("at"), ENTRY.observed_at < bindparam("ends_at"))
    .where(or_(ENTRY.observed_at > bindparam("at"), ENTRY.seq > bindparam("after_seq")))
    .order_by(ENTRY.observed_at, ENTRY.seq)
    .limit(_AT_A_TIME)
)
# By a stretch of seqs, not by a list of them: hardly anything is mended, and what is seen together is written together.
_NEWEST = Prepared(
    select(ENTRY.root_seq, func.max(ENTRY.seq))
    .where(OF_SITE, ENTRY.root_seq != ENTRY.seq)
    .where(ENTRY.root_seq >= bindparam("first"), ENTRY.root_seq <= bindparam("last"))
    .group_by(ENTRY.root_seq)
)
_BODIES = Prepared(select(ENTRY.seq, ENTRY.body).where(OF_SITE, among(ENTRY.seq)))
_ANY = Prepared(
    select(ENTRY.seq)
    .where(OF_SITE, OF_KITCHEN, ENTRY.observed_at >= bindparam("at"), ENTRY.observed_at < bindparam("ends_at"))
    .limit(1)
)


_Body = Mapping[str, Any]
Counted = tuple[int, int, _Body, _Body]
"""An entry that counts: when it was seen and recorded, in milliseconds; its hashed object, and that of its first
version, the same one where it was never mended."""

_decode = json.JSONDecoder().raw_decode
"""What json.loads does after having looked for the encoding and for blanks: of hashed bytes both are known."""


def _decoded(bodies: Sequence[bytes]) -> Sequence[_Body]:
    """Read many hashed objects as one list: each alone would make the names of its fields anew."""
    found: Sequence[_Body] = _decode(str(b"[" + b",".join(bodies) + b"]", "utf-8"))[0]
    return found


def has_entries(session: Session, code: str, starts_at: datetime, ends_at: datetime) -> bool:
    """Whether anything of the kitchen was seen from one moment until just before another."""
    row = register.get_site_row(session, code)
    return bool(_ANY.run(session, site_id=row.id, at=milliseconds(starts_at), ends_at=milliseconds(ends_at)))


def counted_between(
    session: Session,
    code: str,
    kinds: Sequence[type[Entry]],
    starts_at: datetime,
    ends_at: datetime,
    *,
    with_field: str = "",
) -> Iterator[Counted]:
    """Give what counts of some kinds, seen in a stretch of time, in order of time: newest versions, none withdrawn.

    `with_field`: only entries that have this field.

    Memory stays the same however long the stretch is.
    """
    row = register.get_site_row(session, code)
    names, at, ends = [kind.KIND for kind in kinds], milliseconds(starts_at), milliseconds(ends_at)
    after_seq = 0
    while page := page_of(session, names, site_id=row.id, at=at, ends_at=ends, after_seq=after_seq):
        yield from _counted(session, row.id, page, f'"{with_field}":'.encode() if with_field else b"")
        after_seq, _root, at, _recorded, _body = page[-1]
        if len(page) < _AT_A_TIME:
            return


def page_of(source: Source, kinds: Sequence[str], *, site_id: int, at: int, ends_at: int, after_seq: int) -> Result:
    """Give the next rows of some kinds in order of time: seq, seq of the first version, when seen (ms), body."""
    return _PAGE.run_among(source, kinds, site_id=site_id, at=at, ends_at=ends_at, after_seq=after_seq)


def _counted(source: Source, site_id: int, page: Result, part: bytes) -> Iterator[Counted]:
    roots = [row[1] for row in page]
    newest: dict[int, int] = dict(_NEWEST.run(source, site_id=site_id, first=min(roots), last=max(roots)))
    # Looked for in the bytes, for reading them costs most; text that only looks like the field is read for nothing.
    counting = [row for row in page if part in row[4]] if part else page
    if newest:
        counting = [row for row in counting if newest.get(row[1], row[1]) == row[0]]
    mended = [row[1] for row in counting if row[0] != row[1]] if newest else []
    firsts: dict[int, bytes] = dict(_BODIES.run_among(source, mended, site_id=site_id)) if mended else {}
    for row, fields in zip(counting, _decoded([row[4] for row in counting]), strict=True):
        if "withdrawn" not in fields:
            seq, root, at, recorded, _body = row
            yield at, recorded, fields, fields if seq == root else json.loads(firsts[root])
