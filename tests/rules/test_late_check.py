"""What a late check of a tray means by its plan: unknown since when, and what a low reading would then count as.

A tray known hot at 10:30 and filled at 10:35 is to be checked by 12:05: every 90 minutes, with a grace of 15.
"""

from datetime import timedelta

import pytest

from app.rules.meaning.holding import late_check, must_go
from app.rules.plans import plan
from tests.support.cast import OPENED, moment
from tests.support.story import hot_tray, out, read, told


def late(*entries, as_of, plans=None):
    day = told([*hot_tray(), *entries], as_of=as_of, plans=plans)
    return late_check(day.trays[0], day.as_of)


@pytest.mark.parametrize("as_of", ["12:04", "12:05"])
def test_a_check_in_time_is_not_late(as_of):
    assert late(as_of=as_of) is None


def test_its_temperature_is_unknown_since_it_was_due():
    found = late(as_of="16:05")
    assert (found.since, found.late, found.known_hot_at) == (moment("12:05"), timedelta(hours=4), moment("10:30"))


@pytest.mark.parametrize(("as_of", "is_missed"), [("12:20", False), ("12:21", True)])
def test_it_is_missed_after_the_grace_of_its_plan(as_of, is_missed):
    assert late(as_of=as_of).is_missed == is_missed


@pytest.mark.parametrize(("as_of", "goes"), [("12:29", False), ("12:30", True)])
def test_the_house_rule_of_two_hours_throws_low_food_away(as_of, goes):
    """The plan of the cast: from 2 h out of temperature only thrown away, and known hot at 10:30."""
    assert late(as_of=as_of).goes_if_low == goes


@pytest.mark.parametrize("as_of", ["12:20", "12:45", "16:05"])
def test_what_it_says_of_a_low_reading_is_what_the_rules_then_say(as_of):
    found = late(as_of=as_of)
    day = told([*hot_tray(), read("128", as_of)], as_of=as_of)
    (tray,) = day.trays
    assert tray.out_of_temperature_s == found.out_if_low.total_seconds()
    assert (must_go(tray) or tray.set_aside is not None) == found.goes_if_low


def test_earlier_time_out_is_added():
    """Low at 11:00 and hot again at 11:20: 50 minutes, known hot since."""
    found = late(read("128", "11:00"), read("140", "11:20"), as_of="13:00")
    assert found.out_if_low == timedelta(minutes=50 + 100)


def test_a_second_time_out_goes_where_a_code_defends_one():
    """England defends one time under 63 °C; this tray was under it from 10:30 to 10:45."""
    england = plan.Adopted(1, "england_2013", (), "pat", OPENED)
    once = [*hot_tray(), read("55", "10:40", unit="C"), read("70", "10:45", unit="C")]
    found = late_check(told(once, as_of="12:20", plans=[england]).trays[0], moment("12:20"))
    (tray,) = told([*once, read("55", "12:20", unit="C")], as_of="12:20", plans=[england]).trays
    assert found.goes_if_low
    assert must_go(tray)


def test_the_one_time_out_that_a_code_defends_is_still_to_come():
    """England: known hot at 10:30 and never out of temperature, it is not past its two hours at 12:20."""
    england = plan.Adopted(1, "england_2013", (), "pat", OPENED)
    assert not late(as_of="12:20", plans=[england]).goes_if_low


def test_a_tray_that_is_cooling_off_has_its_own_line():
    assert late(read("128", "11:00"), as_of="12:29") is None


def test_an_empty_tray_has_no_check():
    assert late(out("5", "12:00"), as_of="16:00") is None
