"""Verifying: whatever was changed behind the ledger's back is named by its seq."""

import json

import pytest
from sqlalchemy import text

from app import ledger
from app.ledger.form import chain
from tests.support import cast
from tests.support.cast import nth
from tests.support.ledger_kitchen import EVENING, PAT, Kitchen, tray_filled

TRIGGERS = {
    "sqlite": ("DROP TRIGGER entries_refuse_update", "DROP TRIGGER entries_refuse_delete"),
    "postgresql": ("ALTER TABLE entries DISABLE TRIGGER USER",),
}


@pytest.fixture
def ledger_of_six(kitchen: Kitchen) -> Kitchen:
    """A ledger of six entries, one of them an amendment, in a database whose guards somebody took away."""
    reading = cast.draft("hold_reading", at="11:30")
    mended = {**reading, "id": "00000000-0000-4000-8000-00000000000a", "temperature": "149"}
    kitchen.accept(*tray_filled(), reading, {**mended, "amends": reading["id"], "amend_reason": "slip"})
    kitchen.accept(cast.draft("note", at="12:00"))
    change(kitchen, *TRIGGERS[kitchen.database.engine.dialect.name])
    return kitchen


def change(kitchen: Kitchen, *statements: str, **values: object) -> None:
    with kitchen.database.engine.begin() as connection:
        for statement in statements:
            connection.execute(text(statement), values)


def rewrite(kitchen: Kitchen, at_seq: int, **fields: object) -> None:
    """Write other bytes over an entry, with the hash that belongs to them."""
    body = json.loads(kitchen.lines(after_seq=at_seq - 1)[0])
    del body["hash"]
    content = chain.canonical({**body, **fields})
    own_hash = chain.entry_hash(content)
    change(
        kitchen,
        "UPDATE entries SET body = :body, hash = :hash WHERE seq = :seq",
        body=content,
        hash=own_hash,
        seq=nth(at_seq),
    )


def test_an_empty_and_an_honest_ledger_verify(kitchen: Kitchen) -> None:
    assert kitchen.verify() is None
    kitchen.accept(*tray_filled())
    assert kitchen.verify() is None


def test_an_unknown_site_is_not_verified(kitchen: Kitchen) -> None:
    with kitchen.database.reading() as session, pytest.raises(LookupError):
        ledger.verify(session, "S9")


@pytest.mark.parametrize(
    ("statement", "seq", "reason"),
    [
        (f"UPDATE entries SET person = 'nobody' WHERE seq = {nth(2)}", 2, "columns"),
        (f"UPDATE entries SET kind = 'note' WHERE seq = {nth(3)}", 3, "columns"),
        (f"UPDATE entries SET id = 'other' WHERE seq = {nth(6)}", 6, "columns"),
        (f"UPDATE entries SET observed_at = observed_at + 1 WHERE seq = {nth(4)}", 4, "columns"),
        (f"UPDATE entries SET recorded_at = recorded_at - 1 WHERE seq = {nth(4)}", 4, "columns"),
        (f"UPDATE entries SET root_seq = {nth(5)} WHERE seq = {nth(5)}", 5, "columns"),
        (f"UPDATE entries SET root_seq = {nth(3)} WHERE seq = {nth(4)}", 4, "columns"),
        (f"UPDATE entries SET hash = previous_hash WHERE seq = {nth(6)}", 6, "body"),
        (f"UPDATE entries SET previous_hash = 'x' WHERE seq = {nth(1)}", 1, "link"),
        (f"DELETE FROM entries WHERE seq = {nth(1)}", 1, "missing"),
        (f"DELETE FROM entries WHERE seq = {nth(3)}", 3, "missing"),
        (f"DELETE FROM entries WHERE seq > {nth(4)}", 5, "missing"),
        (f"UPDATE entries SET seq = {nth(60)} WHERE seq = {nth(6)}", 6, "missing"),
    ],
)
def test_a_change_is_named(ledger_of_six: Kitchen, statement: str, seq: int, reason: str) -> None:
    change(ledger_of_six, statement)
    assert ledger_of_six.verify() == ledger.Broken(nth(seq), reason)


def test_a_value_changed_in_the_bytes_is_named(ledger_of_six: Kitchen) -> None:
    body = ledger_of_six.lines(after_seq=3)[0].replace(b'"150"', b'"151"')[:-76] + b"}"
    change(ledger_of_six, f"UPDATE entries SET body = :body WHERE seq = {nth(4)}", body=body)
    assert ledger_of_six.verify() == ledger.Broken(nth(4), "body")


def test_bytes_rewritten_with_their_hash_break_the_link_of_the_next(ledger_of_six: Kitchen) -> None:
    rewrite(ledger_of_six, 4, temperature="151")
    assert ledger_of_six.verify() == ledger.Broken(nth(5), "link")


@pytest.mark.parametrize("fields", [{"v": 2}, {"site": "S2"}, {"seq": nth(7)}, {"observed_at": "noon"}, {"id": None}])
def test_the_newest_entry_rewritten_with_its_hash_must_still_make_sense(
    ledger_of_six: Kitchen, fields: dict[str, object]
) -> None:
    rewrite(ledger_of_six, 6, **fields)
    broken = ledger_of_six.verify()
    assert broken is not None
    assert broken.seq == nth(6)


@pytest.mark.parametrize("body", [b"", b"{}", b"[]", b"\xff", b'{"v":1}', b'{"v": 1}'])
def test_bytes_that_are_no_entry_are_named(ledger_of_six: Kitchen, body: bytes) -> None:
    own_hash = chain.entry_hash(body)
    change(
        ledger_of_six, f"UPDATE entries SET body = :body, hash = :hash WHERE seq = {nth(6)}", body=body, hash=own_hash
    )
    assert ledger_of_six.verify() == ledger.Broken(nth(6), "body")


def test_a_sign_off_holds_what_it_covers(kitchen: Kitchen) -> None:
    kitchen.accept(cast.draft("note", at="12:00"))
    with kitchen.database.writing() as session:
        shown = ledger.head(session, "S1")
        ledger.sign(session, "S1", cast.DAY, by=PAT, at=EVENING, shown=shown)
    assert kitchen.verify() is None
    change(kitchen, *TRIGGERS[kitchen.database.engine.dialect.name])
    rewrite(kitchen, 2, covers_hash="0" * 64)
    assert kitchen.verify() == ledger.Broken(nth(2), "sign_off")
    rewrite(kitchen, 2, covers_seq=nth(2))
    assert kitchen.verify() == ledger.Broken(nth(2), "sign_off")
