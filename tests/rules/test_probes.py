"""A probe: is it true, was it checked in time, and what did it touch while it was wrong?

FDA Food Code 2022, 4-203.11: ±1 °C on a display that shows °C or both scales, ±2 °F on one that shows °F alone.
The cast has a dual-scale probe (blue), one in °F (white) and one in °C (green).
"""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from tests.support.cast import DAY, entry, moment, site_facts
from tests.support.story import (
    adopted,
    checked,
    found,
    loaded,
    no_display,
    on_day,
    probe_check,
    probed,
    read,
    told,
    verdict_of,
)


def view(*entries, **options):
    return told(entries, **options).probes[0]


# ---- accuracy --------------------------------------------------------------------------------------------------------


# FDA Food Code 2022, 4-203.11: a dual-scale probe that reads 33.9 °F in ice is 1.06 °C off and fails, one that shows
# °F alone passes; 30.0 °F passes there and 29.9 °F does not.
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
    assert str(view(probe_check(value, unit=unit, probe=probe)).verdict) == verdict


def test_a_failed_check_is_a_finding_with_its_error():
    failed = probe_check("29")
    finding = found(told([failed]), "probe.accuracy")[0]
    assert finding.key == f"probe.accuracy:probe:blue:{failed.id}"
    assert finding.measured == {"error": -3, "unit": "F", "temperature": 29, "reference": 32}
    assert (finding.verdict, finding.concerns) == ("not_met", "monitoring")
    assert finding.dispositions == ("take_probe_out_of_use", "hold_for_evaluation")


def test_each_failed_check_is_a_finding_of_its_own():
    assert (
        len(found(told([probe_check("29"), probe_check("29", "06:10"), probe_check("32", "06:20")]), "probe.accuracy"))
        == 2
    )


def test_a_probe_without_a_display_fails():
    day = told([no_display()])
    assert (verdict_of(day, "probe.accuracy"), day.probes[0].error, day.probes[0].unit) == ("not_met", None, None)


def test_adjusting_changes_nothing_until_a_check_passes():
    assert str(view(probe_check("29", adjusted=True)).verdict) == "not_met"
    assert str(view(probe_check("29", adjusted=True), probe_check("32", "06:05")).verdict) == "met"


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
    day = view(probe_check(value, unit=unit, method="comparison", reference_temperature=reference))
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
    assert str(view(probe_check(value, unit=unit, method="boiling_point", **where)).verdict) == verdict


def test_without_its_own_the_sites_altitude_counts():
    high = replace(site_facts(), altitude_m=Decimal(1609))
    boiling = probe_check("202", method="boiling_point")
    assert str(view(boiling, site=high).verdict) == "met"
    own = probe_check("202", method="boiling_point", altitude_m="0")
    assert str(view(own, site=high).verdict) == "not_met"


def test_the_tolerance_is_the_sites_to_tighten():
    plans = [adopted(probe_tolerance_c="0.5", probe_tolerance_f="1")]
    assert str(view(probe_check("33", unit="F"), plans=plans).verdict) == "not_met"
    assert str(view(probe_check("33", unit="F", probe="white"), plans=plans).verdict) == "met"


def test_the_view_shows_the_last_check_and_the_next_one_due():
    passed, failed = view(probe_check("32.4")), view(probe_check("32.4"), probe_check("29", "07:00"))
    assert (passed.error, passed.unit, passed.due_at) == (Decimal("0.4"), "F", moment("06:00") + timedelta(hours=24))
    assert (failed.error, failed.due_at) == (-3, moment("07:00"))


def test_a_probe_that_was_never_checked_shows_so():
    probe = view(read("150", "11:00"))
    assert (str(probe.verdict), probe.error, probe.due_at) == ("not_shown", None, None)


# ---- a check in time -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("at", "reading", "verdict"),
    [
        (on_day("06:00"), on_day("23:00"), "none"),
        (on_day("11:00"), on_day("11:00"), "none"),
        (on_day("11:01"), on_day("11:00"), "not_shown"),
        (on_day("11:00", -1), on_day("11:00"), "none"),
        (on_day("10:59:59", -1), on_day("11:00"), "not_shown"),
        (on_day("04:00"), on_day("03:59", 1), "none"),
        (on_day("03:59"), on_day("04:00"), "none"),
        (on_day("03:59"), on_day("04:00", 1), "not_shown"),
    ],
)
def test_a_reading_needs_a_passing_check_of_its_business_day_or_of_the_24_hours_before(at, reading, verdict):
    probing = entry("hold_reading", at=reading)
    days = [told([probe_check(at=at), probing], day=DAY + timedelta(days=n), as_of=on_day("04:00", 2)) for n in (0, 1)]
    assert [f.verdict for day in days for f in found(day, "probe.check_due")] == [verdict] * (verdict != "none")


def test_a_failed_check_is_no_check():
    assert verdict_of(told([probe_check("29"), *probed("170")]), "probe.check_due") == "not_shown"


def test_readings_without_a_check_are_told_once_a_probe_and_day():
    readings = [*probed("170", "171"), *probed("170", probe="green", at="10:40")]
    day = told([*loaded(), *readings])
    blue, green = found(day, "probe.check_due")
    assert (blue.subject.name, blue.entries) == ("blue", tuple(reading.id for reading in readings[:2]))
    assert (green.subject.name, green.concerns) == ("green", "monitoring")


def test_a_check_made_between_two_readings_cures_the_second_alone():
    first, second = probed("170", at="10:30")[0], probed("170", at="10:50")[0]
    finding = found(told([*loaded(), first, probe_check(at="10:40"), second]), "probe.check_due")[0]
    assert finding.entries == (first.id,)


def test_of_readings_of_one_moment_the_first_written_opens_the_gap():
    """Also where it was read in a tray that was filled at that very moment."""
    first, second = read("140", "10:36"), entry("cook_reading", at="10:36", seq=91)
    pulled = entry("spit_pulled", at="10:36", seq=92)
    gap = found(told([*loaded(), replace(first, seq=90, root_seq=90), second, pulled]), "probe.check_due")[0]
    assert gap.entries == (first.root, second.root)


def test_a_reading_without_a_probe_needs_no_check():
    assert not found(told([checked("38", "10:00")]), "probe.check_due")


# ---- out of use ------------------------------------------------------------------------------------------------------


def test_a_reading_after_a_failed_check_and_before_the_next_pass():
    used = [read("150", at) for at in ("11:00", "12:00", "13:00")]
    day = told([probe_check(), used[0], probe_check("29", "11:30"), used[1], probe_check("32", "12:30"), used[2]])
    finding = found(day, "probe.out_of_use")[0]
    assert (finding.entries, finding.onset_at) == ((used[1].id,), moment("12:00"))
    assert (finding.verdict, finding.subject.name) == ("not_shown", "blue")


def test_use_is_told_once_a_day_until_the_next_pass():
    used = [read("150", "11:00"), read("150", "12:00"), entry("hold_reading", at=on_day("05:00", 1))]
    both = [told([no_display("10:00"), *used], day=DAY + timedelta(days=n), as_of=on_day("06:00", 1)) for n in (0, 1)]
    assert [f.entries for day in both for f in found(day, "probe.out_of_use")] == [
        (used[0].id, used[1].id),
        (used[2].id,),
    ]


def test_another_probe_is_not_out_of_use():
    assert not found(
        told([probe_check("29", "10:00"), entry("hold_reading", at="11:00", probe="green")]), "probe.out_of_use"
    )
