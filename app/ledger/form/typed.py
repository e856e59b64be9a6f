"""Entries as the rules see them, made from the bytes that were hashed."""

import json
from collections.abc import Iterable, Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import Any, NamedTuple

from app.kinds import Entry
from app.kinds.reading import entry_of

_MOST_KEPT = 8192
"""Entries in a process, some 10 MB: several days of a large kitchen."""


class Row(NamedTuple):
    """What is read of a row of the ledger: the columns that no hash covers, and the body."""

    seq: int
    root_seq: int
    body: bytes


def typed(rows: Iterable[Row], roots: Mapping[int, str] = MappingProxyType({})) -> list[Entry]:
    """Give the entries of rows, in their order. The first version of each is among them, or its id in `roots`."""
    read = [_read(row) for row in rows]
    ids = {row.seq: own_id for row, own_id, _entry in read}
    return [entry or _later(row, ids.get(row.root_seq) or roots[row.root_seq]) for row, _id, entry in read]


def _read(row: Row) -> tuple[Row, str, Entry | None]:
    """Give a row with its id, and its entry where that is the first of its versions: its root is itself."""
    if row.root_seq != row.seq:
        return row, json.loads(row.body)["id"], None
    entry = _first(row.seq, row.body)
    return row, entry.id, entry


@lru_cache(maxsize=_MOST_KEPT)
def _first(seq: int, body: bytes) -> Entry:
    """Give the entry of these bytes. It is kept: the bytes of an entry never change, and a running day is read again
    after every entry that comes."""
    found = json.loads(body)
    return entry_of(found, root_seq=seq, root=found["id"])


def _later(row: Row, root: str) -> Entry:
    return entry_of(json.loads(row.body), root_seq=row.root_seq, root=root)


def new_entry(fields: Mapping[str, Any], *, via: str) -> Entry:
    """Give the entry that a draft's fields make: numbered 0, written when seen, and its own first version so far."""
    body = {**fields, "seq": 0, "recorded_at": fields["observed_at"], "via": via, "late": False}
    return entry_of(body, root_seq=0, root=fields["id"])
