"""Time as the control: the start, the mark, the procedure, the discard time, and what may become of the birds.

FDA Food Code 2022, 3-501.19(B): up to 4 hours, from 135 °F (57 °C) or more, marked, with a written procedure.
"""

import pytest

from app.rules.meaning.holding import start_bar
from app.rules.plans import plan
from tests.support.cast import OPENED, entry, moment
from tests.support.story import adopted, found, hot_tray, out, probed, read, told, verdict_of
from tests.support.time_control import NAMED, started


def controlled(*entries, as_of="20:00", temperature="136", marked="15:30"):
    """A hot tray read at 11:30 and put under time as the control at that moment."""
    start = started(marked_discard_by=moment(marked)) if marked else started()
    return told([*hot_tray(), read(temperature, "11:30"), start, *entries], as_of=as_of, plans=NAMED)


def test_a_tray_rightly_started_marked_and_emptied_in_time_shows_nothing():
    day = controlled(out("5", "15:29"))
    assert not [finding for finding in day.findings if finding.rule.startswith("time_control")]
    assert day.trays[0].verdict == "met"


def test_four_hours_later_the_tray_must_be_empty():
    tray = controlled(as_of="12:00").trays[0]
    assert (tray.discard_at, tray.check_due_at, tray.verdict) == (moment("15:30"), None, "pending")
    assert tray.ways_out == ("served", "discarded")


# FDA Food Code 2022, 3-501.19(B): out of hot holding at 11:30, marked 15:30; sold at 15:31 is recorded and not met.
@pytest.mark.parametrize(("emptied", "verdict"), [("15:30", "none"), ("15:30:00.001", "not_met"), ("15:31", "not_met")])
def test_out_at_four_hours_exactly_is_in_time(emptied, verdict):
    assert verdict_of(controlled(out("5", emptied)), "time_control.discard") == verdict


@pytest.mark.parametrize(("as_of", "verdict"), [("15:30", "none"), ("15:30:01", "not_met")])
def test_a_tray_not_emptied_is_over_time_after_the_moment(as_of, verdict):
    day = controlled(as_of=as_of)
    assert verdict_of(day, "time_control.discard") == verdict
    assert all(finding.onset_at == moment("15:30") for finding in found(day, "time_control.discard"))


def test_half_a_tray_out_in_time_leaves_the_other_half_over_time():
    finding = found(controlled(out("3", "14:00"), out("2", "15:45", "discarded")), "time_control.discard")[0]
    assert (finding.verdict, finding.ended_at, finding.measured["over_s"]) == ("not_met", moment("15:45"), 15 * 60)


def test_the_sum_that_the_tray_has_already_is_taken_off():
    """40 min under the limit before the start, from 10:30 to 11:10."""
    day = [*hot_tray(), read("130", "11:00"), read("140", "11:10"), read("140", "11:30"), started()]
    tray = told(day, as_of="14:50", plans=NAMED).trays[0]
    assert (tray.discard_at, tray.out_of_temperature_s) == (moment("14:50"), 40 * 60)
    assert verdict_of(told(day, as_of="14:50:01", plans=NAMED), "time_control.discard") == "not_met"


# FDA Food Code 2022, 3-501.19(B)(1): out at 133 °F cannot start.
@pytest.mark.parametrize(
    ("temperature", "unit", "at", "verdict"),
    [
        ("135", "F", "11:30", "none"),
        ("134.9", "F", "11:30", "not_met"),
        ("133", "F", "11:30", "not_met"),
        ("57", "C", "11:30", "none"),
        ("56.9", "C", "11:30", "not_met"),
        ("135", "F", "11:15", "none"),
        ("135", "F", "11:14:59", "not_shown"),
        ("133", "F", "11:14:59", "not_shown"),
    ],
)
def test_the_last_reading_before_the_start_is_hot_and_at_most_15_minutes_old(temperature, unit, at, verdict):
    day = [*hot_tray(), read(temperature, at, unit), started(marked_discard_by=moment("12:00"))]
    assert verdict_of(told(day, as_of="11:40", plans=NAMED), "time_control.start") == verdict


def test_the_last_of_several_readings_counts():
    day = told([*hot_tray(), read("133", "11:20"), read("136", "11:25"), started()], as_of="11:40", plans=NAMED)
    assert verdict_of(day, "time_control.start") == "none"


def test_a_reading_after_the_start_shows_nothing_about_it():
    day = told([*hot_tray(), started(), read("140", "11:31")], as_of="11:40", plans=NAMED)
    assert verdict_of(day, "time_control.start") == "not_shown"


def test_the_plan_names_a_written_procedure():
    entries = [*hot_tray(), read("140", "11:30"), started()]
    assert verdict_of(told(entries, as_of="11:40"), "time_control.procedure") == "not_shown"
    assert verdict_of(told(entries, as_of="11:40", plans=NAMED), "time_control.procedure") == "none"


@pytest.mark.parametrize(
    ("marked", "verdict"), [(None, "not_shown"), ("15:30", "none"), ("15:30:01", "not_met"), ("15:00", "none")]
)
def test_the_label_says_no_later_than_the_computed_time(marked, verdict):
    day = controlled(marked=marked, as_of="12:00")
    assert verdict_of(day, "time_control.mark") == verdict


@pytest.mark.parametrize(
    ("to", "fields", "verdict"),
    [
        ("served", {}, "none"),
        ("prepared", {}, "not_met"),
        ("donated", {}, "not_met"),
        ("discarded", {}, "none"),
        ("chilled", {"batch": "A-B1"}, "not_met"),
        ("reheated", {"reheat": "A-R1"}, "not_met"),
        ("other_tray", {"into": "A-T2"}, "not_met"),
        ("returned_to_oven", {"load": "A-L1", "spit": 2}, "not_met"),
    ],
)
def test_birds_never_go_back_under_temperature_control(to, fields, verdict):
    day = controlled(out("1", "12:00", to, **fields), as_of="12:01")
    assert verdict_of(day, "time_control.returned") == verdict
    assert verdict_of(day, "hold.disposition") == "none"


def test_what_went_out_before_the_start_did_not_come_back_from_it():
    chilled = out("1", "11:00", "chilled", batch="A-B1")
    day = told([*hot_tray(), chilled, read("140", "11:30"), started()], as_of="12:00", plans=NAMED)
    assert verdict_of(day, "time_control.returned") == "none"


def test_each_way_out_that_is_not_allowed_is_a_finding_of_its_own():
    day = controlled(*(out("1", at, "chilled", batch="A-B1") for at in ("12:00", "12:10")), as_of="12:20")
    assert len({finding.key for finding in found(day, "time_control.returned")}) == 2


def test_after_the_start_readings_raise_nothing_and_none_is_due():
    day = controlled(read("90", "13:00"), as_of="15:00")
    assert verdict_of(day, "hold.temperature") == "none"
    assert verdict_of(day, "hold.check_interval") == "none"
    assert day.trays[0].out_of_temperature_s == 0


def test_a_check_missed_before_the_start_stays_missed():
    day = told([*hot_tray(), read("140", "12:30"), started("12:30")], as_of="13:00", plans=NAMED)
    assert found(day, "hold.check_interval")[0].ended_at == moment("12:30")


def test_the_sum_stands_still_from_a_start_that_is_met():
    entries = [*hot_tray(), read("130", "11:00"), read("136", "11:30"), started("11:30"), read("90", "13:00")]
    tray = told(entries, as_of="14:20", plans=NAMED).trays[0]
    assert (tray.out_of_temperature_s, tray.discard_at) == (60 * 60, moment("14:30"))


def test_what_may_become_of_it_is_plan_data():
    ways = [adopted(time_control_procedure="TC-1", time_control_ways="served")]
    entries = [
        *hot_tray(),
        read("140", "11:30"),
        started(),
        out("1", "11:40", "discarded"),
        out("1", "11:50", "donated"),
    ]
    finding = found(told(entries, as_of="12:00", plans=ways), "time_control.returned")[0]
    assert (finding.measured["to"], finding.limit) == ("donated", {"ways_out": ["served", "discarded"]})


@pytest.mark.parametrize(
    ("code", "paragraph"),
    [
        ("us_food_code_2013", "2013, 3-501.19(B)(2)"),
        ("us_food_code_2017", "2017, 3-501.19(B)(2)"),
        ("us_food_code_2022", "2022, 3-501.19(B)(3)"),
    ],
)
def test_the_mark_is_cited_by_the_paragraph_of_its_own_edition(code, paragraph):
    entries = [*hot_tray(), read("140", "11:30"), started()]
    day = told(entries, as_of="11:40", plans=[plan.Adopted(1, code, (), "pat", OPENED)])
    assert found(day, "time_control.mark")[0].source == f"FDA Food Code {paragraph}"


def test_birds_added_take_the_discard_time():
    more = [entry("load_started", at="12:00", load="A-L2"), entry("spit_loaded", at="12:00", load="A-L2")]
    more += [*probed("170", "171", at="13:00", load="A-L2"), entry("spit_pulled", at="13:05", load="A-L2")]
    tray = controlled(*more, as_of="13:10").trays[0]
    assert (tray.birds_left, tray.discard_at) == (10, moment("15:30"))


def test_a_second_start_changes_nothing():
    day = controlled(started("13:00", marked_discard_by=moment("17:00")), as_of="13:10")
    assert day.trays[0].discard_at == moment("15:30")
    assert verdict_of(day, "time_control.mark") == "none"


def test_what_is_wrong_with_a_start_is_told_once_each_at_the_start():
    start = started()
    day = told([*hot_tray(), start], as_of="11:40")
    rules = [f for f in day.findings if f.rule.startswith("time_control")]
    assert {f.rule for f in rules} == {f"time_control.{what}" for what in ("start", "mark", "procedure")}
    assert {(f.entries[0], f.onset_at, f.concerns) for f in rules} == {(start.id, moment("11:30"), "monitoring")}


def test_a_site_without_the_group_finds_nothing():
    day = told([*hot_tray(), started()], as_of="20:00", plans=[adopted(controls="cooking")])
    assert not [f for f in day.findings if f.rule.startswith("time_control")]


def test_of_several_readings_the_last_is_what_its_finding_rests_on():
    hot, low, start = read("136", "11:20"), read("133", "11:25"), started()
    finding = found(told([*hot_tray(), hot, low, start], as_of="11:40", plans=NAMED), "time_control.start")[0]
    assert (finding.entries, finding.measured["temperature"]) == ((start.id, low.id), 133)


@pytest.mark.parametrize(
    ("readings", "at", "bar"),
    [
        ([("135", "10:45")], "11:00", None),
        ([("135", "10:45")], "11:00:00.001", "not_read"),
        ([("134.9", "10:50")], "11:00", "under"),
        ([("134.9", "10:50"), ("135", "10:55")], "11:00", None),
        ([("57", "10:50", "C")], "11:00", None),
        ([("56.9", "10:50", "C")], "11:00", "under"),
    ],
)
def test_what_bars_a_start_is_what_would_fail_it(readings, at, bar):
    """Food Code 3-501.19(B)(1), and the house's quarter of an hour: asked before a start as it is judged after one."""
    story = [*hot_tray(), *(read(value, seen, *unit) for value, seen, *unit in readings)]
    assert start_bar(told(story, as_of=at).trays[0], moment(at)) == bar
    judged = verdict_of(told([*story, entry("time_control_started", at=at)], as_of="11:30"), "time_control.start")
    assert judged == {None: "none", "not_read": "not_shown", "under": "not_met"}[bar]


@pytest.mark.parametrize(
    ("more", "bar"),
    [
        ([out("5", "10:55")], "empty"),
        ([entry("time_control_started", at="10:55")], "started"),
        ([read("130", "10:40"), read("130", "14:50")], "set_aside"),
    ],
)
def test_what_else_bars_a_start(more, bar):
    as_of = "14:55" if bar == "set_aside" else "11:00"
    assert start_bar(told([*hot_tray(), read("150", "10:50"), *more], as_of=as_of).trays[0], moment(as_of)) == bar


def test_a_plan_without_the_group_has_no_start():
    story = [*hot_tray(), read("150", "10:50")]
    shown = told(story, as_of="11:00", plans=[adopted(controls="cooking,holding")]).trays[0]
    assert start_bar(shown, moment("11:00")) == "not_in_force"
