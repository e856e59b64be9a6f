"""Entries made from the bytes of a row: the same bytes give the same entry, read once; other bytes another one."""

import json

from app.kinds import Note
from app.ledger.form import chain
from app.ledger.form.typed import Row, typed


def row(seq: int, *, root_seq: int | None = None, text: str = "fine") -> Row:
    body = {
        "v": 1,
        "site": "S1",
        "seq": seq,
        "id": f"id-{seq}",
        "kind": "note",
        "observed_at": "2026-04-14T17:00:00.000Z",
        "recorded_at": "2026-04-14T17:00:01.000Z",
        "person": "cook",
        "via": "session",
        "late": False,
        "text": text,
        **({} if root_seq is None else {"amends": f"id-{root_seq}", "amend_reason": "slip"}),
    }
    return Row(seq, root_seq or seq, chain.canonical(body))


def test_an_entry_is_read_once_however_often_its_day_is() -> None:
    (first,), (second,) = typed([row(7)]), typed([row(7)])
    assert first is second
    assert (first.seq, first.root_seq, first.root, first.id) == (7, 7, "id-7", "id-7")


def test_bytes_that_somebody_changed_are_read_anew() -> None:
    (before,), (after,) = typed([row(7)]), typed([row(7, text="better")])
    assert [entry.text for entry in (before, after) if isinstance(entry, Note)] == ["fine", "better"]


def test_a_later_version_has_the_root_that_is_among_them_or_given() -> None:
    first, later = typed([row(7), row(9, root_seq=7)])
    (alone,) = typed([row(9, root_seq=7)], {7: "another"})
    assert (later.root, later.root_seq, alone.root) == (first.id, 7, "another")


def test_a_row_of_another_number_than_its_bytes_is_what_it_was() -> None:
    """As the columns say, whatever they were made to: `verify` names them."""
    moved = row(7)._replace(seq=8, root_seq=8)
    (entry,) = typed([moved])
    assert (entry.seq, entry.root_seq) == (json.loads(moved.body)["seq"], 8)
