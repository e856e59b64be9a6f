"""Patterns in a day's readings: pointed out, never a verdict. The figures are the house's own; each is held below, at
and above."""

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.support.cast import entry, moment
from tests.support.story import hot_tray, loaded, told


def patterns(entries, *, as_of="20:00"):
    return {one.pattern: [entry.root for entry in one.entries] for one in told(entries, as_of=as_of).patterns}


# ---- written together ------------------------------------------------------------------------------------------------


def typed(*pairs, late=True):
    """Hold readings as (seen at, written at)."""
    return [replace(entry("hold_reading", at=seen, late=late), recorded_at=moment(written)) for seen, written in pairs]


FOUR = [("11:00", "15:00"), ("11:20", "15:01"), ("11:40", "15:02"), ("12:00", "15:05")]


@pytest.mark.parametrize(
    ("pairs", "found"),
    [
        (FOUR, 4),
        (FOUR[:3], 0),
        ([*FOUR[:2], FOUR[3]], 0),
        ([*FOUR[:3], ("12:00", "15:05:00.001")], 0),
        ([*FOUR[:3], ("11:59:59", "15:05")], 0),
        ([*FOUR, ("13:00", "15:06")], 5),
        ([*FOUR, ("13:00", "15:20")], 4),
    ],
    ids=[
        "four in five minutes, over an hour",
        "three",
        "three, over an hour",
        "written over more than five minutes",
        "seen over less than an hour",
        "two cases that overlap",
        "one written later takes no part",
    ],
)
def test_late_readings_written_together(pairs, found):
    entries = typed(*pairs)
    expected = {"written_together": [one.root for one in entries[:found]]} if found else {}
    assert patterns([*hot_tray(), *entries]) == expected


def test_all_of_them_are_late():
    assert patterns([*hot_tray(), *typed(*FOUR[:3]), *typed(FOUR[3], late=False)]) == {}


def test_a_corrected_reading_was_written_when_it_was_first_written():
    *before, last = typed(*FOUR)
    newer = replace(entry("hold_reading", at=last.observed_at, of=last, temperature="151"), recorded_at=moment("18:00"))
    assert len(patterns([*hot_tray(), *before, last, newer])["written_together"]) == 4


# ---- a jump ----------------------------------------------------------------------------------------------------------


def bird(temperature, at, unit="F", **fields):
    return entry("cook_reading", at=at, temperature=temperature, unit=unit, **fields)


@pytest.mark.parametrize(
    ("first", "second", "is_jump"),
    [
        (("150", "10:30"), ("160", "10:32"), False),
        (("150", "10:30"), ("160.01", "10:32"), True),
        (("160.01", "10:30"), ("150", "10:32"), True),
        (("150", "10:30"), ("165", "10:32:00.001"), False),
        (("65", "10:30", "C"), ("70", "10:31", "C"), False),
        (("65", "10:30", "C"), ("70.01", "10:31", "C"), True),
        (("65", "10:30", "C"), ("165", "10:31", "F"), False),
    ],
    ids=["10 °F", "over 10 °F", "downwards", "over 2 minutes", "5 °C", "over 5 °C", "other units"],
)
def test_two_readings_of_one_bird_far_apart(first, second, is_jump):
    pair = [bird(*first), bird(*second)]
    assert patterns([*loaded(), *pair]) == ({"jump": [one.root for one in pair]} if is_jump else {})


@pytest.mark.parametrize("other", [{"bird": 2}, {"place": "thigh"}])
def test_another_bird_or_place_is_no_jump(other):
    assert patterns([*loaded(), bird("150", "10:30"), bird("164", "10:31", **other)]) == {}


def test_a_reading_between_does_not_hide_a_jump():
    three = [bird("145", "10:30"), bird("153", "10:31"), bird("160", "10:32")]
    assert patterns([*loaded(), *three])["jump"] == [three[0].root, three[2].root]


# ---- early -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("temperature", "at", "is_early"),
    [
        ("165", "09:29:59", True),
        ("165", "09:30", False),
        ("164.9", "09:29:59", False),
    ],
    ids=["at the limit, just before", "half an hour", "under the limit"],
)
def test_a_bird_done_too_soon(temperature, at, is_early):
    one = bird(temperature, at)
    assert patterns([*loaded(at="09:00"), one]) == ({"early": [one.root]} if is_early else {})


def test_the_last_loading_before_it_counts():
    more = entry("spit_loaded", at="10:15", birds=1)
    one = bird("165", "10:30")
    assert patterns([*loaded(at="09:00"), more, one]) == {"early": [one.root]}
    assert patterns([*loaded(at="09:00"), entry("spit_loaded", at="10:31", birds=1), one]) == {}


# ---- of the day ------------------------------------------------------------------------------------------------------


def test_a_withdrawn_reading_takes_no_part():
    first, second = bird("150", "10:30"), bird("164", "10:31")
    gone = entry("cook_reading", at="10:40", of=second, withdrawn=True)
    assert patterns([*loaded(), first, second, gone]) == {}


def test_readings_of_another_day_take_no_part():
    pair = [bird("150", moment("03:59")), bird("164", moment("04:00"))]
    assert patterns([*loaded(at="03:00"), *pair]) == {}


def test_each_pattern_is_told_once_with_all_that_take_part_by_seq():
    pairs = [bird("150", "10:30"), bird("164", "10:31"), bird("140", "10:00", bird=2), bird("160", "10:01", bird=2)]
    shown = told([*loaded(), *pairs]).patterns
    assert [one.pattern for one in shown] == ["jump"]
    assert [one.root for one in shown[0].entries] == [one.root for one in pairs]


def test_a_pattern_is_no_finding():
    pair = [bird("150", "10:30"), bird("164", "10:31")]
    with_jump, without = (
        {finding.rule for finding in told([*loaded(), *entries], as_of="10:40").findings}
        for entries in (pair, pair[1:])
    )
    assert with_jump == without


def test_a_minute_by_minute_day_shows_none():
    steady = [bird(str(120 + 4 * number), moment("09:40") + timedelta(minutes=4 * number)) for number in range(12)]
    assert patterns([*loaded(at="09:00"), *steady]) == {}
