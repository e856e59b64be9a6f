"""The order of things: openers, names used once, birds that are there."""

from typing import Any

import pytest

from tests.support import cast
from tests.support.ledger_kitchen import Draft, Kitchen, batch_chilled, spit_loaded, tray_filled


@pytest.fixture
def kitchen(sqlite_kitchen: Kitchen) -> Kitchen:
    """The order of entries does not depend on the database."""
    return sqlite_kitchen


def out(at: str, birds: Any = 1, **fields: Any) -> Draft:
    return cast.draft("tray_out", at=at, birds=birds, **fields)


@pytest.mark.parametrize(
    ("kind", "fields", "field"),
    [
        ("spit_loaded", {}, "load"),
        ("cook_reading", {}, "load"),
        ("spit_pulled", {}, "load"),
        ("hold_reading", {}, "tray"),
        ("tray_moved", {}, "tray"),
        ("tray_out", {}, "tray"),
        ("time_control_started", {}, "tray"),
        ("cooling_reading", {}, "batch"),
        ("batch_moved", {}, "batch"),
        ("batch_out", {}, "batch"),
        ("reheat_started", {}, "batch"),
        ("reheat_reading", {}, "reheat"),
        ("reheat_done", {}, "reheat"),
    ],
)
def test_nothing_happens_to_what_was_never_opened(
    kitchen: Kitchen, kind: str, fields: dict[str, Any], field: str
) -> None:
    assert kitchen.refuse(cast.draft(kind, at="12:00", **fields)) == [(field, "order")]


def test_a_spit_that_was_never_loaded_has_no_readings_and_no_pull(kitchen: Kitchen) -> None:
    kitchen.accept(*spit_loaded())
    assert kitchen.refuse(cast.draft("cook_reading", at="10:00", spit=2)) == [("spit", "order")]
    assert kitchen.refuse(cast.draft("spit_pulled", at="10:00", spit=2)) == [("spit", "order")]


def test_up_to_two_minutes_before_its_opener_clocks_may_differ(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled())
    kitchen.accept(cast.draft("hold_reading", at="10:34"), out("10:34:00"))
    assert kitchen.refuse(cast.draft("hold_reading", at="10:33:59.999")) == [("tray", "order")]
    assert kitchen.refuse(out("10:33:59")) == [("tray", "order")]


def test_more_birds_go_out_than_came_in_at_no_time(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(5))
    kitchen.accept(out("12:00", 2), out("13:00", "2.75"))
    assert kitchen.refuse(out("13:30", 0.5)) == [("birds", "order")]
    assert kitchen.refuse(out("11:00", 0.5)) == [("birds", "order")]  # written late, gone at 13:00
    kitchen.accept(out("11:30", 0.25))


def test_how_many_are_left_is_told(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(5), out("12:00", 2))
    (result,) = kitchen.post(out("12:30", 4))
    assert result.errors[0].values == {"why": "more_out", "left": 3}


def test_birds_that_came_later_cannot_go_out_earlier(kitchen: Kitchen) -> None:
    kitchen.accept(*spit_loaded(9), cast.draft("spit_pulled", at="10:36", birds=5))
    kitchen.accept(cast.draft("spit_pulled", at="11:00", birds=4))
    assert kitchen.refuse(out("10:50", 6)) == [("birds", "order")]
    kitchen.accept(out("11:10", 9))


def test_a_tray_that_still_holds_birds_is_added_to(kitchen: Kitchen) -> None:
    kitchen.accept(*spit_loaded(9), cast.draft("spit_pulled", at="10:36", birds=5))
    kitchen.accept(out("11:00", 4), cast.draft("spit_pulled", at="11:05", birds=4), out("11:30", 5))


def test_an_emptied_tray_is_not_filled_again(kitchen: Kitchen) -> None:
    kitchen.accept(*spit_loaded(9), cast.draft("spit_pulled", at="10:36", birds=5), out("11:00", 5))
    assert kitchen.refuse(cast.draft("spit_pulled", at="11:00", birds=1)) == [("tray", "order")]
    assert kitchen.refuse(cast.draft("spit_pulled", at="11:05", birds=1)) == [("tray", "order")]
    kitchen.accept(cast.draft("spit_pulled", at="10:50", birds=1))  # seen while it held birds


def test_an_emptied_tray_is_not_moved_but_its_readings_are_kept(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(), out("11:00", 5))
    assert kitchen.refuse(cast.draft("tray_moved", at="11:30")) == [("tray", "order")]
    assert kitchen.refuse(cast.draft("time_control_started", at="11:30")) == [("tray", "order")]
    assert kitchen.refuse(out("11:30")) == [("birds", "order")]
    kitchen.accept(cast.draft("hold_reading", at="11:30"), cast.draft("tray_moved", at="10:50"))


def test_a_tray_is_not_filled_before_it_was_opened(kitchen: Kitchen) -> None:
    kitchen.accept(*spit_loaded(9), cast.draft("spit_pulled", at="10:36", birds=5))
    assert kitchen.refuse(cast.draft("spit_pulled", at="10:33", birds=4)) == [("tray", "order")]
    kitchen.accept(cast.draft("spit_pulled", at="10:35", birds=4))


def test_a_load_is_started_once(kitchen: Kitchen) -> None:
    kitchen.accept(*spit_loaded())
    assert kitchen.refuse(cast.draft("load_started", at="12:00")) == [("load", "order")]


def test_names_are_taken_by_kind_and_by_their_exact_letters(kitchen: Kitchen) -> None:
    kitchen.accept(cast.draft("load_started", at="09:00", load="X"), cast.draft("load_started", at="09:00", load="x"))
    kitchen.accept(cast.draft("spit_loaded", at="09:01", load="X"))
    kitchen.accept(cast.draft("spit_pulled", at="10:00", load="X", tray="X"))


def test_several_loadings_of_a_spit_add_up(kitchen: Kitchen) -> None:
    kitchen.accept(*spit_loaded(3), cast.draft("spit_loaded", at="09:03", birds=2, lot="0413-1"))
    kitchen.accept(cast.draft("cook_reading", at="10:00", bird=5))
    assert kitchen.refuse(cast.draft("cook_reading", at="10:00", bird=6)) == [("bird", "range")]
    kitchen.accept(cast.draft("spit_pulled", at="10:30", birds=5))


def test_a_spit_pulled_empty_is_not_loaded_again(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled())
    assert kitchen.refuse(cast.draft("spit_loaded", at="11:00")) == [("spit", "order")]


def test_a_spit_gives_half_trays_until_it_is_empty(kitchen: Kitchen) -> None:
    kitchen.accept(*spit_loaded(5), cast.draft("spit_pulled", at="10:30", birds=2))
    assert kitchen.refuse(cast.draft("spit_pulled", at="10:31", birds=4, tray="A-T2")) == [("birds", "order")]
    kitchen.accept(cast.draft("spit_pulled", at="10:31", birds=2, tray="A-T2", discarded_birds=[3]))
    assert kitchen.refuse(cast.draft("spit_pulled", at="10:32", birds=1, tray="A-T3")) == [("birds", "order")]
    kitchen.accept(cast.draft("cook_reading", at="10:40"))


def test_discarded_birds_are_birds_of_the_spit(kitchen: Kitchen) -> None:
    kitchen.accept(*spit_loaded(5))
    thrown: dict[str, Any] = {"birds": 0, "tray": ..., "hot_unit": ...}
    assert kitchen.refuse(cast.draft("spit_pulled", at="10:30", **thrown, discarded_birds=[6])) == [
        ("discarded_birds", "range")
    ]
    assert kitchen.refuse(cast.draft("spit_pulled", at="10:30", birds=4, discarded_birds=[1, 2])) == [
        ("birds", "order")
    ]
    kitchen.accept(cast.draft("spit_pulled", at="10:30", **thrown, discarded_birds=[1, 2, 3, 4, 5]))


def test_birds_go_back_to_a_spit_of_their_own(kitchen: Kitchen) -> None:
    back: dict[str, Any] = {"to": "returned_to_oven", "load": "A-L1", "birds": 2}
    kitchen.accept(*tray_filled(5))
    assert kitchen.refuse(out("10:40", **back, spit=1)) == [("spit", "order")]
    assert kitchen.refuse(out("10:40", **{**back, "load": "A-L9"}, spit=2)) == [("load", "order")]
    kitchen.accept(out("10:40", **back, spit=2), cast.draft("cook_reading", at="11:00", spit=2, bird=2))
    assert kitchen.refuse(out("10:45", **back, spit=2)) == [("spit", "order")]
    assert kitchen.refuse(cast.draft("cook_reading", at="11:00", spit=2, bird=3)) == [("bird", "range")]
    kitchen.accept(cast.draft("spit_pulled", at="11:05", spit=2, birds=2, tray="A-T2"))


def prepared(at: str, birds: Any = 1, *, into: str, batch: str = "A-B1") -> Draft:
    return cast.draft("batch_out", at=at, birds=birds, to="prepared", batch=batch, into=into)


def test_what_is_prepared_opens_or_adds_to_another_batch_but_not_its_own(kitchen: Kitchen) -> None:
    kitchen.accept(*batch_chilled(5))
    assert kitchen.refuse(prepared("14:00", into="A-B1")) == [("into", "order")]
    kitchen.accept(prepared("14:00", into="A-B2"), prepared("14:10", into="A-B2"))
    kitchen.accept(cast.draft("batch_out", at="14:20", batch="A-B2", birds=2, to="served_cold"))
    assert kitchen.refuse(prepared("14:30", into="A-B2")) == [("into", "order")]
    assert kitchen.refuse(prepared("14:30", 4, into="A-B3")) == [("birds", "order")]


def test_a_tray_is_prepared_into_a_batch_or_used_at_once(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(5))
    kitchen.accept(out("11:00", to="prepared"), out("11:10", to="prepared", batch="A-B1", product="salad"))
    kitchen.accept(cast.draft("batch_out", at="11:20", birds=1, to="served_cold"))
    assert kitchen.refuse(out("11:30", to="prepared", batch="A-B1")) == [("batch", "order")]


def test_birds_move_to_another_tray_but_not_into_their_own(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(5))
    assert kitchen.refuse(out("11:00", to="other_tray", into="A-T1")) == [("into", "order")]
    kitchen.accept(out("11:00", 5, to="other_tray", into="A-T2"), out("11:10", 5, tray="A-T2"))
    assert kitchen.refuse(out("11:20", to="other_tray", into="A-T2")) == [("birds", "order"), ("into", "order")]


def test_a_batch_is_opened_and_added_to(kitchen: Kitchen) -> None:
    chilled: dict[str, Any] = {"to": "chilled", "batch": "A-B1"}
    kitchen.accept(*tray_filled(5), out("12:00", 2, **chilled), out("12:20", 1, **chilled))
    kitchen.accept(cast.draft("batch_out", at="13:00", birds=3))
    assert kitchen.refuse(out("13:10", 1, **chilled)) == [("batch", "order")]
    assert kitchen.refuse(cast.draft("batch_moved", at="13:10")) == [("batch", "order")]
    assert kitchen.refuse(cast.draft("batch_out", at="13:10", birds="0.25")) == [("birds", "order")]


def test_a_reheat_from_a_batch_always_has_a_new_name(kitchen: Kitchen) -> None:
    kitchen.accept(*batch_chilled(5), cast.draft("reheat_started", at="15:00", birds=2))
    assert kitchen.refuse(cast.draft("reheat_started", at="15:05", birds=1)) == [("reheat", "order")]
    assert kitchen.refuse(cast.draft("reheat_started", at="15:05", birds=4, reheat="A-R2")) == [("birds", "order")]
    kitchen.accept(cast.draft("reheat_done", at="15:40", birds="1.5"))
    assert kitchen.refuse(cast.draft("reheat_done", at="15:45", birds="0.5", discarded=1)) == [("birds", "order")]
    kitchen.accept(cast.draft("reheat_done", at="15:50", birds="0.5"))


def test_a_reheat_from_a_tray_is_added_to_while_it_holds_birds(kitchen: Kitchen) -> None:
    reheated: dict[str, Any] = {"to": "reheated", "reheat": "A-R1"}
    kitchen.accept(*tray_filled(5), out("12:00", 1, **reheated), out("12:05", 1, **reheated))
    kitchen.accept(cast.draft("reheat_done", at="12:40", birds=2, tray="A-T2"))
    assert kitchen.refuse(out("12:45", 1, **reheated)) == [("reheat", "order")]


def test_a_bad_reading_is_never_refused(kitchen: Kitchen) -> None:
    kitchen.accept(*spit_loaded(), cast.draft("cook_reading", at="10:30", temperature=-60))
    kitchen.accept(
        cast.draft("spit_pulled", at="10:36", birds=5), cast.draft("hold_reading", at="12:00", temperature=68)
    )
    kitchen.accept(cast.draft("spit_loaded", at="09:05", spit=2, lot="a lot nobody received"))


def test_each_entry_sees_those_accepted_before_it(kitchen: Kitchen) -> None:
    drafts = [*tray_filled(5), out("12:00", 3), out("12:10", 3), out("12:20", 2)]
    assert [result.status for result in kitchen.post(*drafts)] == [*["accepted"] * 4, "rejected", "accepted"]


def test_a_bird_is_read_up_to_two_minutes_before_its_spit_was_loaded(kitchen: Kitchen) -> None:
    kitchen.accept(cast.draft("load_started", at="09:00"), cast.draft("spit_loaded", at="09:05", birds=5))
    kitchen.accept(cast.draft("cook_reading", at="09:03", bird=5))
    assert kitchen.refuse(cast.draft("cook_reading", at="09:02:59", bird=5)) != []
