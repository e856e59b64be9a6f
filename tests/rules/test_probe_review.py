"""After a failed check: which readings since the last pass would not have been good without the probe's error?"""

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.support.cast import DAY, changed, entry, moment
from tests.support.story import (
    adopted,
    checked,
    found,
    hot_tray,
    loaded,
    no_display,
    on_day,
    out,
    probe_check,
    probed,
    read,
    told,
)


def reviewed(day):
    return {(f.subject.kind, f.subject.label) for f in found(day, "probe.review")}


# The failed check reads 3 °F too high (35 °F in ice): a reading of 165 °F may have been 162 °F.
@pytest.mark.parametrize(
    ("value", "unit", "touched"),
    [("165", "F", True), ("167.9", "F", True), ("168", "F", False), ("164", "F", False), ("74", "C", True)],
)
def test_a_reading_is_reviewed_where_taking_the_error_off_makes_good_bad(value, unit, touched):
    day = told([*loaded(), *probed(value, unit=unit), probe_check("35", "11:00")])
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
    day = told([*loaded(), *probed(value, unit=unit), probe_check(failed[0], "11:00", failed[1])])
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
    tray = [changed(e, probe="green") if e.kind == "cook_reading" else e for e in hot_tray()]
    day = told([*tray, *entries, probe_check(failed, "12:30")])
    assert reviewed(day) == ({subject} if subject else set())


def test_the_temperature_given_at_the_chilling_is_reviewed_too():
    warm = out("5", "11:00", "chilled", batch="A-B1", temperature="69", unit="F", probe="white")
    assert reviewed(told([*hot_tray(), warm, probe_check("29", "12:00", probe="white")])) == {("batch", "A-B1")}


def test_without_a_display_every_critical_reading_is_reviewed():
    day = told(
        [
            *hot_tray(),
            read("180", "11:00"),
            read("60", "11:10"),
            checked("38", "11:20", probe="blue"),
            no_display("12:00"),
        ]
    )
    assert reviewed(day) == {("spit", "A-L1/1"), ("tray", "A-T1")}


def test_only_readings_since_the_last_pass_are_reviewed():
    readings = [read("136", at) for at in ("10:50", "11:00", "11:10", "12:30")]
    day = told([*hot_tray(), probe_check(at="11:00"), *readings, probe_check("35", "12:00")])
    finding = found(day, "probe.review")[0]
    assert list(finding.entries[1:]) == [readings[1].id, readings[2].id]


def test_a_failed_check_ends_no_stretch():
    day = told(
        [
            *hot_tray(),
            probe_check(at="10:40"),
            read("136", "11:00"),
            probe_check("35", "12:00"),
            probe_check("35", "12:10"),
        ]
    )
    first, second = found(day, "probe.review")
    assert first.key != second.key
    assert first.entries[1:] == second.entries[1:]


def test_one_finding_a_subject_in_the_day_of_the_failed_check():
    night = [*hot_tray(), read("136", "23:00")]
    failed = probe_check("35", at=on_day("05:00", 1))
    assert not found(told([*night, failed], as_of=on_day("06:00", 1)), "probe.review")
    day = told([*night, failed], day=DAY + timedelta(days=1), as_of=on_day("06:00", 1))
    finding = found(day, "probe.review")[0]
    assert (finding.onset_at, finding.entries[0], finding.subject.name) == (on_day("05:00", 1), failed.id, "A-T1")
    assert finding.measured == {"probe": "blue", "readings": 1, "error": 3, "unit": "F"}
    assert (finding.verdict, finding.concerns) == ("not_shown", "critical_limit")


def test_a_reading_is_reviewed_by_the_plan_of_what_was_read():
    later = replace(adopted(hot_holding="145F/63C"), version=2, adopted_at=moment("10:50"))
    day = told([*hot_tray(), read("146", "11:00"), probe_check("35", "12:00")], plans=[adopted(), later])
    assert reviewed(day) == set()


def test_a_site_without_the_group_reviews_nothing():
    day = told([*hot_tray(), read("136", "11:00"), probe_check("35", "12:00")], plans=[adopted(controls="holding")])
    assert not [f for f in day.findings if f.rule.startswith("probe.")]
