"""Entries as the rules see them, made from the bytes that were hashed."""

import json
from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime
from decimal import Decimal
from types import MappingProxyType
from typing import Any, NamedTuple

from app.rules.facts import Entry

_NOT_OWN = frozenset(
    [
        *("v", "site", "seq", "id", "kind", "observed_at", "recorded_at", "person", "via", "late", "previous_hash"),
        *("amends", "withdrawn"),
    ]
)
"""What an Entry has as attributes, or what only concerns the chain; the rest are its fields."""


class Row(NamedTuple):
    """What is read of a row of the ledger: the columns that no hash covers, and the body."""

    seq: int
    root_seq: int
    body: bytes


def _number(value: Any) -> Any:
    return Decimal(value) if type(value) is str else value  # `birds` is text only where quarters are counted


def _numbers(value: list[int]) -> tuple[int, ...]:
    return tuple(value)


_READERS: Mapping[str, Callable[[Any], Any]] = {
    **dict.fromkeys(("temperature", "reference_temperature", "birds", "held_s", "mean_weight"), _number),
    **dict.fromkeys(("rotation", "humidity", "pressure_hpa", "altitude_m", "clock_offset_s"), _number),
    **dict.fromkeys(("entered_at", "marked_discard_by", "as_of"), datetime.fromisoformat),
    **dict.fromkeys(("use_by", "day"), date.fromisoformat),
    **dict.fromkeys(("discarded_birds", "findings"), _numbers),
}


def typed(rows: Iterable[Row], roots: Mapping[int, str] = MappingProxyType({})) -> list[Entry]:
    """Give the entries of rows, in their order. The first version of each is among them, or its id in `roots`."""
    bodies = [(row.seq, row.root_seq, json.loads(row.body)) for row in rows]
    ids = {seq: body["id"] for seq, _root_seq, body in bodies}
    return [
        entry_of(body, root_seq=root_seq, root=ids.get(root_seq) or roots[root_seq]) for _seq, root_seq, body in bodies
    ]


def entry_of(body: Mapping[str, Any], *, root_seq: int, root: str) -> Entry:
    """Give the entry of a hashed object."""
    return Entry(
        body["seq"],
        body["id"],
        body["kind"],
        datetime.fromisoformat(body["observed_at"]),
        datetime.fromisoformat(body["recorded_at"]),
        body["person"],
        body["via"],
        body["late"],
        root_seq,
        root,
        body.get("amends"),
        "withdrawn" in body,
        _own(body),
    )


def new_entry(fields: Mapping[str, Any], *, via: str) -> Entry:
    """Give the entry that a draft's fields make: numbered 0, written when seen, and its own first version so far."""
    own_id, observed_at = fields["id"], datetime.fromisoformat(fields["observed_at"])
    return Entry(
        *(0, own_id, fields["kind"], observed_at, observed_at, fields["person"], via, False, 0, own_id),
        fields.get("amends"),
        "withdrawn" in fields,
        _own(fields),
    )


def _own(body: Mapping[str, Any]) -> dict[str, Any]:
    readers = _READERS
    return {
        name: readers[name](value) if name in readers else value for name, value in body.items() if name not in _NOT_OWN
    }
