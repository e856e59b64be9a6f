"""A finding carries what was measured, against which limit, when it began and ended, and what it rests on."""

from decimal import Decimal

import pytest

from tests.support.cast import entry, moment
from tests.support.story import adopted, checked, found, hot_tray, out, read, told

NAMED = [adopted(time_control_procedure="TC-1")]
HOT = {"F": Decimal(135), "C": Decimal(57)}
"""FDA Food Code 2022, 3-501.16(A)(1)."""


def in_f(degrees):
    return {"temperature": Decimal(degrees), "unit": "F"}


def only(rule, *entries, as_of, plans=None):
    (finding,) = found(told([*hot_tray(), *entries], as_of=as_of, plans=plans), rule)
    return finding


def under_control(*entries, marked="15:30", as_of="20:00", rule):
    mark = {"marked_discard_by": moment(marked)} if marked else {}
    start = entry("time_control_started", at="11:30", **mark)
    return only(rule, read("136", "11:30"), start, *entries, as_of=as_of, plans=NAMED)


def test_a_low_start_carries_its_reading_and_the_holding_limit():
    reading, start = read("133", "11:30"), entry("time_control_started", at="11:30")
    finding = only("time_control.start", reading, start, as_of="11:40", plans=NAMED)
    assert (finding.measured, finding.limit, finding.entries) == (in_f(133), HOT, (start.id, reading.id))


def test_a_start_without_a_reading_carries_the_holding_limit_alone():
    start = entry("time_control_started", at="11:30")
    finding = only("time_control.start", start, as_of="11:40", plans=NAMED)
    assert (finding.measured, finding.limit, finding.entries) == ({}, HOT, (start.id,))


@pytest.mark.parametrize(
    ("marked", "measured"), [("15:31", {"marked_discard_by": moment("15:31")}), (None, {})], ids=["late", "none"]
)
def test_a_label_carries_what_it_says_and_what_it_should(marked, measured):
    finding = under_control(marked=marked, as_of="11:40", rule="time_control.mark")
    assert (finding.measured, finding.limit) == (measured, {"discard_at": moment("15:30")})


@pytest.mark.parametrize(
    ("entries", "as_of", "over_min", "ended"),
    [([out("5", "15:45", "discarded")], "20:00", 15, "15:45"), ([], "15:40", 10, None)],
    ids=["emptied late", "not emptied"],
)
def test_a_tray_over_its_time_carries_by_how_much(entries, as_of, over_min, ended):
    finding = under_control(*entries, as_of=as_of, rule="time_control.discard")
    assert finding.measured == {"over_s": over_min * 60}
    assert finding.limit == {"time_control_min": 240, "discard_at": moment("15:30")}
    assert (finding.onset_at, finding.ended_at) == (moment("15:30"), moment(ended) if ended else None)


def test_birds_that_came_back_carry_their_way_and_the_ways_allowed():
    gone = out("2", "12:00", "chilled", batch="A-B1")
    finding = under_control(gone, as_of="12:10", rule="time_control.returned")
    assert finding.measured == {"to": "chilled", "birds": Decimal(2)}
    assert "served" in finding.limit["ways_out"]
    assert "chilled" not in finding.limit["ways_out"]
    assert (finding.onset_at, finding.entries) == (moment("12:00"), (gone.id,))


def test_a_low_run_carries_its_lowest_reading_since_when_and_how_long():
    """Last known hot at 10:30, read low at 11:00 and 11:10, good again at 11:40: 70 minutes."""
    low, rising = read("128", "11:00"), read("130", "11:10")
    finding = only("hold.temperature", low, rising, read("140", "11:40"), as_of="12:00")
    assert finding.measured == in_f(128) | {"since": moment("10:30"), "out_s": 70 * 60}
    assert (finding.limit, finding.source) == (HOT, "FDA Food Code 2022, 3-501.16(A)(1)")
    assert (finding.entries, finding.ended_at) == ((low.id, rising.id), moment("11:40"))


def test_a_missed_check_carries_how_late_it_is_and_from_when():
    """Filled at 10:35, due at 12:05, read at 13:00."""
    finding = only("hold.check_interval", read("140", "13:00"), as_of="13:10")
    assert (finding.measured, finding.limit) == ({"late_s": 55 * 60}, {"check_interval_min": 90, "grace_min": 15})
    assert (finding.onset_at, finding.ended_at) == (moment("12:05"), moment("13:00"))


def test_four_hours_out_carry_the_sum_and_when_it_was_reached():
    low = read("130", "11:00")
    finding = only("hold.time_out", low, as_of="15:00")
    assert (finding.measured, finding.limit) == ({"out_s": 270 * 60}, {"band_discard_min": 240})
    assert (finding.onset_at, finding.entries) == (moment("14:30"), (low.id,))


def test_birds_out_by_a_way_of_another_band_carry_it():
    gone = out("2", "13:00")
    finding = only("hold.disposition", read("130", "11:00"), gone, as_of="13:10")
    out_for = {"out_s": 150 * 60, "time_band": "from_2h"}
    assert finding.measured == {"to": "served", "birds": Decimal(2)} | out_for
    assert (finding.limit, finding.entries[0]) == ({"ways_out": ["discarded"]}, gone.id)


def test_a_warm_unit_carries_what_its_air_was():
    check = checked("128", "11:00", code="pass")
    finding = only("hold.unit", check, as_of="12:00")
    assert (finding.measured, finding.limit, finding.entries) == (in_f(128), HOT, (check.id,))
    assert (finding.onset_at, finding.subject.name) == (moment("11:30"), "pass")


CHILLED = [read("140", "11:00"), out("5", "11:30", "chilled", batch="A-B1")]
FIRST = {"F": Decimal(70), "C": Decimal(21), "cool_first_min": 120}
TOTAL = {"F": Decimal(41), "C": Decimal(5), "cool_total_min": 360}


@pytest.mark.parametrize(
    ("rule", "limit", "onset", "degrees"), [("first_stage", FIRST, "13:00", 75), ("total", TOTAL, "17:00", 50)]
)
def test_a_batch_too_slow_carries_the_reading_that_shows_it(rule, limit, onset, degrees):
    """The clock starts at 11:00; FDA Food Code 2022, 3-501.14(A)."""
    late = [entry("cooling_reading", at=at, temperature=value) for at, value in (("13:10", "75"), ("18:00", "50"))]
    finding = only(f"cool.{rule}", *CHILLED, *late, as_of="19:00")
    assert finding.measured == in_f(degrees) | {"since": moment("11:00")}
    assert (finding.verdict, finding.limit, finding.onset_at) == ("not_met", limit, moment(onset))


@pytest.mark.parametrize(("rule", "limit", "onset"), [("first_stage", FIRST, "13:00"), ("total", TOTAL, "17:00")])
def test_a_batch_that_nobody_read_carries_when_its_clock_started(rule, limit, onset):
    finding = only(f"cool.{rule}", *CHILLED, as_of="19:00")
    assert (finding.measured, finding.limit) == ({"since": moment("11:00")}, limit)
    assert (finding.verdict, finding.onset_at) == ("not_shown", moment(onset))
