"""Signing a day: bound to the head that was shown."""

import json
from datetime import datetime, timedelta

import pytest

from app import ledger
from app.ledger.checks.callers import Caller
from tests.support import cast
from tests.support.ledger_kitchen import COOK, EVENING, PAT, Kitchen, tray_filled, why


@pytest.fixture
def kitchen(sqlite_kitchen: Kitchen) -> Kitchen:
    """What may be signed does not depend on the database."""
    return sqlite_kitchen


def sign(
    kitchen: Kitchen, *, shown: tuple[int, str] | None = None, by: Caller = PAT, at: datetime = EVENING
) -> ledger.Result:
    shown = shown or kitchen.head()
    with kitchen.database.writing() as session:
        return ledger.sign(session, "S1", cast.DAY, by=by, at=at, shown=shown)


def test_a_sign_off_covers_the_head_that_was_shown(kitchen: Kitchen) -> None:
    kitchen.accept(cast.draft("note", at="12:00"))
    shown = kitchen.head()
    result = sign(kitchen)
    entry = json.loads(kitchen.lines(after_seq=1)[0])
    assert (result.status, result.seq, result.id) == ("accepted", cast.nth(2), entry["id"])
    assert (entry["covers_seq"], entry["covers_hash"]) == shown
    assert (entry["day"], entry["meaning"], entry["signer_name"]) == ("2026-04-14", "reviewed", "Pat Porter")
    assert entry["as_of"] == entry["observed_at"] == "2026-04-15T04:00:00.000Z"
    signed = kitchen.assess().signed
    assert signed is not None
    assert (signed.signer_name, signed.stale) == ("Pat Porter", False)


def test_an_empty_ledger_is_signed_over_its_beginning(kitchen: Kitchen) -> None:
    assert sign(kitchen).status == "accepted"


def test_a_day_with_something_open_is_not_signed(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled())
    result = sign(kitchen)
    assert why(result) == ("day", "order", "not_ready")
    assert result.errors[0].values["blocking"]
    assert len(kitchen.lines()) == 3


@pytest.mark.parametrize(
    "by",
    [
        Caller("pat", "Pat Porter", "in_charge", "session"),
        Caller("cook", "Casey Cook", "cook", "session", signing=True),
        Caller("ines", "Ines Ito", "inspector", "session", signing=True),
        Caller("pat", "Pat Porter", "in_charge", "tablet:A", signing=True),
    ],
    ids=["without the password", "a cook", "an inspector", "on a tablet"],
)
def test_only_somebody_in_charge_signs_with_the_password_just_given(kitchen: Kitchen, by: Caller) -> None:
    assert why(sign(kitchen, by=by)) == ("kind", "forbidden", None)


def test_a_day_that_has_not_begun_is_not_signed(kitchen: Kitchen) -> None:
    assert why(sign(kitchen, at=cast.moment("03:59"))) == ("day", "future", None)


def test_a_head_that_moved_by_what_touches_the_day_is_shown_again(kitchen: Kitchen) -> None:
    kitchen.accept(cast.draft("note", at="12:00"))
    shown = kitchen.head()
    kitchen.accept(cast.draft("note", at="13:00"))
    assert why(sign(kitchen, shown=shown)) == ("day", "order", "head_moved")


def test_a_head_that_moved_by_something_else_is_signed_as_it_was_shown(kitchen: Kitchen) -> None:
    kitchen.accept(cast.draft("note", at="12:00"))
    shown = kitchen.head()
    kitchen.accept(cast.draft("note", at=EVENING - timedelta(days=1)))
    assert sign(kitchen, shown=shown).status == "accepted"
    assert json.loads(kitchen.lines(after_seq=2)[0])["covers_seq"] == cast.nth(1)


@pytest.mark.parametrize("shown", [(1, "0" * 64), (7, "0" * 64), (-1, ""), (0, "0" * 64)])
def test_a_head_that_this_ledger_never_had_is_not_signed(kitchen: Kitchen, shown: tuple[int, str]) -> None:
    kitchen.accept(cast.draft("note", at="12:00"))
    assert why(sign(kitchen, shown=shown)) == ("day", "order", "head_moved")


def test_a_day_touched_after_signing_asks_again(kitchen: Kitchen) -> None:
    kitchen.accept(cast.draft("note", at="12:00"))
    sign(kitchen)
    later = EVENING + timedelta(minutes=5)
    kitchen.accept(cast.draft("note", at="13:00"), by=COOK, at=later)
    stale = kitchen.assess(as_of=later).signed
    assert stale is not None
    assert stale.stale
    sign(kitchen, at=later)
    fresh = kitchen.assess(as_of=later).signed
    assert fresh is not None
    assert not fresh.stale


def test_a_sign_off_has_an_id_made_from_its_place(kitchen: Kitchen) -> None:
    first, second = sign(kitchen), sign(kitchen)
    assert first.id != second.id
    assert (first.seq, second.seq) == (cast.nth(1), cast.nth(2))
