"""Entries as the rules see them, made from the bytes that were hashed."""

import json
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from app.kinds import Entry
from app.kinds.reading import entry_of


class Row(NamedTuple):
    """What is read of a row of the ledger: the columns that no hash covers, and the body."""

    seq: int
    root_seq: int
    body: bytes


def typed(rows: Iterable[Row], roots: Mapping[int, str] = MappingProxyType({})) -> list[Entry]:
    """Give the entries of rows, in their order. The first version of each is among them, or its id in `roots`."""
    bodies = [(row.seq, row.root_seq, json.loads(row.body)) for row in rows]
    ids = {seq: body["id"] for seq, _root_seq, body in bodies}
    return [
        entry_of(body, root_seq=root_seq, root=ids.get(root_seq) or roots[root_seq]) for _seq, root_seq, body in bodies
    ]


def new_entry(fields: Mapping[str, Any], *, via: str) -> Entry:
    """Give the entry that a draft's fields make: numbered 0, written when seen, and its own first version so far."""
    body = {**fields, "seq": 0, "recorded_at": fields["observed_at"], "via": via, "late": False}
    return entry_of(body, root_seq=0, root=fields["id"])
