"""Hot holding: limit, checks due, runs of low readings, the sum of time out and its bands."""

import pytest

from tests.support.cast import entry, moment
from tests.support.story import adopted, found, hot_tray, loaded, out, probed, read, told, verdict_of


# FDA Food Code 2022, 3-501.16(A)(1): 135 °F (57 °C) or above: 134.9 °F is not met, 135.0 °F
# is; 57.0 °C is 134.6 °F and is met on a °C display, while 134.6 °F on a °F display is not.
@pytest.mark.parametrize(
    ("value", "unit", "verdict"),
    [
        ("135", "F", "none"),
        ("134.9", "F", "not_met"),
        ("57", "C", "none"),
        ("134.6", "F", "not_met"),
        ("56.9", "C", "not_met"),
    ],
)
def test_a_hold_reading_is_held_to_the_limit_of_its_unit(value, unit, verdict):
    day = told([*hot_tray(), read(value, "11:30", unit)], as_of="11:31")
    assert verdict_of(day, "hold.temperature") == verdict


def test_a_tray_is_known_hot_since_the_earliest_reading_of_the_probed_birds():
    day = [
        *loaded(),
        *probed("170", at="10:31"),
        entry("cook_reading", at="10:33", bird=2),
        entry("spit_pulled", at="10:36"),
    ]
    assert told(day, as_of="10:40").trays[0].known_hot_at == moment("10:31")


def test_a_pull_without_a_reading_is_not_known_hot_and_counts_from_the_pull_to_the_first_good_reading():
    day = [*loaded(), entry("spit_pulled", at="10:36"), read("140", "11:06")]
    before, after = told(day, as_of="11:00").trays[0], told(day, as_of="11:30").trays[0]
    assert (before.known_hot_at, before.out_of_temperature_s) == (None, 24 * 60)
    assert (after.known_hot_at, after.out_of_temperature_s) == (moment("11:06"), 30 * 60)
    assert not found(told(day, as_of="11:30"), "hold.temperature")


def test_a_spit_with_one_cool_bird_is_not_known_hot():
    day = [*loaded(), *probed("170", "134"), entry("spit_pulled", at="10:36")]
    assert told(day, as_of="10:40").trays[0].known_hot_at is None


def test_time_out_runs_from_the_last_known_hot_moment_to_the_next_good_reading():
    day = [*hot_tray(), read("130", "11:30"), read("131", "11:40"), read("140", "12:00"), read("150", "13:00")]
    finding = found(told(day, as_of="13:10"), "hold.temperature")[0]
    assert told(day, as_of="13:10").trays[0].out_of_temperature_s == 90 * 60
    assert (finding.onset_at, finding.ended_at) == (moment("11:30"), moment("12:00"))
    assert finding.measured["since"] == moment("10:30")
    assert len(finding.entries) == 2


def test_each_run_of_low_readings_is_one_finding_and_the_sums_add_up():
    day = [*hot_tray(), read("130", "11:00"), read("140", "11:10"), read("130", "11:30"), read("140", "11:40")]
    assert len(found(told(day, as_of="11:50"), "hold.temperature")) == 2
    assert told(day, as_of="11:50").trays[0].out_of_temperature_s == (40 + 30) * 60


def test_two_good_readings_with_a_missed_check_between_are_a_gap_and_no_time_out():
    day = told([*hot_tray(), read("140", "14:00")], as_of="14:10")
    assert day.trays[0].out_of_temperature_s == 0
    assert verdict_of(day, "hold.check_interval") == "not_shown"


@pytest.mark.parametrize(("at", "verdict"), [("12:20", "none"), ("12:20:01", "not_shown")])
def test_a_check_is_due_90_minutes_after_the_filling_with_15_minutes_grace(at, verdict):
    day = told([*hot_tray(), read("140", at)], as_of="12:30")
    assert verdict_of(day, "hold.check_interval") == verdict


def test_a_missed_check_stands_from_due_until_the_next_reading():
    finding = found(told([*hot_tray(), read("140", "12:40")], as_of="13:00"), "hold.check_interval")[0]
    times = (finding.onset_at, finding.found_at, finding.ended_at)
    assert times == (moment("12:05"), moment("12:20"), moment("12:40"))


def test_a_tray_emptied_by_the_time_owes_nothing():
    day = told([*hot_tray(), out("5", "12:20")], as_of="15:00")
    assert verdict_of(day, "hold.check_interval") == "none"
    assert day.trays[0].verdict == "met"


def test_filling_and_moving_reset_nothing():
    more = [*loaded_again(), entry("tray_moved", at="11:30")]
    tray = told([*hot_tray(), *more], as_of="11:40").trays[0]
    assert (tray.check_due_at, tray.hot_unit, tray.birds_in) == (moment("12:05"), "cabinet", 7)


def test_a_pull_that_names_another_unit_takes_the_tray_there():
    more = [*hot_tray(), entry("load_started", at="09:30", load="A-L2"), entry("spit_loaded", at="09:30", load="A-L2")]
    pull = entry("spit_pulled", at="11:05", load="A-L2", hot_unit="cabinet")
    assert told([*more, pull], as_of="11:10").trays[0].hot_unit == "cabinet"


def loaded_again() -> list[object]:
    second = {"load": "A-L2"}
    return [
        entry("load_started", at="09:30", oven="west", **second),
        entry("spit_loaded", at="09:30", birds=2, **second),
        *probed("168", "169", at="11:00", **second),
        entry("spit_pulled", at="11:05", birds=2, hot_unit=..., **second),
    ]


def test_a_tray_filled_twice_is_known_hot_since_the_earliest_until_its_next_good_reading():
    day = [*hot_tray(), read("140", "11:02"), *loaded_again(), read("141", "11:20")]
    assert told(day, as_of="11:10").trays[0].known_hot_at == moment("11:00")
    assert told(day, as_of="11:30").trays[0].known_hot_at == moment("11:20")


def test_a_unit_that_comes_back_from_being_out_is_checked_at_once():
    outage = [entry("equipment_out", at="10:50", code="pass"), entry("equipment_back", at="11:10", code="pass")]
    assert told([*hot_tray(), *outage], as_of="11:12").trays[0].check_due_at == moment("11:10")
    finding = found(told([*hot_tray(), *outage], as_of="11:26"), "hold.check_interval")[0]
    assert finding.entries[0] == outage[1].id
    assert not found(told([*hot_tray(), *outage, read("140", "11:25")], as_of="11:40"), "hold.check_interval")


@pytest.mark.parametrize(
    ("until", "band"),
    [("12:29:59", "under_2h"), ("12:30", "from_2h"), ("14:29:59", "from_2h"), ("14:30", "from_4h")],
)
def test_bands_begin_at_two_and_four_hours_exactly(until, band):
    day = [*hot_tray(), read("130", "10:50"), read("140", until)]
    assert told(day, as_of="14:31").trays[0].time_band == band


@pytest.mark.parametrize(("emptied", "verdict"), [("14:30", "none"), ("14:30:01", "not_met")])
def test_four_hours_out_with_birds_in_the_tray(emptied, verdict):
    day = [*hot_tray(), read("130", "10:50"), out("5", emptied, "discarded", reason="time")]
    assert verdict_of(told(day, as_of="15:00"), "hold.time_out") == verdict


def test_time_out_is_told_in_hindsight_from_a_late_low_reading():
    finding = found(told([*hot_tray(), read("130", "15:00")], as_of="15:01"), "hold.time_out")[0]
    assert (finding.onset_at, finding.found_at) == (moment("14:30"), moment("15:00"))


@pytest.mark.parametrize(
    ("at", "to", "verdict"),
    [
        ("12:29", "served", "none"),
        ("12:30", "served", "not_met"),
        ("12:30", "discarded", "none"),
        ("12:30", "chilled", "not_met"),
    ],
)
def test_birds_go_only_where_their_band_allows(at, to, verdict):
    fields = {"batch": "A-B1"} if to == "chilled" else {}
    day = told([*hot_tray(), read("130", "10:50"), out("1", at, to, **fields)], as_of="12:31")
    assert verdict_of(day, "hold.disposition") == verdict


def test_serving_now_is_allowed_from_two_hours_where_a_written_procedure_is_named():
    day = [*hot_tray(), read("130", "10:50"), out("1", "12:30")]
    named = [adopted(time_control_procedure="TC-1")]
    assert verdict_of(told(day, as_of="12:31", plans=named), "hold.disposition") == "none"
    assert "serve_now" in found(told(day, as_of="12:31", plans=named), "hold.temperature")[0].dispositions


def test_a_run_and_its_sum_go_on_in_the_next_tray_until_its_first_good_reading():
    moved = out("5", "11:30", "other_tray", into="A-T2")
    day = told([*hot_tray(), read("130", "11:00"), moved, read("140", "12:00", tray="A-T2")], as_of="12:10")
    first, second = day.trays
    assert (first.out_of_temperature_s, second.out_of_temperature_s) == (60 * 60, 90 * 60)
    assert second.known_hot_at == moment("12:00")


def test_a_tray_filled_from_several_has_the_largest_sum_brought_in():
    low = [*hot_tray(), read("130", "11:00"), read("140", "11:10"), out("2", "11:20", "other_tray", into="A-T2")]
    clean = [entry("load_started", at="09:30", load="A-L2", oven="west"), entry("spit_loaded", at="09:30", load="A-L2")]
    clean += [
        *probed("170", "171", at="11:00", load="A-L2"),
        entry("spit_pulled", at="11:05", load="A-L2", tray="A-T2"),
    ]
    trays = {tray.tray: tray for tray in told([*low, *clean], as_of="11:30").trays}
    assert trays["A-T2"].out_of_temperature_s == 40 * 60


def test_cooking_again_does_not_reset_the_sum():
    back = out("5", "11:30", "returned_to_oven", load="A-L1", spit=2)
    again = [*probed("170", "171", at="12:20", spit=2), entry("spit_pulled", at="12:25", spit=2, tray="A-T2")]
    day = told([*hot_tray(), read("130", "11:00"), back, *again], as_of="12:40")
    tray = day.trays[1]
    assert (tray.out_of_temperature_s, tray.known_hot_at) == (60 * 60, moment("12:20"))


def test_a_low_reading_carried_over_four_hours_opens_with_the_filling_of_the_next_tray():
    moved = out("5", "11:30", "other_tray", into="A-T2")
    finding = found(told([*hot_tray(), read("130", "11:00"), moved], as_of="14:40"), "hold.time_out")[0]
    assert (finding.subject.name, finding.onset_at, finding.entries) == ("A-T2", moment("14:30"), (moved.id,))


def test_a_tray_of_several_origins_empties_by_quarters():
    day = told([*hot_tray(birds=2), out("0.25", "11:00"), out("1.75", "11:10", "prepared")], as_of="11:20")
    assert (day.trays[0].birds_left, day.birds.served, day.birds.prepared) == (0, 0.25, 1.75)
