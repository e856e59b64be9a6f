"""A code that defends one time out of temperature only: food out a second time is past the last limit at once.

The Food Safety and Hygiene (England) Regulations 2013 (SI 2013/2996), Schedule 4, paragraph 7(2): kept for service or
on display for less than two hours, and not previously so kept.
"""

import pytest

from app.rules.plans import plan
from tests.support.cast import OPENED, entry, moment
from tests.support.story import found, hot_tray, out, probed, read, told, verdict_of

UK = [plan.Adopted(1, "england_2013", (), "pat", OPENED)]
ONCE = [read("60", "10:50", "C"), read("64", "11:00", "C")]
"""Out from 10:30, when the birds were last known hot, to 11:00."""


def held(*entries, as_of="12:00", plans=UK):
    return told([*hot_tray(), *entries], as_of=as_of, plans=plans)


def tray(day, name="A-T1"):
    return next(view for view in day.trays if view.tray == name)


def test_the_first_time_is_in_the_first_band():
    day = held(read("60", "10:50", "C"), as_of="11:00")
    assert tray(day).time_band == "under_2h"
    assert found(day, "hold.temperature")[0].dispositions == (
        "reheat",
        "chill",
        "serve_now",
        "discard",
        "hold_for_evaluation",
        "already_out",
    )


def test_two_readings_in_a_row_are_one_time():
    assert tray(held(read("60", "10:50", "C"), read("58", "11:10", "C"))).time_band == "under_2h"


def test_hot_again_it_may_be_served_as_before():
    day = held(*ONCE, out("1", "11:30"))
    assert (tray(day).time_band, verdict_of(day, "hold.disposition")) == ("under_2h", "none")


@pytest.mark.parametrize(("at", "verdict"), [("11:29", "none"), ("11:30", "not_met"), ("11:50", "not_met")])
def test_from_the_reading_that_shows_it_out_again_nothing_may_be_served(at, verdict):
    again = read("60", "11:30", "C")
    assert verdict_of(held(*ONCE, again, out("1", at)), "hold.disposition") == verdict


def test_the_second_time_leaves_only_throwing_away_also_when_it_is_hot_again():
    day = held(*ONCE, read("60", "11:30", "C"), read("70", "11:40", "C"))
    first, second = found(day, "hold.temperature")
    assert "serve_now" in first.dispositions
    assert second.dispositions == ("discard", "already_out")
    assert (tray(day).time_band, tray(day).ways_out) == ("from_4h", ("discarded",))


def test_the_sum_itself_stays_what_it_is():
    assert tray(held(*ONCE, read("60", "11:30", "C"))).out_of_temperature_s == 90 * 60


def test_elsewhere_times_add_up():
    day = held(*ONCE, read("56", "11:30", "C"), plans=None)
    assert tray(day).time_band == "under_2h"


@pytest.mark.parametrize(("at", "verdict"), [("12:30", "none"), ("12:30:01", "not_met")])
def test_two_hours_are_the_limit_of_the_only_time(at, verdict):
    day = held(read("60", "10:50", "C"), out("5", at, "discarded"), as_of="13:00")
    assert verdict_of(day, "hold.time_out") == verdict
    assert all(finding.onset_at == moment("12:30") for finding in found(day, "hold.time_out"))


# ---- it goes with the birds ------------------------------------------------------------------------------------------


def test_a_run_that_goes_on_in_the_next_tray_is_the_same_time():
    moved = out("5", "11:00", "other_tray", into="A-T2")
    day = held(read("60", "10:50", "C"), moved, read("59", "11:10", "C", "A-T2"))
    assert tray(day, "A-T2").time_band == "under_2h"


def test_a_time_out_in_one_tray_is_remembered_in_the_next():
    day = held(*ONCE, out("5", "11:10", "other_tray", into="A-T2"), read("60", "11:30", "C", "A-T2"))
    assert tray(day, "A-T2").time_band == "from_4h"


def test_it_is_remembered_through_chilling_and_reheating():
    cooled = [out("5", "11:10", "chilled", batch="A-B1"), entry("reheat_started", at="12:00", birds="5")]
    reheated = [entry("reheat_reading", at="12:30", temperature="170"), entry("reheat_done", at="12:35", birds="5")]
    day = held(*ONCE, *cooled, *reheated, read("60", "13:00", "C", "A-T2"), as_of="13:01")
    assert tray(day, "A-T2").time_band == "from_4h"


def test_it_is_remembered_through_the_oven():
    back = [out("5", "10:55", "returned_to_oven", load="A-L1", spit=2), *probed("180", "181", at="11:30", spit=2)]
    pulled = entry("spit_pulled", at="11:35", spit=2, tray="A-T2")
    day = held(read("60", "10:50", "C"), *back, pulled, read("60", "11:50", "C", "A-T2"))
    assert tray(day, "A-T2").time_band == "from_4h"


def test_birds_that_were_never_out_are_not_spoiled_by_a_batch_of_their_own():
    cooled = [out("5", "11:10", "chilled", batch="A-B1"), entry("reheat_started", at="12:00", birds="5")]
    reheated = [entry("reheat_reading", at="12:30", temperature="170"), entry("reheat_done", at="12:35", birds="5")]
    day = held(*cooled, *reheated, read("60", "13:00", "C", "A-T2"), as_of="13:01")
    assert tray(day, "A-T2").time_band == "under_2h"


# ---- and holds for time as the control too ---------------------------------------------------------------------------


def test_food_put_out_without_temperatures_has_less_than_two_hours():
    start = [read("64", "11:00", "C"), entry("time_control_started", at="11:00")]
    assert tray(held(*start)).discard_at == moment("12:59")


def test_food_that_was_out_before_has_none():
    day = held(*ONCE, entry("time_control_started", at="11:00"), as_of="11:10")
    assert tray(day).discard_at == moment("11:00")
    assert verdict_of(day, "time_control.discard") == "not_met"
