"""Birds of several origins in one tray, batch or reheat: each brings its own time along, and the worst of them counts.

What is filled from several has the largest sum brought in, was last known hot at the earliest of their moments, and is
dated by the first of its birds that were cooked (FDA Food Code 2022, 3-501.17(A): day 1 is the day of preparation).
"""

import pytest

from app.rules.plans import plan
from tests.support.cast import DAY, OPENED, entry, minutes, moment
from tests.support.story import adopted, found, hot_tray, loaded, on_day, out, read, told, verdict_of

NAMED = [adopted(time_control_procedure="TC-1")]
UK = [plan.Adopted(1, "england_2013", (), "pat", OPENED)]
HOUR = 60 * 60


def tray(day, name):
    return next(view for view in day.trays if view.tray == name)


def batch(day, name):
    return next(view for view in day.batches if view.batch == name)


def into(target, at, source="A-T1", birds="2"):
    return out(birds, at, "other_tray", source, into=target)


def chilled(at, source="A-T1", birds="5", batch="A-B1"):
    return out(birds, at, "chilled", source, batch=batch)


def reheated(*, of="A-B1", into="A-T2", at="13:00", birds="5", reheat="A-R1"):
    """A good reheat that takes 35 minutes."""
    start = moment(at)
    return [
        entry("reheat_started", at=start, batch=of, birds=birds, reheat=reheat),
        entry("reheat_reading", at=start + minutes(30), temperature="170", reheat=reheat),
        entry("reheat_done", at=start + minutes(35), birds=birds, reheat=reheat, tray=into),
    ]


# ---- the tray that they are in ---------------------------------------------------------------------------------------

SECOND_SPIT = hot_tray(load="A-L2", probed_at="11:00", pulled="11:05")
"""Into the same tray half an hour after the first."""


def test_a_tray_is_known_hot_only_where_all_that_is_in_it_is():
    unread = [*loaded(load="A-L2"), entry("spit_pulled", at="11:05", load="A-L2")]
    assert tray(told([*hot_tray(), *unread], as_of="11:10"), "A-T1").known_hot_at is None


def test_a_low_run_began_where_the_first_of_the_birds_were_last_known_hot():
    finding = found(told([*hot_tray(), *SECOND_SPIT, read("130", "11:30")], as_of="11:31"), "hold.temperature")[0]
    assert finding.measured["since"] == moment("10:30")


def test_a_batch_of_them_cools_from_where_the_first_were_last_known_hot():
    day = told([*hot_tray(), *SECOND_SPIT, chilled("11:10", birds="10")], as_of="11:20")
    assert day.batches[0].started_at == moment("10:30")


# ---- four hours are reached by the first of them ---------------------------------------------------------------------

SINCE_1030 = [*hot_tray(), read("130", "11:00")]
SINCE_1050 = [*hot_tray(load="A-L2", tray="A-T2", probed_at="10:50", pulled="10:55"), read("130", "11:05", tray="A-T2")]
EARLIER, LATER = into("A-T3", "11:10"), into("A-T3", "11:20", "A-T2")
LATER_FIRST = [into("A-T3", "11:10", "A-T2"), into("A-T3", "11:20")]


@pytest.mark.parametrize("moves", [[EARLIER, LATER], LATER_FIRST], ids=["filled first", "filled last"])
def test_four_hours_are_reached_by_the_birds_that_were_out_longest(moves):
    longest = next(move for move in moves if move.tray == "A-T1")
    day = told([*SINCE_1030, *SINCE_1050, *moves], as_of="15:00")
    finding = next(f for f in found(day, "hold.time_out") if f.subject.name == "A-T3")
    assert (finding.onset_at, finding.entries) == (moment("14:30"), (longest.id,))


def test_of_birds_that_reach_it_together_the_first_filling_opens_the_finding():
    first, second = into("A-T2", "11:10"), into("A-T2", "11:20")
    day = told([*SINCE_1030, first, second], as_of="15:00")
    finding = next(f for f in found(day, "hold.time_out") if f.subject.name == "A-T2")
    assert (finding.onset_at, finding.entries) == (moment("14:30"), (first.id,))


def test_birds_that_are_hot_do_not_hide_those_that_reach_it_beside_them():
    hot = hot_tray(load="A-L3", tray="A-T3", probed_at="11:00", pulled="11:05")
    finding = next(
        f for f in found(told([*SINCE_1030, *hot, EARLIER], as_of="15:00"), "hold.time_out") if f.subject.name == "A-T3"
    )
    assert (finding.onset_at, finding.entries) == (moment("14:30"), (EARLIER.id,))


def test_a_reading_of_long_ago_does_not_open_what_a_later_filling_brought():
    hot_again = [read("130", "11:05", tray="A-T3"), read("140", "11:10", tray="A-T3")]
    hot = [*hot_tray(load="A-L3", tray="A-T3", probed_at="11:00", pulled="11:02"), *hot_again]
    day = told([*SINCE_1030, *hot, LATER_FILLING := into("A-T3", "11:20")], as_of="15:00")
    finding = next(f for f in found(day, "hold.time_out") if f.subject.name == "A-T3")
    assert finding.entries == (LATER_FILLING.id,)


# ---- the sum that they bring -----------------------------------------------------------------------------------------

OUT_40_MIN = [*hot_tray(), read("130", "11:00"), read("140", "11:10")]
NEVER_OUT = hot_tray(load="A-L2", tray="A-T2", probed_at="11:00", pulled="11:05")
CHILLED = [chilled("11:20"), chilled("11:30", "A-T2")]
CHILLED_LAST = [chilled("11:20", "A-T2"), chilled("11:30")]


@pytest.mark.parametrize("chilling", [CHILLED, CHILLED_LAST], ids=["chilled first", "chilled last"])
def test_a_batch_of_two_trays_takes_the_larger_sum_into_the_tray_it_is_reheated_for(chilling):
    day = told([*OUT_40_MIN, *NEVER_OUT, *chilling, *reheated(into="A-T3")], as_of="13:40")
    assert tray(day, "A-T3").out_of_temperature_s == 40 * 60


@pytest.mark.parametrize(("before", "sum_min"), [("11:00", 60), ("10:40", 40)], ids=["the larger", "the smaller"])
def test_birds_added_under_time_as_the_control_bring_their_sum(before, sum_min):
    """The tray has 40 minutes when its time starts; the birds added have been out for 60, or for less."""
    start = [read("140", "11:20"), entry("time_control_started", at="11:20")]
    others = [
        *hot_tray(load="A-L2", tray="A-T2", probed_at="10:20", pulled="10:25"),
        read("130", "10:35", tray="A-T2"),
        read("140", "11:20" if before == "11:00" else "10:40", tray="A-T2"),
    ]
    day = told([*OUT_40_MIN, *start, *others, into("A-T1", "11:30", "A-T2")], as_of="11:40", plans=NAMED)
    assert tray(day, "A-T1").out_of_temperature_s == sum_min * 60


def test_birds_that_pass_four_hours_between_the_reading_and_the_start_are_told():
    """The reading at 14:20 is good, and what was filled in after it was out since 10:30."""
    hot = hot_tray(load="A-L2", tray="A-T2", probed_at="14:00", pulled="14:05")
    start = [read("140", "14:20", tray="A-T2"), entry("time_control_started", at="14:35", tray="A-T2")]
    day = told([*SINCE_1030, *hot, *start, into("A-T2", "14:25")], as_of="15:00", plans=NAMED)
    finding = next(f for f in found(day, "hold.time_out") if f.subject.name == "A-T2")
    assert finding.onset_at == moment("14:30")


@pytest.mark.parametrize(("until", "onset"), [("14:29:59", None), ("14:30", "14:40"), ("15:00", "14:40")])
def test_a_sum_of_four_hours_that_ended_before_is_over_in_the_next_tray_from_its_filling_on(until, onset):
    day = told([*hot_tray(), read("130", "11:00"), read("140", until), into("A-T2", "14:40")], as_of="15:10")
    told_of = [f.onset_at for f in found(day, "hold.time_out") if f.subject.name == "A-T2"]
    assert told_of == ([moment(onset)] if onset else [])


# ---- the day that they were cooked -----------------------------------------------------------------------------------


def from_yesterday(*, into="A-T1"):
    """Cooked and chilled the day before, reheated until 9:35."""
    before = hot_tray(load="A-L0", tray="A-T0", probed_at=on_day("10:30", -1), pulled=on_day("10:35", -1))
    cooled = chilled(on_day("10:40", -1), "A-T0", batch="A-B0")
    return [*before, cooled, *reheated(of="A-B0", into=into, at="09:00", reheat="A-R0")]


def use_by(*entries, name="A-B1", plans=None):
    return batch(told([*from_yesterday(), *entries], plans=plans), name).use_by


TODAY = DAY + 6 * minutes(24 * 60)


def test_birds_chilled_again_keep_the_date_of_their_cooking():
    assert use_by(chilled("10:00")) == TODAY - minutes(24 * 60)
    assert batch(told([*hot_tray(), chilled("11:00")]), "A-B1").use_by == TODAY


def test_what_is_chilled_from_a_tray_of_two_days_is_dated_by_the_first():
    assert use_by(*hot_tray(), chilled("10:50", birds="10")) == TODAY - minutes(24 * 60)


def test_so_it_is_after_a_good_reading():
    assert use_by(*hot_tray(), read("140", "10:45"), chilled("10:50", birds="10")) == TODAY - minutes(24 * 60)


def test_so_it_is_out_of_time_as_the_control():
    start = [read("140", "10:00"), entry("time_control_started", at="10:00")]
    moved = into("A-T2", "10:50", birds="10")
    again = chilled("10:55", "A-T2", "10")
    assert use_by(*start, *hot_tray(), moved, again, plans=NAMED) == TODAY - minutes(24 * 60)


@pytest.mark.parametrize("order", [("10:45", "10:50"), ("10:50", "10:45")], ids=["chilled first", "chilled last"])
def test_so_is_what_is_reheated_from_a_batch_of_two_days_and_chilled_again(order):
    old, new = order
    fresh = hot_tray(tray="A-T9")
    both = [
        chilled(old),
        chilled(new, "A-T9"),
        *reheated(at="11:00", birds="10"),
        chilled("12:00", "A-T2", "10", "A-B2"),
    ]
    assert use_by(*fresh, *both, name="A-B2") == TODAY - minutes(24 * 60)


# ---- and whether they were out before, where a code defends one time only --------------------------------------------

ONCE = [*hot_tray(), read("60", "10:50", "C"), read("64", "11:00", "C")]
"""Out once, from 10:30 to 11:00, under 63 °C (SI 2013/2996, Schedule 4, paragraph 7(2)(b))."""
FRESH = hot_tray(load="A-L2", probed_at="11:00", pulled="11:05")


@pytest.mark.parametrize("between", [[], [read("64", "11:10", "C")]], ids=["at once", "after a good reading"])
def test_fresh_birds_among_those_that_were_out_once_give_them_no_second_time(between):
    day = told([*ONCE, *FRESH, *between, read("60", "11:30", "C")], as_of="11:31", plans=UK)
    assert tray(day, "A-T1").time_band == "from_4h"


def test_nor_do_they_when_all_are_chilled_and_reheated_together():
    again = [chilled("11:10", birds="10"), *reheated(at="12:00", birds="10"), read("60", "13:00", "C", "A-T2")]
    assert tray(told([*ONCE, *FRESH, *again], as_of="13:01", plans=UK), "A-T2").time_band == "from_4h"


@pytest.mark.parametrize("order", [("11:10", "11:20"), ("11:20", "11:10")], ids=["chilled first", "chilled last"])
def test_nor_when_they_were_chilled_into_one_batch_after_each_other(order):
    once, fresh = order
    others = hot_tray(load="A-L2", tray="A-T9", probed_at="11:00", pulled="11:05")
    both = [chilled(once), chilled(fresh, "A-T9"), *reheated(at="12:00", birds="10"), read("60", "13:00", "C", "A-T2")]
    assert tray(told([*ONCE, *others, *both], as_of="13:01", plans=UK), "A-T2").time_band == "from_4h"


def test_two_batches_that_were_never_out_have_their_one_time_left():
    clean = [*hot_tray(), *hot_tray(load="A-L2", tray="A-T9")]
    both = [
        chilled("11:10"),
        chilled("11:20", "A-T9"),
        *reheated(at="12:00", birds="10"),
        read("60", "13:00", "C", "A-T2"),
    ]
    assert tray(told([*clean, *both], as_of="13:01", plans=UK), "A-T2").time_band == "under_2h"


# ---- out of time as the control into another tray --------------------------------------------------------------------


def moved_on(*entries, as_of, plans=NAMED):
    """Under time as the control from 11:30, half an hour out before, and in another tray from 12:00 on."""
    before = [*hot_tray(), read("130", "10:50"), read("140", "11:00"), read("140", "11:30")]
    day = told(
        [*before, entry("time_control_started", at="11:30"), into("A-T2", "12:00"), *entries], as_of=as_of, plans=plans
    )
    return tray(day, "A-T2")


def test_nothing_says_that_it_is_hot_there():
    assert moved_on(as_of="12:10").known_hot_at is None


def test_its_time_counts_from_that_moment_on():
    assert moved_on(as_of="12:00").out_of_temperature_s == HOUR / 2
    assert moved_on(as_of="12:30").out_of_temperature_s == HOUR


def test_until_it_is_read_hot_there():
    assert moved_on(read("140", "12:20", tray="A-T2"), as_of="13:00").out_of_temperature_s == 50 * 60


def test_its_one_time_out_is_over():
    start = [read("64", "11:30", "C"), entry("time_control_started", at="11:30"), into("A-T2", "12:00")]
    low = [read("64", "12:05", "C", "A-T2"), read("60", "12:10", "C", "A-T2")]
    day = told([*hot_tray(), *start, *low], as_of="12:11", plans=UK)
    assert verdict_of(day, "time_control.start") == "none"
    assert tray(day, "A-T2").time_band == "from_4h"
