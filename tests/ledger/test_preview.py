"""Looking at what would be kept, before anybody said whose it is; and what an entry keeps of who was at the tablet."""

import json
from dataclasses import replace

from app import ledger
from app.ledger.checks.callers import Caller, may_write
from tests.support import cast
from tests.support.ledger_kitchen import COOK, EVENING, TABLET, Kitchen, spit_loaded


def test_a_preview_is_checked_and_typed_but_not_kept(sqlite_kitchen: Kitchen) -> None:
    sqlite_kitchen.accept(*spit_loaded())
    reading = cast.draft("cook_reading", at="10:00", temperature="165.5")
    with sqlite_kitchen.database.reading() as session:
        entry, errors = ledger.preview(session, "S1", reading, by=COOK, at=EVENING)
        nothing, wrong = ledger.preview(session, "S1", {**reading, "bird": 9}, by=COOK, at=EVENING)
    assert errors == ()
    assert entry is not None
    assert (entry.seq, entry.root_seq, str(entry.reading.value), entry.late) == (
        cast.nth(3),
        cast.nth(3),
        "165.5",
        True,
    )
    assert nothing is None
    assert [(error.field, error.code) for error in wrong] == [("bird", "range")]
    assert len(sqlite_kitchen.lines()) == 2


def test_a_preview_of_what_was_kept_gives_it_as_it_was_kept(sqlite_kitchen: Kitchen) -> None:
    note = cast.draft("note", at="12:00")
    sqlite_kitchen.accept(note)
    with sqlite_kitchen.database.reading() as session:
        entry, errors = ledger.preview(session, "S1", note, by=COOK, at=EVENING)
        _none, wrong = ledger.preview(session, "S1", {**note, "text": "x"}, by=COOK, at=EVENING)
    assert entry is not None
    assert (entry.seq, errors) == (cast.nth(1), ())
    assert [(error.field, error.code) for error in wrong] == [("id", "differs")]


def test_a_preview_need_not_say_whose_it_is(sqlite_kitchen: Kitchen) -> None:
    sqlite_kitchen.accept(*spit_loaded())
    reading = cast.draft("cook_reading", at="10:00")
    with sqlite_kitchen.database.reading() as session:
        entry, errors = ledger.preview(session, "S1", reading, by=TABLET, at=EVENING)
        nothing, wrong = ledger.preview(session, "S1", {**reading, "bird": 9}, by=TABLET, at=EVENING)
    assert (entry is not None and entry.person, errors) == ("", ())
    assert (nothing, [(error.field, error.code) for error in wrong]) == (None, [("bird", "range")])
    assert sqlite_kitchen.refuse(reading, by=TABLET) == [("person", "missing")]


def test_a_rehearsal_sees_what_comes_before_and_keeps_nothing(kitchen: Kitchen) -> None:
    drafts = spit_loaded()
    with kitchen.database.writing() as session:
        looked_at = ledger.rehearse(session, "S1", drafts, by=TABLET, at=EVENING)
    assert [errors for _entry, errors in looked_at] == [(), ()]
    assert kitchen.lines() == []
    kitchen.accept(*drafts)


def test_a_preview_of_what_was_kept_by_somebody_gives_it_to_nobody(sqlite_kitchen: Kitchen) -> None:
    note = cast.draft("note", at="12:00")
    sqlite_kitchen.accept(note)
    with sqlite_kitchen.database.reading() as session:
        entry, _errors = ledger.preview(session, "S1", note, by=TABLET, at=EVENING)
        _none, wrong = ledger.preview(session, "S1", {**note, "text": "x"}, by=TABLET, at=EVENING)
    assert (entry is not None and entry.seq, wrong[0].code) == (cast.nth(1), "differs")


def test_an_entry_keeps_what_showed_whose_it_is(kitchen: Kitchen) -> None:
    near = Caller("cook", "Casey Cook", "cook", "tablet:A", identified="recent")
    kitchen.accept(note := cast.draft("note", at="12:00"), by=near)
    assert json.loads(kitchen.lines()[0])["identified"] == "recent"
    with kitchen.database.reading() as session:
        entry = ledger.find_entry(session, "S1", note["id"])
    assert (entry is not None and entry.identified) == "recent"
    assert [result.status for result in kitchen.post(note, by=near)] == ["duplicate"]


def test_only_the_server_says_what_showed_whose_it_is(sqlite_kitchen: Kitchen) -> None:
    assert sqlite_kitchen.refuse(cast.draft("note", at="12:00", identified="pin")) == [("identified", "unknown")]


def test_a_release_at_a_tablet_wants_the_pin_just_typed() -> None:
    pat = Caller("pat", "Pat Porter", "in_charge", "tablet:A", identified="pin")
    assert not may_write("release", pat.role, pat.known_by)
    assert may_write("release", pat.role, replace(pat, pin_again=True).known_by)
    assert not may_write("action_verified", pat.role, replace(pat, pin_again=True).known_by)
