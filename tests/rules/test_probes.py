"""A probe: is it true, was it checked in time, and what did it touch while it was wrong?

FDA Food Code 2022, 4-203.11: ±1 °C on a display that shows °C or both scales, ±2 °F on one that shows °F alone.
The cast has a dual-scale probe (blue), one in °F (white) and one in °C (green).
"""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from tests.cast import DAY, entry, moment, site_facts
from tests.rules.story import adopted, checked, found, hot_tray, loaded, out, probed, read, told, verdict_of


def check(temperature="32", at="06:00", unit="F", probe="blue", **fields):
    return entry("probe_check", at=at, temperature=temperature, unit=unit, probe=probe, **fields)


def dead(at="06:00", probe="blue"):
    return entry("probe_check", at=at, temperature=..., unit=..., probe=probe, no_display=True)


def view(*entries, **options):
    return told(entries, **options).probes[0]


# ---- accuracy --------------------------------------------------------------------------------------------------------


# Worked cases 22 and 23: a dual-scale probe that reads 33.9 °F in ice is 1.06 °C off and fails, one that shows °F alone
# passes; 30.0 °F passes there and 29.9 °F does not.
@pytest.mark.parametrize(
    ("probe", "value", "unit", "verdict"),
    [
        ("blue", "33.8", "F", "met"),
        ("blue", "33.81", "F", "not_met"),
        ("blue", "33.9", "F", "not_met"),
        ("blue", "30.2", "F", "met"),
        ("blue", "30.1", "F", "not_met"),
        ("white", "33.9", "F", "met"),
        ("white", "34", "F", "met"),
        ("white", "34.1", "F", "not_met"),
        ("white", "30", "F", "met"),
        ("white", "29.9", "F", "not_met"),
        ("blue", "1", "C", "met"),
        ("blue", "1.01", "C", "not_met"),
        ("green", "-1", "C", "met"),
        ("green", "-1.1", "C", "not_met"),
    ],
)
def test_a_check_passes_within_the_tolerance_of_its_scale(probe, value, unit, verdict):
    assert str(view(check(value, unit=unit, probe=probe)).verdict) == verdict


def test_a_failed_check_is_a_finding_with_its_error():
    failed = check("29")
    finding = found(told([failed]), "probe.accuracy")[0]
    assert finding.key == f"probe.accuracy:probe:blue:{failed.id}"
    assert finding.measured == {"error": -3, "unit": "F", "temperature": 29, "reference": 32}
    assert (finding.verdict, finding.concerns) == ("not_met", "monitoring")
    assert finding.dispositions == ("take_probe_out_of_use", "hold_for_evaluation")


def test_each_failed_check_is_a_finding_of_its_own():
    assert len(found(told([check("29"), check("29", "06:10"), check("32", "06:20")]), "probe.accuracy")) == 2


def test_a_probe_without_a_display_fails():
    day = told([dead()])
    assert (verdict_of(day, "probe.accuracy"), day.probes[0].error, day.probes[0].unit) == ("not_met", None, None)


def test_adjusting_changes_nothing_until_a_check_passes():
    assert str(view(check("29", adjusted=True)).verdict) == "not_met"
    assert str(view(check("29", adjusted=True), check("32", "06:05")).verdict) == "met"


@pytest.mark.parametrize(
    ("value", "unit", "reference", "verdict"),
    [
        ("166.8", "F", "165", "met"),
        ("166.9", "F", "165", "not_met"),
        ("75", "C", "74", "met"),
        ("72.9", "C", "74", "not_met"),
    ],
)
def test_a_comparison_is_held_to_the_other_probe(value, unit, reference, verdict):
    day = view(check(value, unit=unit, method="comparison", reference_temperature=reference))
    assert str(day.verdict) == verdict


# The saturation temperature of water, IAPWS R7-97(2012): 1013.25 hPa 99.974 °C, 980 hPa 99.04 °C; in the ICAO standard
# atmosphere 94.62 °C (202.32 °F) at 1609 m.
@pytest.mark.parametrize(
    ("value", "unit", "where", "verdict"),
    [
        ("212", "F", {"pressure_hpa": "1013.25"}, "met"),
        ("100.9", "C", {"pressure_hpa": "1013.25"}, "met"),
        ("101", "C", {"pressure_hpa": "1013.25"}, "not_met"),
        ("98.1", "C", {"pressure_hpa": "980"}, "met"),
        ("98.0", "C", {"pressure_hpa": "980"}, "not_met"),
        ("202", "F", {"altitude_m": "1609"}, "met"),
        ("204.1", "F", {"altitude_m": "1609"}, "met"),
        ("204.2", "F", {"altitude_m": "1609"}, "not_met"),
        ("212", "F", {"altitude_m": "1609"}, "not_met"),
        ("212", "F", {"pressure_hpa": "1013.25", "altitude_m": "1609"}, "met"),
    ],
)
def test_boiling_water_is_as_hot_as_the_pressure_or_the_altitude_makes_it(value, unit, where, verdict):
    assert str(view(check(value, unit=unit, method="boiling_point", **where)).verdict) == verdict


def test_without_its_own_the_sites_altitude_counts():
    high = replace(site_facts(), altitude_m=Decimal(1609))
    boiling = check("202", method="boiling_point")
    assert str(view(boiling, site=high).verdict) == "met"
    own = check("202", method="boiling_point", altitude_m="0")
    assert str(view(own, site=high).verdict) == "not_met"


def test_the_tolerance_is_the_sites_to_tighten():
    plans = [adopted(probe_tolerance_c="0.5", probe_tolerance_f="1")]
    assert str(view(check("33", unit="F"), plans=plans).verdict) == "not_met"
    assert str(view(check("33", unit="F", probe="white"), plans=plans).verdict) == "met"


def test_the_view_shows_the_last_check_and_the_next_one_due():
    passed, failed = view(check("32.4")), view(check("32.4"), check("29", "07:00"))
    assert (passed.error, passed.unit, passed.due_at) == (Decimal("0.4"), "F", moment("06:00") + timedelta(hours=24))
    assert (failed.error, failed.due_at) == (-3, moment("07:00"))


def test_a_probe_that_was_never_checked_shows_so():
    probe = view(read("150", "11:00"))
    assert (str(probe.verdict), probe.error, probe.due_at) == ("not_shown", None, None)


# ---- a check in time -------------------------------------------------------------------------------------------------


def on(clock, days=0):
    return moment(clock, day=DAY + timedelta(days=days))


@pytest.mark.parametrize(
    ("at", "reading", "verdict"),
    [
        (on("06:00"), on("23:00"), "none"),
        (on("11:00"), on("11:00"), "none"),
        (on("11:01"), on("11:00"), "not_shown"),
        (on("11:00", -1), on("11:00"), "none"),
        (on("10:59:59", -1), on("11:00"), "not_shown"),
        (on("04:00"), on("03:59", 1), "none"),
        (on("03:59"), on("04:00"), "none"),
        (on("03:59"), on("04:00", 1), "not_shown"),
    ],
)
def test_a_reading_needs_a_passing_check_of_its_business_day_or_of_the_24_hours_before(at, reading, verdict):
    probing = entry("hold_reading", at=reading)
    days = [told([check(at=at), probing], day=DAY + timedelta(days=n), as_of=on("04:00", 2)) for n in (0, 1)]
    assert [f.verdict for day in days for f in found(day, "probe.check_due")] == [verdict] * (verdict != "none")


def test_a_failed_check_is_no_check():
    assert verdict_of(told([check("29"), *probed("170")]), "probe.check_due") == "not_shown"


def test_readings_without_a_check_are_told_once_a_probe_and_day():
    readings = [*probed("170", "171"), *probed("170", probe="green", at="10:40")]
    day = told([*loaded(), *readings])
    blue, green = found(day, "probe.check_due")
    assert (blue.subject.name, blue.entries) == ("blue", tuple(reading.id for reading in readings[:2]))
    assert (green.subject.name, green.concerns) == ("green", "monitoring")


def test_a_check_made_between_two_readings_cures_the_second_alone():
    first, second = probed("170", at="10:30")[0], probed("170", at="10:50")[0]
    finding = found(told([*loaded(), first, check(at="10:40"), second]), "probe.check_due")[0]
    assert finding.entries == (first.id,)


def test_a_reading_without_a_probe_needs_no_check():
    assert not found(told([checked("38", "10:00")]), "probe.check_due")


# ---- out of use ------------------------------------------------------------------------------------------------------


def test_a_reading_after_a_failed_check_and_before_the_next_pass():
    used = [read("150", at) for at in ("11:00", "12:00", "13:00")]
    day = told([check(), used[0], check("29", "11:30"), used[1], check("32", "12:30"), used[2]])
    finding = found(day, "probe.out_of_use")[0]
    assert (finding.entries, finding.onset_at) == ((used[1].id,), moment("12:00"))
    assert (finding.verdict, finding.subject.name) == ("not_shown", "blue")


def test_use_is_told_once_a_day_until_the_next_pass():
    used = [read("150", "11:00"), read("150", "12:00"), entry("hold_reading", at=on("05:00", 1))]
    both = [told([dead("10:00"), *used], day=DAY + timedelta(days=n), as_of=on("06:00", 1)) for n in (0, 1)]
    assert [f.entries for day in both for f in found(day, "probe.out_of_use")] == [
        (used[0].id, used[1].id),
        (used[2].id,),
    ]


def test_another_probe_is_not_out_of_use():
    assert not found(told([check("29", "10:00"), entry("hold_reading", at="11:00", probe="green")]), "probe.out_of_use")


# ---- readings to review ----------------------------------------------------------------------------------------------


def reviewed(day):
    return {(f.subject.kind, f.subject.label) for f in found(day, "probe.review")}


# The failed check reads 3 °F too high (35 °F in ice): a reading of 165 °F may have been 162 °F.
@pytest.mark.parametrize(
    ("value", "unit", "touched"),
    [("165", "F", True), ("167.9", "F", True), ("168", "F", False), ("164", "F", False), ("74", "C", True)],
)
def test_a_reading_is_reviewed_where_taking_the_error_off_makes_good_bad(value, unit, touched):
    day = told([*loaded(), *probed(value, unit=unit), check("35", "11:00")])
    assert reviewed(day) == ({("spit", "A-L1/1")} if touched else set())


# 3 °F are 1.67 °C, 2 °C are 3.6 °F.
@pytest.mark.parametrize(
    ("failed", "value", "unit", "touched"),
    [
        (("35", "F"), "75.66", "C", True),
        (("35", "F"), "75.67", "C", False),
        (("2", "C"), "168.5", "F", True),
        (("2", "C"), "168.6", "F", False),
        (("-3", "C"), "165", "F", False),
    ],
)
def test_the_error_is_taken_off_on_the_scale_of_the_reading(failed, value, unit, touched):
    day = told([*loaded(), *probed(value, unit=unit), check(failed[0], "11:00", failed[1])])
    assert bool(reviewed(day)) is touched


def batch_read(value, at="12:00", **fields):
    fields = {"temperature": value, "unit": "F", "probe": "blue"} | fields
    return entry("cooling_reading", at=at, **fields)


CHILLED = out("5", "11:00", "chilled", batch="A-B1", temperature="140", unit="F", probe="green")
REHEAT = [entry("reheat_started", at="11:30", birds="5"), entry("reheat_reading", at="12:00", temperature="166")]
CRITICAL = [
    ("hold", [read("136", "11:00")], "35", ("tray", "A-T1")),
    ("hold, low before", [read("134", "11:00")], "35", None),
    ("reheat", [CHILLED, *REHEAT], "35", ("reheat", "A-R1")),
    ("cooling at 70 °F", [CHILLED, batch_read("70")], "29", ("batch", "A-B1")),
    ("cooling at 41 °F", [CHILLED, batch_read("41")], "29", ("batch", "A-B1")),
    ("cooling at 60 °F, no mark near", [CHILLED, batch_read("60")], "29", None),
    ("cooling, read too high", [CHILLED, batch_read("70")], "35", None),
    ("receiving", [entry("receiving", at="11:00", temperature="39")], "29", ("receiving", "0412-7")),
    ("receiving, frozen", [entry("receiving", at="11:00", state="frozen", temperature=..., unit=...)], "29", None),
    ("food in a cold unit", [checked("40", "11:00", of="food", probe="blue")], "29", ("cold_unit", "walk-in")),
    ("air in a cold unit", [checked("40", "11:00", probe="blue")], "29", None),
    ("food in a hot unit", [checked("136", "11:00", of="food", code="pass", probe="blue")], "35", None),
]


@pytest.mark.parametrize(
    ("entries", "failed", "subject"), [case[1:] for case in CRITICAL], ids=[c[0] for c in CRITICAL]
)
def test_critical_readings_of_every_kind_are_reviewed(entries, failed, subject):
    tray = [replace(e, fields={**e.fields, "probe": "green"}) if "probe" in e.fields else e for e in hot_tray()]
    day = told([*tray, *entries, check(failed, "12:30")])
    assert reviewed(day) == ({subject} if subject else set())


def test_the_temperature_given_at_the_chilling_is_reviewed_too():
    warm = out("5", "11:00", "chilled", batch="A-B1", temperature="69", unit="F", probe="white")
    assert reviewed(told([*hot_tray(), warm, check("29", "12:00", probe="white")])) == {("batch", "A-B1")}


def test_without_a_display_every_critical_reading_is_reviewed():
    day = told(
        [*hot_tray(), read("180", "11:00"), read("60", "11:10"), checked("38", "11:20", probe="blue"), dead("12:00")]
    )
    assert reviewed(day) == {("spit", "A-L1/1"), ("tray", "A-T1")}


def test_only_readings_since_the_last_pass_are_reviewed():
    readings = [read("136", at) for at in ("10:50", "11:00", "11:10", "12:30")]
    day = told([*hot_tray(), check(at="11:00"), *readings, check("35", "12:00")])
    finding = found(day, "probe.review")[0]
    assert list(finding.entries[1:]) == [readings[1].id, readings[2].id]


def test_a_failed_check_ends_no_stretch():
    day = told([*hot_tray(), check(at="10:40"), read("136", "11:00"), check("35", "12:00"), check("35", "12:10")])
    first, second = found(day, "probe.review")
    assert first.key != second.key
    assert first.entries[1:] == second.entries[1:]


def test_one_finding_a_subject_in_the_day_of_the_failed_check():
    night = [*hot_tray(), read("136", "23:00")]
    failed = check("35", at=on("05:00", 1))
    assert not found(told([*night, failed], as_of=on("06:00", 1)), "probe.review")
    day = told([*night, failed], day=DAY + timedelta(days=1), as_of=on("06:00", 1))
    finding = found(day, "probe.review")[0]
    assert (finding.onset_at, finding.entries[0], finding.subject.name) == (on("05:00", 1), failed.id, "A-T1")
    assert finding.measured == {"probe": "blue", "readings": 1, "error": 3, "unit": "F"}
    assert (finding.verdict, finding.concerns) == ("not_shown", "monitoring")


def test_a_reading_is_reviewed_by_the_plan_of_what_was_read():
    later = replace(adopted(hot_holding="145F/63C"), version=2, adopted_at=moment("10:50"))
    day = told([*hot_tray(), read("146", "11:00"), check("35", "12:00")], plans=[adopted(), later])
    assert reviewed(day) == set()


def test_a_site_without_the_group_reviews_nothing():
    day = told([*hot_tray(), read("136", "11:00"), check("35", "12:00")], plans=[adopted(controls="holding")])
    assert not [f for f in day.findings if f.rule.startswith("probe.")]
