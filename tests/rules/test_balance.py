"""Nothing unaccounted: birds at the end of a day, ties and skewers, what is carried over."""

from datetime import date

import pytest

from tests.support.cast import DAY, entry, moment
from tests.support.story import found, hot_tray, loaded, out, probed, read, told, verdict_of

NEXT = date(2026, 4, 15)


def next_day(clock: str):
    return moment(clock, day=NEXT)


def test_birds_left_on_a_spit_at_the_end_of_the_day():
    finding = found(told(loaded(), as_of=next_day("04:00")), "birds.balance")[0]
    assert (finding.day, finding.onset_at, finding.subject.label) == (DAY, next_day("04:00"), "A-L1/1")
    assert not found(told(loaded(), as_of=next_day("03:59")), "birds.balance")


def test_it_is_told_once_in_the_first_day_that_ends_so():
    later = told(loaded(), day=NEXT, as_of=moment("12:00", day=date(2026, 4, 17)))
    assert not found(later, "birds.balance")
    assert list(later.carried_in) == list(later.carried_out)


def test_a_pull_told_late_settles_the_balance():
    day = told(
        [*loaded(), *probed("170", "171"), entry("spit_pulled", at="10:36"), out("5", "11:00")], as_of=next_day("05:00")
    )
    assert verdict_of(day, "birds.balance") == "none"


@pytest.mark.parametrize(("last", "verdict"), [("02:14", "not_shown"), ("02:15", "none")])
def test_a_tray_held_hot_and_in_time_is_carried_forward(last, verdict):
    """Due 90 minutes after the last reading and 15 more: 02:15 is in time at 04:00, 02:14 is past."""
    checks = [read("140", at) for at in ("12:00", "13:30", "15:00", "16:30", "18:00", "19:30", "21:00", "22:30")]
    night = [entry("hold_reading", at=next_day(at), temperature="140") for at in ("00:00", "01:00", last)]
    day = told([*hot_tray(), *checks, *night], as_of=next_day("04:00"))
    assert verdict_of(day, "birds.balance") == verdict
    assert [subject.name for subject in day.carried_out] == ["A-T1"]


def test_a_tray_read_late_but_before_the_end_of_the_day_is_carried_forward():
    late = entry("hold_reading", at=next_day("03:50"), temperature="140")
    day = told([*hot_tray(), late], as_of=next_day("04:00"))
    assert (verdict_of(day, "birds.balance"), verdict_of(day, "hold.check_interval")) == ("none", "not_shown")


@pytest.mark.parametrize(("read_at", "verdict"), [("03:59:59", "none"), ("04:00", "not_shown")])
def test_a_check_past_its_grace_is_made_before_the_day_ends_or_told(read_at, verdict):
    day = told([*hot_tray(), entry("hold_reading", at=next_day(read_at), temperature="140")], as_of=next_day("04:10"))
    assert verdict_of(day, "birds.balance") == verdict


@pytest.mark.parametrize(("started", "verdict"), [("23:59:59", "not_shown"), ("00:00", "none")])
def test_a_discard_time_at_the_very_end_of_the_day_has_not_passed_in_it(started, verdict):
    """Four hours later it is 03:59:59, or 04:00."""
    at = moment(started) if started > "12" else next_day(started)
    checks = [read("140", clock) for clock in ("12:00", "13:30", "15:00", "16:30", "18:00", "19:30", "21:00", "22:30")]
    start = [entry("hold_reading", at=at, temperature="140"), entry("time_control_started", at=at)]
    day = told([*hot_tray(), *checks, *start], as_of=next_day("04:00"))
    assert verdict_of(day, "birds.balance") == verdict
    assert all(dict(finding.limit) == {"birds": 0} for finding in found(day, "birds.balance"))


def test_a_chilled_batch_is_carried_forward_and_counted_as_held():
    chilled = out("5", "11:00", "chilled", batch="A-B1", cold_unit="walk-in")
    day = told([*hot_tray(), chilled], as_of=next_day("04:00"))
    assert (day.birds.chilled, day.birds.left) == (5, 5)
    assert not found(day, "birds.balance")
    assert [s.kind for s in told([*hot_tray(), chilled], day=NEXT, as_of=next_day("05:00")).carried_in] == ["batch"]


@pytest.mark.parametrize(
    ("on", "off", "verdict"),
    [
        ({"ties": 5}, {"ties_removed": 5}, "none"),
        ({"ties": 5}, {"ties_removed": 4}, "not_met"),
        ({"ties": 5}, {"ties_removed": 6}, "not_shown"),
        ({"ties": 5}, {}, "not_shown"),
        ({}, {}, "none"),
        ({}, {"ties_removed": 1}, "not_shown"),
        ({"skewers": 2}, {"skewers_removed": 1}, "not_met"),
        ({"ties": 5, "skewers": 2}, {"ties_removed": 5, "skewers_removed": 2}, "none"),
    ],
)
def test_ties_and_skewers_come_off_as_they_went_on(on, off, verdict):
    day = told([*loaded(**on), *probed("170", "171"), entry("spit_pulled", at="10:36", **off)], as_of="10:40")
    assert verdict_of(day, "ties.balance") == verdict


def test_ties_are_counted_when_the_last_bird_is_pulled():
    half = [*loaded(ties=5), *probed("170", "171"), entry("spit_pulled", at="10:36", birds=2, ties_removed=2)]
    rest = entry("spit_pulled", at="10:40", birds=3, ties_removed=3)
    assert not found(told(half, as_of="10:50"), "ties.balance")
    assert not found(told([*half, rest], as_of="10:50"), "ties.balance")


def test_a_single_bird_and_a_quarter_of_one_are_carried_forward():
    held = [
        *hot_tray(birds=1),
        out("0.75", "11:00", "chilled", batch="A-B1"),
        read_late := read("140", next_day("03:50")),
    ]
    night = told(held, as_of=next_day("04:00"))
    assert {subject.name: birds for subject, birds in night.carried_out.items()} == {"A-B1": 0.75, "A-T1": 0.25}
    assert read_late.tray == "A-T1"


def test_the_days_movements_add_up():
    day = told([*hot_tray(), out("1", "11:00"), out("0.5", "11:10", "discarded", reason="quality")], as_of="11:20")
    birds = day.birds
    assert (birds.loaded, birds.pulled, birds.served, birds.discarded, birds.left) == (5, 5, 1, 0.5, 3.5)
