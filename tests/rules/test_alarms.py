"""What is overdue and from when, by the rules alone; and what a silence is about.

A tray filled at 10:35 is to be checked by 12:05: every 90 minutes.
"""

import pytest

from app.rules.meaning.alarms import Silences, overdue
from tests.support.cast import entry, moment
from tests.support.story import hot_tray, out, read, told


def since(day):
    return {alarm.key: alarm.overdue_since for alarm in overdue(day)}


@pytest.mark.parametrize(("as_of", "is_over"), [("12:04", False), ("12:05", False), ("12:06", True)])
def test_a_check_is_overdue_after_it_was_due(as_of, is_over):
    expected = {"tray:A-T1:check_overdue": moment("12:05")} if is_over else {}
    assert since(told(hot_tray(), as_of=as_of)) == expected


def test_an_empty_tray_is_not_overdue():
    assert since(told([*hot_tray(), out("5", "12:00")], as_of="14:00")) == {}


def test_food_whose_time_is_over_is_overdue_from_that_moment():
    """The house rule of the US plan: from 2 h out of temperature only thrown away. Known hot at 10:30."""
    low = [*hot_tray(), read("128", "11:00")]
    assert since(told(low, as_of="12:29")) == {}
    assert since(told(low, as_of="12:45")) == {"tray:A-T1:throw_away": moment("12:30")}


def test_food_set_aside_is_overdue_from_then_on():
    """At 4 h out of temperature it is set aside."""
    low = [*hot_tray(), read("128", "11:00")]
    assert since(told(low, as_of="15:00")) == {"tray:A-T1:set_aside": moment("14:30")}


@pytest.mark.parametrize(("as_of", "is_over"), [("16:59", False), ("17:01", True)])
def test_a_reheat_is_overdue_two_hours_after_its_start(as_of, is_over):
    """FDA Food Code 2022, 3-403.11(D): within 2 hours. `reheat.time` then sets it aside."""
    cold = [*hot_tray(), out("5", "11:00", "chilled", batch="A-B1")]
    cold.append(entry("cooling_reading", at="12:20", temperature="40", unit="F"))
    day = told([*cold, entry("reheat_started", at="15:00", birds="5")], as_of=as_of)
    assert since(day) == ({"reheat:A-R1:set_aside": moment("17:00")} if is_over else {})


def silence(at, **fields):
    return entry("alarm_silenced", at=at, **fields)


@pytest.mark.parametrize(
    ("fields", "is_silent"),
    [({}, True), ({"name": "A-T2"}, False), ({"alarm": "check_due"}, False), ({"about": "batch"}, False)],
)
def test_a_silence_is_about_one_alarm_of_one_thing(fields, is_silent):
    day = told([*hot_tray(), silence("12:10", **fields)], as_of="12:20")
    (alarm,) = overdue(day)
    assert (Silences(day.entries, as_of=day.as_of).of(alarm) is not None) == is_silent


def test_a_silence_of_before_the_last_reading_is_none():
    day = told([*hot_tray(), silence("12:10"), read("140", "12:15")], as_of="14:00")
    (alarm,) = overdue(day)
    assert Silences(day.entries, as_of=day.as_of).of(alarm) is None


def test_no_rule_reads_a_silence_or_a_sound_test():
    plain = told(hot_tray(), as_of="20:00")
    loud = told([*hot_tray(), silence("12:10"), entry("sound_test", at="09:00", heard=False)], as_of="20:00")
    keys = [[(one.rule, one.subject, one.onset_at) for one in day.findings] for day in (plain, loud)]
    assert keys[0] == keys[1]
