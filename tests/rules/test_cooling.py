"""Cooling in two stages against the clock, then cold storage and the date.

FDA Food Code 2022, 3-501.14(A): from 135 °F (57 °C) to 70 °F (21 °C) within 2 hours and to 41 °F (5 °C) within a
total of 6 hours. 3-501.17(A): 7 days at most, the day of preparation being day 1.
"""

from datetime import date, timedelta

import pytest

from app.rules.plans import plan
from tests.support.cast import DAY, OPENED, changed, entry, moment
from tests.support.story import found, hot_tray, on_day, out, read, told, verdict_of

ANZ = [plan.Adopted(1, "anz_3_2_2", (), "pat", OPENED)]


def cooled(temperature, at, unit="F", batch="A-B1"):
    return entry("cooling_reading", at=at, temperature=temperature, unit=unit, batch=batch)


def chilled(*readings, at="12:00", birds="5", **fields):
    """A tray known hot at 12:00, the start of the clock, chilled at `at`, with (temperature, time) readings."""
    tray = [*hot_tray(), read("140", "12:00")]
    batch = out(birds, at, "chilled", batch="A-B1", cold_unit="walk-in", **fields)
    return [*tray, batch, *(cooled(*reading) for reading in readings)]


def stages(entries, *, as_of="20:00", plans=None):
    batch = told(entries, as_of=as_of, plans=plans).batches[0]
    return tuple(stage and str(stage.verdict) for stage in (batch.first_stage, batch.total))


@pytest.mark.parametrize(
    ("readings", "as_of", "verdict"),
    [
        ([("70", "14:00")], "14:00", "met"),
        ([("69.9", "14:00")], "14:00", "met"),
        ([("21", "14:00", "C")], "14:00", "met"),
        ([("70.1", "14:00")], "14:00", "not_met"),
        ([("21.1", "14:00", "C")], "14:00", "not_met"),
        ([("70.1", "13:59:59")], "13:59:59", "pending"),
        ([("70.1", "13:59:59")], "14:00", "not_shown"),
        ([], "13:59:59", "pending"),
        ([], "14:00", "not_shown"),
        ([("70", "14:00:01")], "14:10", "not_shown"),
        ([("100", "13:00"), ("71", "15:00")], "15:00", "not_met"),
        ([("70", "13:00"), ("71", "14:30")], "14:30", "not_met"),
        ([("70", "13:00"), ("71", "13:30")], "14:30", "met"),
        ([("41", "13:00"), ("71", "14:30")], "14:30", "met"),
    ],
)
def test_the_first_stage_is_70_degrees_within_two_hours(readings, as_of, verdict):
    assert stages(chilled(*readings), as_of=as_of)[0] == verdict


@pytest.mark.parametrize(
    ("readings", "as_of", "verdict"),
    [
        ([("41", "18:00")], "18:00", "met"),
        ([("5", "18:00", "C")], "18:00", "met"),
        ([("41.1", "18:00")], "18:00", "not_met"),
        ([("5.1", "18:00", "C")], "18:00", "not_met"),
        ([("41.1", "17:59:59")], "17:59:59", "pending"),
        ([("41.1", "17:59:59")], "18:00", "not_shown"),
        ([("41", "18:00:01")], "19:00", "not_shown"),
        ([("42", "19:00"), ("41", "19:30")], "19:30", "not_met"),
        ([("41", "18:30"), ("42", "19:00")], "19:30", "not_shown"),
        ([("41", "17:00"), ("42", "18:30")], "19:00", "met"),
    ],
)
def test_the_total_is_41_degrees_within_six_hours(readings, as_of, verdict):
    assert stages(chilled(("70", "13:30"), *readings), as_of=as_of)[1] == verdict


def test_time_saved_on_the_first_stage_may_be_spent_on_the_second():
    batch = told(chilled(("70", "13:00"))).batches[0]
    assert (batch.first_stage.due_at, batch.total.due_at) == (moment("14:00"), moment("18:00"))


def test_the_clock_starts_at_the_last_known_hot_moment_not_at_the_chilling():
    late = [*chilled(at="12:30")]
    assert told(late, as_of="12:40").batches[0].started_at == moment("12:00")


def test_without_a_known_hot_moment_the_clock_starts_at_the_pull():
    entries = [e for e in hot_tray() if e.kind != "cook_reading"]
    entries += [out("5", "11:00", "chilled", batch="A-B1")]
    assert told(entries, as_of="11:10").batches[0].started_at == moment("10:35")


def test_the_batch_of_a_tray_gone_low_starts_where_it_was_last_known_hot():
    entries = [*hot_tray(), read("130", "11:30"), out("5", "11:40", "chilled", batch="A-B1")]
    assert told(entries, as_of="11:50").batches[0].started_at == moment("10:30")


@pytest.mark.parametrize(("temperature", "started"), [("135", "12:30"), ("134.9", "12:00")])
def test_a_reading_still_hot_moves_the_start_to_it(temperature, started):
    assert told(chilled((temperature, "12:30")), as_of="12:40").batches[0].started_at == moment(started)


@pytest.mark.parametrize(("temperature", "started"), [("140", "12:20"), ("130", "12:00")])
def test_so_does_the_temperature_given_when_it_was_chilled(temperature, started):
    day = chilled(at="12:20", temperature=temperature, unit="F", probe="blue")
    assert told(day, as_of="12:30").batches[0].started_at == moment(started)


def test_the_reading_when_chilled_counts_as_a_cooling_reading():
    day = chilled(at="13:50", temperature="69", unit="F", probe="blue")
    assert stages(day, as_of="14:30")[0] == "met"


def test_what_was_read_before_the_start_decides_nothing():
    assert stages(chilled(("60", "12:10"), ("136", "12:20")), as_of="12:30")[0] == "pending"
    assert stages(chilled(("60", "12:10"), ("136", "12:20")), as_of="14:20")[0] == "not_shown"


def test_a_batch_warmed_again_after_it_was_cold_starts_no_second_clock():
    day = told(chilled(("41", "15:00"), ("140", "19:00")), as_of="19:10")
    assert (day.batches[0].started_at, day.batches[0].total.verdict) == (moment("12:00"), "met")
    assert verdict_of(day, "cold.temperature") == "not_met"


def test_a_batch_of_several_trays_starts_with_the_earliest_of_them():
    named = {"load": "A-L2", "tray": "A-T2"}
    other = [
        changed(e, **{name: value for name, value in named.items() if getattr(e, name, None)})
        for e in hot_tray(pulled="10:55", probed_at="10:50")
    ]
    entries = [*hot_tray(), *other, *(out("5", "11:00", "chilled", tray, batch="A-B1") for tray in ("A-T2", "A-T1"))]
    assert told(entries, as_of="11:10").batches[0].started_at == moment("10:30")


# ---- birds that leave before a stage is decided ----------------------------------------------------------------------


def gone(birds, at, to="discarded"):
    return entry("batch_out", at=at, birds=birds, to=to)


def test_a_stage_is_null_where_no_birds_were_left_before_it_was_decided():
    assert stages([*chilled(("69", "13:00")), gone("5", "13:30")]) == ("met", None)
    assert stages([*chilled(), gone("5", "13:30")]) == (None, None)
    assert stages([*chilled(), gone("5", "14:30")]) == ("not_shown", None)


def test_half_a_batch_out_decides_nothing():
    assert stages([*chilled(), gone("2", "13:30")]) == ("not_shown", "not_shown")


def test_a_reading_after_the_last_bird_left_shows_nothing():
    assert stages([*chilled(), gone("5", "13:30"), cooled("80", "15:00")]) == (None, None)


# ---- findings --------------------------------------------------------------------------------------------------------


def test_a_missed_first_stage_is_found_with_its_reading_and_due_time():
    *_, opener, reading = day = chilled(("80", "14:05"))
    finding = found(told(day, as_of="14:10"), "cool.first_stage")[0]
    assert (finding.onset_at, finding.found_at) == (moment("14:00"), moment("14:05"))
    assert finding.entries == (opener.id, reading.id)
    assert finding.measured == {"since": moment("12:00"), "temperature": 80, "unit": "F"}
    assert finding.limit == {"F": 70, "C": 21, "cool_first_min": 120}
    assert (finding.concerns, finding.dispositions) == ("critical_limit", ("discard", "already_out"))


def test_a_missed_total_is_found_at_six_hours():
    finding = found(told(chilled(("70", "13:30"), ("45", "18:20"))), "cool.total")[0]
    assert (finding.verdict, finding.onset_at, finding.found_at) == ("not_met", moment("18:00"), moment("18:20"))
    assert finding.source == "FDA Food Code 2022, 3-501.14(A)(2): a total of 6 hours"


def test_pending_and_met_stages_are_no_findings():
    assert not found(told(chilled(), as_of="13:59"), "cool.first_stage")
    assert not found(told(chilled(("41", "13:30"))), "cool.total")


# ---- a further four hours (Standard 3.2.2, clause 7(3)) --------------------------------------------------------------


@pytest.mark.parametrize(
    ("readings", "due", "verdict"),
    [
        ([("21", "13:00", "C"), ("5", "17:00", "C")], "17:00", "met"),
        ([("21", "13:00", "C"), ("5.1", "17:00", "C")], "17:00", "not_met"),
        ([("21", "13:00", "C"), ("5", "17:59", "C")], "17:00", "not_shown"),
        ([("21", "14:00", "C"), ("5", "18:00", "C")], "18:00", "met"),
        ([("22", "14:00", "C"), ("21", "14:30", "C"), ("5", "18:00", "C")], "18:00", "met"),
        ([("22", "14:00", "C"), ("21", "14:30", "C"), ("5.1", "18:00", "C")], "18:00", "not_met"),
        ([("69.8", "13:00"), ("41", "17:00")], "17:00", "met"),
        ([("69.9", "13:00"), ("41", "17:30")], "18:00", "met"),
        ([], "18:00", "not_shown"),
    ],
)
def test_a_further_four_hours_count_from_21_degrees_or_from_when_it_was_due(readings, due, verdict):
    batch = told(chilled(*readings), plans=ANZ).batches[0]
    assert (batch.total.due_at, str(batch.total.verdict)) == (moment(due), verdict)


# ---- cold storage and the date ---------------------------------------------------------------------------------------


def test_once_cooled_each_run_of_readings_over_the_limit_is_a_finding():
    later = [("42", "16:00"), ("43", "16:30"), ("41", "17:00"), ("44", "19:00")]
    runs = found(told(chilled(("41", "15:00"), *later)), "cold.temperature")
    assert [(f.onset_at, f.ended_at) for f in runs] == [
        (moment("16:00"), moment("17:00")),
        (moment("19:00"), None),
    ]
    assert {(f.subject.kind, f.subject.name, str(f.verdict)) for f in runs} == {("batch", "A-B1", "not_met")}


@pytest.mark.parametrize(("temperature", "unit"), [("41", "F"), ("5", "C")])
def test_the_cold_limit_itself_is_met(temperature, unit):
    assert not found(told(chilled(("41", "15:00"), (temperature, "16:00", unit))), "cold.temperature")


def test_a_batch_that_is_not_shown_to_have_cooled_is_not_in_cold_storage_yet():
    assert not found(told(chilled(("69", "13:00"), ("50", "16:00"))), "cold.temperature")


def later(number, *entries, as_of=None, **options):
    when = as_of or on_day("20:00", number)
    return told([*chilled(("41", "15:00")), *entries], day=DAY + timedelta(days=number), as_of=when, **options)


@pytest.mark.parametrize(("clock", "verdict"), [("03:59:59", "none"), ("04:00", "not_met")])
def test_birds_still_there_after_day_seven_are_past_their_date(clock, verdict):
    assert verdict_of(later(7, as_of=on_day(clock, 7)), "date_mark.passed") == verdict


def test_the_use_by_date_is_the_day_of_cooking_and_six_more():
    assert told(chilled()).batches[0].use_by == DAY + timedelta(days=6)


@pytest.mark.parametrize(("at", "verdict"), [(on_day("23:00", 6), "none"), (on_day("03:59", 7), "none")])
def test_birds_out_on_the_last_business_day_are_in_time(at, verdict):
    assert verdict_of(later(7, gone("5", at, "served_cold")), "date_mark.passed") == verdict


def test_birds_discarded_late_were_there_and_those_eaten_late_are_named():
    eaten, thrown = gone("2", on_day("11:00", 7), "served_cold"), gone("3", on_day("12:00", 7))
    finding = found(later(7, eaten, thrown), "date_mark.passed")[0]
    assert (finding.measured["birds"], finding.ended_at) == (5, on_day("12:00", 7))
    assert eaten.id in finding.entries
    assert thrown.id not in finding.entries
    assert (finding.onset_at, finding.dispositions) == (on_day("04:00", 7), ("discard", "already_out"))


def test_a_date_passes_once_in_the_day_after_the_last():
    assert not found(later(8), "date_mark.passed")
    assert later(8).batches[0].use_by == DAY + timedelta(days=6)


def test_food_cooked_before_four_in_the_morning_belongs_to_the_day_before():
    entries = [*hot_tray(pulled="03:35", probed_at="03:30"), out("5", "03:40", "chilled", batch="A-B1")]
    night = told(entries, day=DAY - timedelta(days=1), as_of="03:50")
    assert night.batches[0].use_by == DAY + timedelta(days=5)


def test_chilling_a_second_time_does_not_restart_the_days():
    """Freezing is of the same kind: it stops the count and does not restart it (common practice, no source)."""
    again = [entry("reheat_started", at=on_day("10:00", 1), birds="5")]
    again += [entry("reheat_reading", at=on_day("11:00", 1), temperature="170")]
    again += [entry("reheat_done", at=on_day("11:05", 1), birds="5")]
    again += [out("5", on_day("12:00", 1), "chilled", tray="A-T2", batch="A-B2")]
    uses = {batch.batch: batch.use_by for batch in later(1, *again).batches}
    assert uses["A-B2"] == DAY + timedelta(days=6) == date(2026, 4, 20)


def test_the_sum_of_time_out_goes_with_the_birds_through_the_chilling():
    entries = [*hot_tray(), read("130", "11:00"), read("140", "11:10"), out("5", "11:20", "chilled", batch="A-B1")]
    entries += [cooled("41", "14:00"), entry("reheat_started", at="15:00", birds="5")]
    entries += [entry("reheat_reading", at="16:00", temperature="170"), entry("reheat_done", at="16:05", birds="5")]
    trays = {tray.tray: tray.out_of_temperature_s for tray in told(entries, as_of="16:10").trays}
    assert trays["A-T2"] == 40 * 60


def test_the_days_of_a_code_are_counted_from_the_day_of_cooking():
    entries = [*hot_tray(), out("5", "11:00", "chilled", batch="A-B1")]
    days = {}
    for code in ("us_food_code_2022", "anz_3_2_2", "england_2013", "ca_whole_bird"):
        day = told(entries, plans=[plan.Adopted(1, code, (), "pat", OPENED)], as_of="11:10")
        days[code] = day.batches[0].use_by
    assert days.pop("england_2013") == date(2026, 4, 16)
    assert set(days.values()) == {date(2026, 4, 20)}
