"""Verifying: the chain, its order in time, the columns beside it and the sign-offs, from the bytes that were hashed."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, cast

from sqlalchemy import BigInteger, bindparam, func, literal_column, select, type_coerce
from sqlalchemy.orm import Session

from app import models
from app.db import Prepared, moment
from app.kinds import ALL_KINDS, ClockSet, SiteSet
from app.kinds.values import instant_text

from . import register
from .form import chain
from .index.rows import ENTRY

_AT_A_TIME = 2000


@dataclass(frozen=True, slots=True)
class Broken:
    """The first entry of a ledger that is not as it was written, or is missing, and a word on why."""

    seq: int
    reason: str
    """missing, link, body, columns, sign_off or time."""


_Row = tuple[int, int, str, str, int, int, str, str, str, bytes | str]
"""What `_COLUMNS` gives of an entry. The body is bytes; SQLite keeps a text where somebody wrote one over them."""

_COLUMNS = (
    *(ENTRY.seq, ENTRY.root_seq, ENTRY.id, ENTRY.kind),
    *(type_coerce(ENTRY.observed_at, BigInteger), type_coerce(ENTRY.recorded_at, BigInteger)),
    *(ENTRY.person, ENTRY.previous_hash, ENTRY.hash, ENTRY.body),
)
_AFTER = Prepared(
    select(*_COLUMNS)
    .where(ENTRY.site_id == bindparam("site_id"), ENTRY.seq > bindparam("seq"))
    .order_by(ENTRY.seq)
    .limit(literal_column(str(_AT_A_TIME)))
)


def verify(session: Session, code: str) -> Broken | None:
    """Walk a site's ledger from its beginning; give the first entry that is broken or missing, or None.

    Memory stays the same however long the ledger is. Raises LookupError for no such site.
    """
    site = register.get_site_row(session, code)
    previous_hash, seq, clock = chain.genesis_hash(code), 0, _Clock()
    for row in _rows(session, site.id):
        seq += 1
        found, _root_seq, _id, kind, _observed_at, recorded_at, _person, _previous_hash, own_hash, _body = row
        if found != seq:
            return Broken(seq, "missing")
        reason = _fault(session, site, row, previous_hash) or clock.fault(kind, recorded_at)
        if reason is not None:
            return Broken(seq, reason)
        previous_hash = own_hash
    # Whoever cut off the newest entries may have left what points to them.
    table = models.EntrySubject
    last = session.execute(select(func.max(table.seq)).where(table.site_id == site.id)).scalar() or 0
    return Broken(seq + 1, "missing") if last > seq else None


@dataclass(slots=True)
class _Clock:
    """When the entries walked so far were recorded. Asked of a ledger from its `site_set` on: entries that an older
    edition wrote before that took their time outside the site's lock."""

    recorded_at: int = 0
    is_asked: bool = False

    def fault(self, kind: str, recorded_at: int) -> str | None:
        """Say so where an entry is recorded before the last one, unless it is the one that accepts the clock."""
        is_back = recorded_at < self.recorded_at and self.is_asked and kind != ClockSet.KIND
        self.recorded_at = recorded_at
        if kind == SiteSet.KIND:
            self.is_asked = True
        return "time" if is_back else None


def _rows(session: Session, site_id: int) -> Iterator[_Row]:
    seq = -(2**31)
    while found := _AFTER.run(session, site_id=site_id, seq=seq):
        yield from cast(Iterator[_Row], iter(found))
        seq = found[-1][0]


def _fault(session: Session, site: register.SiteRow, row: _Row, follows: str) -> str | None:
    """Say what is wrong with an entry that follows the one of this hash, or None."""
    seq, root_seq, own_id, kind, observed_at, recorded_at, person, previous_hash, own_hash, kept = row
    if previous_hash != follows:
        return "link"
    if not isinstance(kept, bytes) or chain.entry_hash(kept) != own_hash:
        return "body"
    try:
        body = chain.read_canonical(kept)
        if body["v"] != 1:
            return "body"
        if not (
            body["seq"] == seq
            and body["id"] == own_id
            and body["kind"] == kind
            and body.get("person", "") == person
            and body["previous_hash"] == previous_hash
            and body["site"] == site.code
            and body["observed_at"] == _instant(observed_at)
            and body["recorded_at"] == _instant(recorded_at)
            and root_seq == (seq if "amends" not in body else _root_seq(session, site.id, seq, body["amends"]))
        ):
            return "columns"
        return _sign_off_fault(session, site, seq, body) if ALL_KINDS[kind].IS_SIGNATURE else None
    except (ValueError, KeyError, TypeError):
        return "body"


_MILLISECONDS = tuple(f"{number:03}Z" for number in range(1000))


@lru_cache(maxsize=4096)
def _second(stored: int) -> str:
    """Give a second of the database as it is hashed: `2026-04-14T10:31:07.`."""
    return instant_text(moment(stored * 1000))[:20]


def _instant(stored: int) -> str:
    """Give an instant of the database as it is hashed. Entries that follow each other share a second."""
    return _second(stored // 1000) + _MILLISECONDS[stored % 1000]


def _root_seq(session: Session, site_id: int, seq: int, amends: Any) -> int | None:
    """Give the seq of the first version of what an entry amends."""
    query = select(ENTRY.root_seq).where(ENTRY.site_id == site_id, ENTRY.id == amends, ENTRY.seq < seq)
    return session.execute(query).scalar()


def _sign_off_fault(session: Session, site: register.SiteRow, seq: int, body: dict[str, Any]) -> str | None:
    """Say so where a sign-off, of a day or a week, does not cover what was signed any more."""
    covered = body["covers_seq"]
    query = select(ENTRY.hash).where(ENTRY.site_id == site.id, ENTRY.seq == covered)
    held = session.execute(query).scalar() if covered else chain.genesis_hash(site.code)
    return None if held == body["covers_hash"] and covered < seq else "sign_off"
