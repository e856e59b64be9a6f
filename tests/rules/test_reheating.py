"""Reheating for hot holding: hot enough, held long enough, and in time.

FDA Food Code 2022, 3-403.11: all parts to 165 °F (74 °C) for 15 s (A), within 2 hours (D).
"""

import pytest

from app.rules.plans import plan
from tests.support.cast import OPENED, entry, moment
from tests.support.story import adopted, found, hot_tray, out, read, told, verdict_of

RULES = ("reheat.temperature", "reheat.dwell", "reheat.time")


def reheated(*readings, started="15:00", done=None, birds="5", plans=None, as_of="20:00"):
    """A cold batch whose reheat of five birds starts at 15:00, with (temperature, time, held_s, unit) readings."""
    batch = [*hot_tray(), out("5", "11:00", "chilled", batch="A-B1"), entry("cooling_reading", at="13:00", **COLD)]
    start = entry("reheat_started", at=started, birds="5")
    seen = [reading(*values) for values in readings]
    ends = [] if done is None else [entry("reheat_done", at=done, birds=birds)]
    return told([*batch, start, *seen, *ends], as_of=as_of, plans=plans)


COLD = {"temperature": "40", "unit": "F"}


def reading(temperature, at, held_s=15, unit="F"):
    return entry("reheat_reading", at=at, temperature=temperature, unit=unit, held_s=held_s)


def verdicts(day):
    return tuple(verdict_of(day, rule) for rule in RULES)


@pytest.mark.parametrize(
    ("temperature", "unit", "verdict"),
    [
        ("165", "F", "none"),
        ("165.1", "F", "none"),
        ("164.9", "F", "not_met"),
        ("74", "C", "none"),
        ("73.9", "C", "not_met"),
    ],
)
def test_the_last_reading_is_at_the_limit_of_its_unit(temperature, unit, verdict):
    day = reheated((temperature, "16:00", 15, unit), done="16:05")
    assert verdict_of(day, "reheat.temperature") == verdict


def test_without_a_reading_nothing_is_shown():
    assert verdicts(reheated(done="16:05")) == ("not_shown", "none", "none")


def test_the_last_reading_counts_not_the_highest():
    day = reheated(("170", "15:50"), ("160", "16:00"), done="16:05")
    finding = found(day, "reheat.temperature")[0]
    assert (finding.verdict, finding.measured["temperature"]) == ("not_met", 160)


def test_a_reading_after_the_end_cures_nothing_and_one_at_its_instant_counts():
    assert verdict_of(reheated(("160", "16:00"), ("170", "16:06"), done="16:05"), RULES[0]) == "not_met"
    assert verdict_of(reheated(("160", "16:00"), ("170", "16:05"), done="16:05"), RULES[0]) == "none"


def test_a_reheat_is_pending_until_it_ends():
    day = reheated(("150", "15:30"), as_of="15:40")
    assert (day.reheats[0].verdict, day.reheats[0].due_at, verdicts(day)) == (
        "pending",
        moment("17:00"),
        ("none", "none", "none"),
    )


def test_a_good_reheat_is_met_and_its_tray_is_known_hot_from_the_end():
    day = reheated(("165", "16:00"), done="16:05")
    assert (day.reheats[0].verdict, day.reheats[0].birds_left) == ("met", 0)
    assert {tray.tray: tray.known_hot_at for tray in day.trays}["A-T2"] == moment("16:05")


def test_a_reheat_under_the_limit_leaves_its_tray_never_known_hot():
    trays = {tray.tray: tray for tray in reheated(("160", "16:00"), done="16:05", as_of="16:35").trays}
    assert (trays["A-T2"].known_hot_at, trays["A-T2"].out_of_temperature_s) == (None, 30 * 60)


# ---- 15 seconds ------------------------------------------------------------------------------------------------------


# FDA Food Code 2022, 3-403.11(A): 14 s is not enough, 15 s is.
@pytest.mark.parametrize(
    ("readings", "verdict"),
    [
        ([("165", "16:00", 15)], "none"),
        ([("165", "16:00", 14)], "not_shown"),
        ([("165", "16:00", 0)], "not_shown"),
        ([("165", "16:00:00", 0), ("166", "16:00:15", 0)], "none"),
        ([("165", "16:00:00", 0), ("166", "16:00:14.999", 0)], "not_shown"),
        ([("165", "16:00:00", 0), ("164", "16:00:05", 0), ("165", "16:00:15", 0)], "none"),
        ([("164.9", "16:00:00", 30), ("165", "16:00:05", 0)], "not_shown"),
        ([("165", "16:00", 15), ("170", "16:01", 0)], "none"),
        ([("160", "16:00", 60)], "none"),
    ],
)
def test_fifteen_seconds_at_the_limit_are_shown_by_held_s_or_by_two_readings(readings, verdict):
    assert verdict_of(reheated(*readings, done="16:05"), "reheat.dwell") == verdict


def test_a_dwell_shown_after_the_end_is_too_late():
    assert verdict_of(reheated(("165", "16:00", 0), ("165", "16:06", 60), done="16:05"), "reheat.dwell") == "not_shown"


def test_a_code_without_a_dwell_asks_for_none():
    plans = [plan.Adopted(1, "anz_3_2_2", (), "pat", OPENED)]
    assert verdicts(reheated(("60", "16:00", 0, "C"), done="16:05", plans=plans)) == ("none", "none", "none")
    assert verdict_of(reheated(("59.9", "16:00", 0, "C"), done="16:05", plans=plans), RULES[0]) == "not_met"


# ---- two hours -------------------------------------------------------------------------------------------------------


# FDA Food Code 2022, 3-403.11(D): 165 °F at 2 h 00 min is in time, at 2 h 01 it is not.
@pytest.mark.parametrize(("at", "verdict"), [("17:00", "none"), ("17:00:01", "not_met"), ("17:01", "not_met")])
def test_the_limit_is_reached_within_two_hours_of_the_start(at, verdict):
    assert verdict_of(reheated(("165", at), done="17:30"), "reheat.time") == verdict


@pytest.mark.parametrize(("as_of", "verdict"), [("16:59:59", "none"), ("17:00", "not_met")])
def test_a_reheat_still_running_at_two_hours_without_a_good_reading_is_late(as_of, verdict):
    assert verdict_of(reheated(("150", "16:00"), as_of=as_of), "reheat.time") == verdict


def test_lateness_is_told_at_two_hours_until_the_limit_is_reached():
    finding = found(reheated(("150", "16:00"), ("165", "17:20"), done="17:30"), "reheat.time")[0]
    assert (finding.onset_at, finding.ended_at) == (moment("17:00"), moment("17:20"))
    assert (finding.measured["took_s"], finding.limit) == (140 * 60, {"reheat_min": 120})


def test_a_reheat_ended_in_time_without_a_good_reading_is_not_late():
    assert verdicts(reheated(("150", "16:00"), done="16:55")) == ("not_met", "none", "none")


def test_a_reheat_ended_too_late_without_a_good_reading_is_late():
    assert verdicts(reheated(("150", "16:00"), done="17:10")) == ("not_met", "none", "not_met")


def test_falling_again_after_the_limit_was_reached_in_time_is_not_late():
    assert verdict_of(reheated(("165", "16:00"), ("160", "17:10"), done="17:20"), "reheat.time") == "none"


def test_a_stricter_site_has_less_time():
    day = reheated(("165", "16:40"), done="16:45", plans=[adopted(reheat_min="90")])
    assert verdict_of(day, "reheat.time") == "not_met"


# ---- what it was started from, and where the birds went --------------------------------------------------------------


def test_a_reheat_may_start_straight_from_a_tray():
    entries = [*hot_tray(), read("130", "11:00"), out("5", "11:10", "reheated", reheat="A-R1")]
    entries += [reading("165", "12:00"), entry("reheat_done", at="12:05", birds="5")]
    day = told(entries, as_of="12:10")
    assert (day.reheats[0].source.kind, day.reheats[0].started_at) == ("tray", moment("11:10"))
    assert {tray.tray: tray.out_of_temperature_s for tray in day.trays}["A-T2"] == 40 * 60


def test_a_reheat_ends_bit_by_bit_and_the_worst_end_counts():
    first = entry("reheat_done", at="15:40", birds="2")
    day = reheated(("160", "15:30"), ("170", "16:00"), done="16:05", birds="3")
    both = told([*day.entries, first], as_of="20:00")
    assert verdict_of(day, RULES[0]) == "none"
    assert found(both, RULES[0])[0].entries[0] == first.id


def test_birds_thrown_away_at_the_end_are_out():
    entries = [*hot_tray(), out("5", "11:00", "chilled", batch="A-B1"), entry("reheat_started", at="15:00", birds="5")]
    entries += [reading("165", "16:00"), entry("reheat_done", at="16:05", birds="3", discarded="2")]
    day = told(entries)
    assert (day.reheats[0].birds_left, day.birds.reheated, day.birds.discarded) == (0, 5, 2)


def test_what_a_reheat_finding_carries():
    day = reheated(("160", "16:00"), done="16:05")
    finding = found(day, "reheat.temperature")[0]
    opener = next(e for e in day.entries if e.kind == "reheat_done")
    assert (finding.key, finding.concerns) == (f"reheat.temperature:reheat:A-R1:{opener.id}", "critical_limit")
    assert (finding.limit, finding.source) == ({"F": 165, "C": 74}, "FDA Food Code 2022, 3-403.11(A)")
    assert finding.dispositions == ("reheat", "discard", "already_out")


def test_what_is_all_thrown_away_goes_into_no_tray():
    done = {"birds": 0, "discarded": "1", "tray": ..., "hot_unit": ...}
    chilled = [*hot_tray(), out("5", "11:00", "chilled", batch="A-B1")]
    day = told([*chilled, entry("reheat_started", at="15:00"), entry("reheat_done", at="16:00", **done)])
    assert ([tray.tray for tray in day.trays], day.reheats[0].birds_left) == (["A-T1"], 0)
