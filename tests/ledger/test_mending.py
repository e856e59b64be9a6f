"""Mending: an amendment or a withdrawal takes nothing away that others stand on."""

import json
from typing import Any

import pytest

from app import ledger
from tests.support import cast
from tests.support.ledger_kitchen import PAT, Draft, Kitchen, batch_chilled, spit_loaded, tray_filled


@pytest.fixture
def kitchen(sqlite_kitchen: Kitchen) -> Kitchen:
    """What may be mended does not depend on the database."""
    return sqlite_kitchen


def amended(earlier: Draft, **fields: Any) -> dict[str, Any]:
    """Give the draft that amends an earlier one."""
    fresh = cast.draft(earlier["kind"], at="12:00")
    changed = {**earlier, "id": fresh["id"], "amends": earlier["id"], "amend_reason": "slip of the pen", **fields}
    return {name: value for name, value in changed.items() if value is not ...}


def seen_at(clock: str) -> str:
    return cast.moment(clock).isoformat()


def dependents(kitchen: Kitchen, draft: Draft) -> tuple[str, ...]:
    """Give the dependents for whose sake a draft is refused."""
    (result,) = kitchen.post(draft)
    (error,) = result.errors
    assert (error.field, error.code) == ("amends", "order")
    named: tuple[str, ...] = error.values["dependents"]
    return named


def test_a_reading_is_amended_and_withdrawn_at_will(kitchen: Kitchen) -> None:
    reading = cast.draft("hold_reading", at="11:30", temperature="13")
    better = amended(reading, temperature="135")
    kitchen.accept(*tray_filled(), reading, better, cast.withdrawal(better, at="11:40"))


def test_only_the_newest_version_is_mended(kitchen: Kitchen) -> None:
    note = cast.draft("note", at="12:00")
    second = amended(note, text="second")
    kitchen.accept(note, second)
    assert dependents(kitchen, amended(note, text="third")) == (second["id"],)
    assert dependents(kitchen, cast.withdrawal(note, at="12:00")) == (second["id"],)


def test_a_withdrawal_ends_the_chain(kitchen: Kitchen) -> None:
    note = cast.draft("note", at="12:00")
    withdrawal = cast.withdrawal(note, at="12:00")
    kitchen.accept(note, withdrawal)
    assert dependents(kitchen, amended(note)) == ()
    assert dependents(kitchen, amended(withdrawal | {"withdrawn": ..., "text": "again"})) == ()


def test_the_kind_stays(kitchen: Kitchen) -> None:
    note = cast.draft("note", at="12:00")
    kitchen.accept(note)
    other = cast.draft("in_charge_from", at="12:00", amends=note["id"], amend_reason="slip")
    assert kitchen.refuse(other, by=PAT) == [("amends", "order")]


def test_what_is_amended_must_be_there(kitchen: Kitchen) -> None:
    assert kitchen.refuse(amended(cast.draft("note", at="12:00"))) == [("amends", "unknown")]


def test_a_name_that_an_entry_opens_stays(kitchen: Kitchen) -> None:
    start, loading, pull = tray_filled()
    chilled = cast.draft("tray_out", at="12:00", to="chilled", batch="A-B1")
    kitchen.accept(start, loading, pull, chilled)
    assert dependents(kitchen, amended(pull, tray="A-T2")) == ()
    assert dependents(kitchen, amended(chilled, batch="A-B2")) == ()
    assert dependents(kitchen, amended(chilled, to="served", batch=...)) == ()
    assert dependents(kitchen, amended(start, load="A-L2")) == ()
    kitchen.accept(amended(start, oven="west"))


def test_a_name_that_an_entry_only_adds_to_may_change(kitchen: Kitchen) -> None:
    second = cast.draft("spit_pulled", at="10:40", birds=2, tray="A-T1")
    kitchen.accept(*spit_loaded(5), cast.draft("spit_pulled", at="10:36", birds=3), second)
    kitchen.accept(amended(second, tray="A-T2"), cast.draft("tray_out", at="11:00", birds=2, tray="A-T2"))
    assert kitchen.refuse(cast.draft("tray_out", at="11:00", birds=4)) == [("birds", "order")]


def test_an_opener_is_not_withdrawn_from_under_its_dependents(kitchen: Kitchen) -> None:
    start, loading, pull = tray_filled()
    reading, out = cast.draft("hold_reading", at="11:30"), cast.draft("tray_out", at="12:00", birds=5)
    kitchen.accept(start, loading, pull, reading, out)
    assert dependents(kitchen, cast.withdrawal(pull, at="12:30")) == (reading["id"], out["id"])
    assert dependents(kitchen, cast.withdrawal(loading, at="12:30")) == (pull["id"],)
    assert dependents(kitchen, cast.withdrawal(start, at="12:30")) == (loading["id"], pull["id"])


def test_what_nobody_stands_on_is_withdrawn_and_its_name_is_used_up(kitchen: Kitchen) -> None:
    start, loading, pull = tray_filled()
    kitchen.accept(start, loading, pull, *(cast.withdrawal(d, at="12:30") for d in (pull, loading, start)))
    assert kitchen.refuse(cast.draft("load_started", at="13:00")) == [("load", "order")]
    kitchen.accept(cast.draft("load_started", at="13:00", load="A-L2"))
    kitchen.accept(cast.draft("spit_loaded", at="13:00", load="A-L2"))
    assert kitchen.refuse(cast.draft("spit_pulled", at="14:00", load="A-L2")) == [("tray", "order")]


def test_another_filling_carries_a_tray_whose_opener_is_withdrawn(kitchen: Kitchen) -> None:
    first, second = (cast.draft("spit_pulled", at=at, birds=2) for at in ("10:36", "10:50"))
    early, late = cast.draft("hold_reading", at="10:40"), cast.draft("hold_reading", at="11:30")
    kitchen.accept(*spit_loaded(5), first, second, late)
    kitchen.accept(early)
    assert dependents(kitchen, cast.withdrawal(first, at="12:00")) == (early["id"],)
    kitchen.accept(cast.withdrawal(early, at="12:00"), cast.withdrawal(first, at="12:00"))


def test_an_opener_is_not_moved_past_its_dependents(kitchen: Kitchen) -> None:
    start, loading, pull = tray_filled()
    reading = cast.draft("hold_reading", at="11:30")
    kitchen.accept(start, loading, pull, reading)
    kitchen.accept(late := amended(pull, observed_at=seen_at("11:32")))
    assert dependents(kitchen, amended(late, observed_at=seen_at("11:32:01"))) == (reading["id"],)
    assert dependents(kitchen, amended(start, observed_at=seen_at("09:05"))) == (loading["id"],)


def test_more_would_go_out_than_came_in(kitchen: Kitchen) -> None:
    _start, _loading, pull = drafts = tray_filled(5)
    first, second = (cast.draft("tray_out", at=at, birds=2) for at in ("12:00", "13:00"))
    kitchen.accept(*drafts, first, second)
    assert dependents(kitchen, amended(pull, birds=3)) == (second["id"],)
    assert dependents(kitchen, amended(pull, birds=1)) == (first["id"], second["id"])
    assert dependents(kitchen, amended(first, birds=4)) == (second["id"],)
    assert dependents(kitchen, amended(second, birds=4)) == ()
    kitchen.accept(amended(pull, birds=4), amended(first, birds="1.5"))


def test_a_loading_is_not_made_smaller_than_what_was_pulled_or_read(kitchen: Kitchen) -> None:
    start, loading = spit_loaded(5)
    reading = cast.draft("cook_reading", at="10:00", bird=4)
    kitchen.accept(start, loading, reading)
    assert dependents(kitchen, amended(loading, birds=3)) == (reading["id"],)
    pull = cast.draft("spit_pulled", at="10:36", birds=5)
    kitchen.accept(pull)
    assert dependents(kitchen, amended(loading, birds=4)) == (pull["id"],)


def test_what_an_amendment_says_itself_is_told_at_its_own_field(kitchen: Kitchen) -> None:
    reading, hold = cast.draft("cook_reading", at="10:00"), cast.draft("hold_reading", at="11:30")
    kitchen.accept(*spit_loaded(5), reading, cast.draft("spit_pulled", at="10:36", birds=5), hold)
    assert kitchen.refuse(amended(reading, bird=6)) == [("bird", "range")]
    assert kitchen.refuse(amended(reading, spit=2)) == [("spit", "order")]
    assert kitchen.refuse(amended(hold, tray="A-T9")) == [("tray", "order")]
    assert kitchen.refuse(amended(hold, observed_at=seen_at("10:00"))) == [("tray", "order")]
    assert kitchen.refuse(amended(hold, probe="red")) == [("probe", "unknown")]


def test_several_subjects_are_mended_as_one(kitchen: Kitchen) -> None:
    chilled = cast.draft("tray_out", at="12:00", birds=3, to="chilled", batch="A-B1")
    reheat = cast.draft("reheat_started", at="14:00", birds=2)
    kitchen.accept(*tray_filled(5), chilled, reheat)
    assert dependents(kitchen, amended(chilled, birds=1)) == (reheat["id"],)
    kitchen.accept(amended(chilled, birds=2), cast.draft("tray_out", at="13:00", birds=3))


def test_a_mended_entry_is_mended_again_within_one_post(kitchen: Kitchen) -> None:
    reading = cast.draft("hold_reading", at="11:30")
    second = amended(reading, temperature="140")
    third = amended(second, temperature="141", tray="A-T1")
    kitchen.accept(*tray_filled(), reading, second, third, cast.withdrawal(third, at="12:00"))


def test_an_amendment_is_never_late(kitchen: Kitchen) -> None:
    note = cast.draft("note", at="12:00")
    better = amended(note, text="better")
    kitchen.accept(note, better, cast.withdrawal(better, at="12:00"), at="18:00")
    assert [json.loads(line)["late"] for line in kitchen.lines()] == [True, False, False]


def test_sign_offs_and_verifications_are_not_mended(kitchen: Kitchen) -> None:
    _start, _loading, pull = drafts = tray_filled()
    key = f"cook.core_temperature:spit:A-L1/1:{pull['id']}"
    action = cast.draft("corrective_action", at="11:00", findings=[key])
    verified = cast.draft("action_verified", at="12:00", findings=[key])
    kitchen.accept(*drafts, action)
    kitchen.accept(verified, by=PAT)
    assert kitchen.refuse(amended(verified, outcome="sent_back"), by=PAT) == [("amends", "order")]
    assert kitchen.refuse(cast.withdrawal(verified, at="12:00"), by=PAT) == [("amends", "order")]


def test_every_version_stays_visible(kitchen: Kitchen) -> None:
    reading = cast.draft("hold_reading", at="11:30", temperature="118")
    better = amended(reading, temperature="148")
    kitchen.accept(*tray_filled(), reading, better)
    day = kitchen.assess()
    assert {entry.id for entry in day.entries} >= {reading["id"], better["id"]}
    assert day.superseded_by == {reading["id"]: better["id"]}


def test_an_amendment_may_move_a_whole_history_only_from_its_end(kitchen: Kitchen) -> None:
    drafts = batch_chilled(5)
    out = cast.draft("batch_out", at="13:00", birds=5)
    kitchen.accept(*drafts, out)
    assert dependents(kitchen, cast.withdrawal(drafts[-1], at="14:00")) == (out["id"],)
    kitchen.accept(cast.withdrawal(out, at="14:00"), cast.withdrawal(drafts[-1], at="14:00"))
    assert kitchen.assess().batches == ()


def test_what_was_in_use_then_may_be_gone_when_its_entry_is_mended(kitchen: Kitchen) -> None:
    reading = cast.draft("hold_reading", at="11:30")
    kitchen.accept(*tray_filled(), reading)
    with kitchen.database.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE equipment SET retired_at = 1 WHERE code = 'blue'")
    assert kitchen.refuse(cast.draft("hold_reading", at="12:30")) == [("probe", "unknown")]
    kitchen.accept(amended(reading, temperature="149"))


def test_the_why_of_a_refusal_is_told(kitchen: Kitchen) -> None:
    note = cast.draft("note", at="12:00")
    kitchen.accept(note, amended(note, text="second"))
    (result,) = kitchen.post(amended(note, text="third"))
    assert result.errors[0].values["why"] == "not_newest"
    assert isinstance(result.errors[0], ledger.FieldError)


def test_an_opener_that_is_moved_behind_another_filling_only_adds(kitchen: Kitchen) -> None:
    first, second = cast.draft("spit_pulled", at="10:36", birds=3), cast.draft("spit_pulled", at="10:50", birds=2)
    kitchen.accept(*spit_loaded(5), first, second, cast.draft("tray_out", at="11:00", birds=2))
    kitchen.accept(moved := amended(first, observed_at=seen_at("10:55")))
    assert kitchen.refuse(amended(moved, observed_at=seen_at("11:05"))) == [("tray", "order")]  # emptied by then


def test_an_opener_is_moved_to_an_earlier_moment_though_others_filled_it_later(kitchen: Kitchen) -> None:
    first, second = cast.draft("spit_pulled", at="10:36", birds=3), cast.draft("spit_pulled", at="10:50", birds=2)
    kitchen.accept(*spit_loaded(5), first, second)
    kitchen.accept(amended(first, observed_at=seen_at("10:30")))


def test_birds_that_go_back_are_not_mended_onto_a_spit_in_use(kitchen: Kitchen) -> None:
    back = cast.draft("tray_out", at="10:40", to="returned_to_oven", load="A-L1", birds=2, spit=3)
    kitchen.accept(*tray_filled(5), cast.draft("spit_loaded", at="09:02", spit=2, birds=4), back)
    assert kitchen.refuse(amended(back, spit=2)) == [("spit", "order")]
