"""Hot holding at the very moment: who sets a check due, when a run ends, and what is not the tray's any more."""

import pytest

from app.rules.plans import plan
from tests.support.cast import OPENED, entry, moment
from tests.support.story import adopted, checked, found, hot_tray, out, read, told, verdict_of

NAMED = [adopted(time_control_procedure="TC-1")]
UK = [plan.Adopted(1, "england_2013", (), "pat", OPENED)]


def tray(entries, **options):
    return told(entries, **options).trays[0]


# ---- checks due: filled at 10:35, so due at 12:05 --------------------------------------------------------------------


def test_a_reading_seen_before_the_filling_sets_no_check_due():
    """Clocks may differ by two minutes: it counts, but the time to the next check begins with the filling."""
    assert tray([*hot_tray(), read("140", "10:34")], as_of="11:00").check_due_at == moment("12:05")


def test_where_a_tray_is_read_in_the_instant_it_is_filled_the_filling_sets_the_check_due():
    *_, pull = hot = hot_tray()
    finding = found(told([*hot, read("140", "10:35")], as_of="12:30"), "hold.check_interval")[0]
    assert finding.entries == (pull.id,)


def test_what_is_read_after_a_tray_was_emptied_answers_no_check():
    emptied_in_time = [*hot_tray(), out("5", "12:10"), read("140", "13:00")]
    assert verdict_of(told(emptied_in_time), "hold.check_interval") == "none"
    emptied_late = [*hot_tray(), out("5", "12:30"), read("140", "13:00")]
    assert found(told(emptied_late), "hold.check_interval")[0].ended_at == moment("12:30")


def test_nor_does_what_is_read_after_time_as_the_control_started():
    start = [read("140", "12:00"), entry("time_control_started", at="12:10"), read("140", "14:30")]
    assert verdict_of(told([*hot_tray(), *start], plans=NAMED), "hold.check_interval") == "none"


def outage(out_at, back_at, code="pass"):
    return [entry("equipment_out", at=out_at, code=code), entry("equipment_back", at=back_at, code=code)]


@pytest.mark.parametrize(
    ("back_at", "due"),
    [("11:00", "12:30"), ("11:00:01", "11:00:01"), ("12:29:59", "12:29:59"), ("12:30:01", "12:30")],
    ids=["as it is read: that answers it", "after the reading", "before it is due", "when it was due already"],
)
def test_a_unit_that_comes_back_between_a_reading_and_its_next_asks_for_it_at_once(back_at, due):
    story = [*hot_tray(), read("140", "11:00"), *outage("10:50", back_at)]
    assert tray(story, as_of="12:40").check_due_at == moment(due)


def test_where_a_unit_comes_back_when_the_check_is_due_anyway_the_reading_set_it():
    good = read("140", "11:00")
    story = [*hot_tray(), good, *outage("10:50", "12:30")]
    assert found(told(story, as_of="13:00"), "hold.check_interval")[0].entries == (good.id,)


def test_a_unit_that_was_back_before_the_tray_was_filled_can_be_out_again():
    story = [*hot_tray(), *outage("08:00", "08:30"), *outage("10:50", "11:10")]
    assert tray(story, as_of="11:12").check_due_at == moment("11:10")


def test_a_unit_that_the_tray_does_not_stand_in_asks_for_nothing():
    assert tray([*hot_tray(), *outage("10:50", "11:10", "cabinet")], as_of="11:12").check_due_at == moment("12:05")


# ---- low readings ----------------------------------------------------------------------------------------------------


def test_a_second_run_of_several_low_readings_is_one_finding():
    runs = [read("130", "11:00"), read("140", "11:10"), read("130", "11:30"), read("131", "11:40")]
    assert [len(f.entries) for f in found(told([*hot_tray(), *runs], as_of="11:50"), "hold.temperature")] == [1, 2]


def test_a_low_run_ends_when_the_tray_is_empty():
    day = told([*hot_tray(), read("130", "11:00"), out("5", "11:20", "discarded")], as_of="12:00")
    finding = found(day, "hold.temperature")[0]
    assert (finding.ended_at, finding.measured["out_s"]) == (moment("11:20"), 50 * 60)


def test_a_low_reading_after_the_tray_was_emptied_is_not_its_own():
    day = told([*hot_tray(), out("5", "11:20"), read("90", "11:30")], as_of="12:00")
    assert (day.trays[0].out_of_temperature_s, verdict_of(day, "hold.temperature")) == (0, "none")


def test_nor_is_one_after_it_was_taken_out_of_temperature_control():
    start = [read("140", "11:00"), entry("time_control_started", at="11:10"), read("90", "12:00")]
    assert tray([*hot_tray(), *start], as_of="12:10", plans=NAMED).out_of_temperature_s == 0


def test_a_low_reading_before_it_was_emptied_in_part_counts_until_the_last_bird_left():
    story = [*hot_tray(), out("2", "11:20"), read("130", "11:30"), out("3", "12:00", "discarded")]
    assert tray(story, as_of="13:00").out_of_temperature_s == 90 * 60


# ---- four hours, counted from 10:30 ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("as_of", "verdict"), [("14:29:59", "none"), ("14:30", "not_met")])
def test_four_hours_are_reached_at_the_moment(as_of, verdict):
    assert verdict_of(told([*hot_tray(), read("130", "11:00")], as_of=as_of), "hold.time_out") == verdict


@pytest.mark.parametrize("good_at", ["14:30", "15:00"])
def test_a_good_reading_at_four_hours_or_later_does_not_undo_them(good_at):
    """The finding is opened by the first low reading of the run, at the moment the sum was reached."""
    first = read("130", "11:00")
    story = [*hot_tray(), first, read("131", "12:00"), read("140", good_at)]
    finding = found(told(story, as_of="15:10"), "hold.time_out")[0]
    assert (finding.onset_at, finding.entries) == (moment("14:30"), (first.id,))


def test_four_hours_add_up_over_two_runs():
    """An hour from 10:30 to 11:30; the second run counts from 11:30, so that its three hours are over at 14:30."""
    story = [*hot_tray(), read("130", "11:00"), read("140", "11:30"), read("130", "12:00")]
    assert found(told(story, as_of="15:00"), "hold.time_out")[0].onset_at == moment("14:30")


def test_a_reading_in_hindsight_counts_from_the_good_one_before_it():
    """Good at 11:00 and low at 15:30: what nobody read between counts, and four hours were over at 15:00."""
    late = read("130", "15:30")
    finding = found(told([*hot_tray(), read("140", "11:00"), late], as_of="15:31"), "hold.time_out")[0]
    assert (finding.onset_at, finding.entries) == (moment("15:00"), (late.id,))


@pytest.mark.parametrize(
    "then",
    [[out("5", "15:10", "discarded")], [read("140", "15:05"), entry("time_control_started", at="15:10")]],
    ids=["emptied", "held by time alone"],
)
def test_so_it_does_whatever_became_of_the_tray_soon_after(then):
    day = told([*hot_tray(), read("130", "15:00"), *then], plans=NAMED)
    assert found(day, "hold.time_out")[0].onset_at == moment("14:30")


def test_and_for_what_left_before_that_reading_was_taken():
    """Known hot at 10:30, donated at 13:00, and the rest read low at 13:10: that bird was out for 2 h 30 min."""
    story = [*hot_tray(), donated := out("1", "13:00", "donated"), read("130", "13:10"), out("4", "13:20", "discarded")]
    finding = found(told(story), "hold.disposition")[0]
    assert (finding.entries, finding.measured["out_s"]) == ((donated.id,), 150 * 60)


def test_past_four_hours_it_can_only_be_thrown_away():
    """Also where a plan allows serving it at once from two hours on."""
    finding = found(told([*hot_tray(), read("130", "11:00")], as_of="15:00", plans=NAMED), "hold.time_out")[0]
    assert finding.dispositions == ("discard", "already_out")


def test_nothing_that_is_written_about_an_emptied_tray_lets_its_time_run_on():
    """Emptied a second before four hours; a reading and a start were written down for it afterwards."""
    stray = [read("140", "14:35"), entry("time_control_started", at="14:40")]
    story = [*hot_tray(), read("130", "11:00"), out("5", "14:29:59", "discarded"), *stray]
    assert verdict_of(told(story, plans=NAMED), "hold.time_out") == "none"


# ---- ways out --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("at", "limit"), [("13:00", "band_reheat_min"), ("14:40", "band_discard_min")])
def test_a_way_out_that_its_band_forbids_carries_the_source_of_that_band(at, limit):
    """The site set the first limit itself, stricter than its plan; the second is the plan's."""
    stricter = [adopted(band_reheat_min="90", time_control_procedure="TC-1")]
    day = told([*hot_tray(), read("130", "11:00"), out("1", at, "donated")], as_of="15:00", plans=stricter)
    sources = {name: day.plan.source(name) for name in ("band_reheat_min", "band_discard_min")}
    assert found(day, "hold.disposition")[0].source == sources.pop(limit)
    assert found(day, "hold.disposition")[0].source not in sources.values()


def test_a_way_out_before_time_as_the_control_is_held_to_its_band():
    """Out from 10:30 to 12:45: past two hours it may not be chilled; the start at 12:55 makes nothing of that good."""
    chilled = out("1", "12:50", "chilled", batch="A-B1")
    story = [*hot_tray(), read("130", "11:00"), read("140", "12:45"), chilled]
    day = told([*story, entry("time_control_started", at="12:55")], as_of="13:00", plans=NAMED)
    assert [f.entries[0] for f in found(day, "hold.disposition")] == [chilled.id]


def test_a_way_out_after_it_is_held_to_time_as_the_control_alone():
    story = [*hot_tray(), read("130", "11:00"), read("140", "12:45"), entry("time_control_started", at="12:46")]
    day = told([*story, out("1", "12:50", "chilled", batch="A-B1")], as_of="13:00", plans=NAMED)
    assert (verdict_of(day, "hold.disposition"), verdict_of(day, "time_control.returned")) == ("none", "not_met")


def test_out_again_under_a_code_of_one_time_it_is_in_the_last_band():
    """SI 2013/2996, Schedule 4, paragraph 7(2)(b)."""
    twice = [read("60", "10:50", "C"), read("64", "11:00", "C"), read("60", "11:30", "C"), out("1", "11:40")]
    finding = found(told([*hot_tray(), *twice], as_of="11:50", plans=UK), "hold.disposition")[0]
    assert finding.measured["time_band"] == "from_4h"


# ---- the air of a unit -----------------------------------------------------------------------------------------------


def test_only_a_hot_unit_is_held_to_the_holding_limit():
    """A cold unit is cold, and what is not listed at all is no unit."""
    cold, unknown = checked("38", "11:00"), checked("38", "11:00", code="elsewhere")
    assert not found(told([cold, unknown], as_of="12:00"), "hold.unit")


@pytest.mark.parametrize("first", [checked("38", "10:00"), checked("140", "10:00", code="pass")], ids=["cold", "hot"])
def test_a_check_that_is_right_hides_no_later_one(first):
    low = checked("128", "11:00", code="pass")
    assert found(told([first, low], as_of="12:00"), "hold.unit")[0].entries == (low.id,)
