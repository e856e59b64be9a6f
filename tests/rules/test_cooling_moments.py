"""Cooling at the very moment: readings of one instant, of the instant birds went in or out, and of the mark itself.

FDA Food Code 2022, 3-501.14(A) (two stages), 3-501.16(A)(2) (cold holding), 3-501.17(A) (7 days, the first of what is
mixed counts).
"""

from datetime import timedelta

import pytest

from tests.support.any_day import moved as later
from tests.support.cast import DAY, entry, moment
from tests.support.story import adopted, found, hot_tray, loaded, on_day, out, read, told, verdict_of


def cooled(temperature, at, batch="A-B1"):
    return entry("cooling_reading", at=at, temperature=temperature, batch=batch)


def given(temperature):
    """A temperature given when birds are chilled."""
    return {"temperature": temperature, "unit": "F", "probe": "blue"}


def chilled(*readings, hot_at="12:00", at="12:30", load="A-L1", tray="A-T1", batch="A-B1", **fields):
    """A tray last known hot at `hot_at`, all of it chilled, with (temperature, time) readings of the batch."""
    hot = [*hot_tray(load=load, tray=tray), read("140", hot_at, tray=tray)]
    return [*hot, out("5", at, "chilled", tray, batch=batch, **fields), *(cooled(*one, batch) for one in readings)]


def added(*, hot_at="13:30", at="13:50", **fields):
    """Another tray, added to the batch."""
    return chilled(hot_at=hot_at, at=at, load="A-L2", tray="A-T2", **fields)


def moved(at, *, birds="5", batch="A-B1", into="A-B2"):
    return entry("batch_out", at=at, batch=batch, birds=birds, to="prepared", into=into)


def gone(at, birds="5", to="served_cold", batch="A-B1"):
    return entry("batch_out", at=at, batch=batch, birds=birds, to=to)


def batch_of(entries, name="A-B1", **options):
    return next(one for one in told(entries, **options).batches if one.batch == name)


def first_stage(entries, name="A-B1", **options):
    stage = batch_of(entries, name, **options).first_stage
    return stage and (str(stage.verdict), stage.due_at)


# ---- readings of one instant -----------------------------------------------------------------------------------------


def test_a_reading_at_the_instant_the_last_bird_leaves_is_of_the_batch():
    assert first_stage([*chilled(("70", "13:30")), gone("13:30")]) == ("met", moment("14:00"))


def test_a_reading_at_the_instant_its_birds_move_on_goes_with_them():
    assert first_stage([*chilled(("70", "13:30")), moved("13:30")], "A-B2") == ("met", moment("14:00"))


def test_a_temperature_given_at_the_very_start_of_the_clock_counts():
    """Pulled and chilled in one instant, and nothing read before: the clock starts there."""
    unread = [*loaded(), entry("spit_pulled", at="12:00")]
    assert first_stage([*unread, out("5", "12:00", "chilled", batch="A-B1", **given("69"))])[0] == "met"


@pytest.mark.parametrize("order", [("71", "41"), ("41", "71")], ids=["warm written first", "cold written first"])
def test_a_warm_reading_at_the_instant_that_it_was_cold_is_not_before_it(order):
    """3-501.14(A): late for the first mark, but not read over it before it was cold."""
    assert first_stage(chilled(*((one, "14:30") for one in order)))[0] == "not_shown"


def test_the_reading_that_ends_the_cooling_is_not_yet_held_to_cold_storage():
    """A plan stricter in cold storage than in cooling: 41 °F ends the cooling, and only then 38 °F is asked for."""
    strict = [adopted(cold_holding="38F/3C")]
    assert not found(told(chilled(("41", "15:00")), plans=strict), "cold.temperature")
    assert found(told(chilled(("41", "15:00"), ("41", "15:01")), plans=strict), "cold.temperature")


def test_a_finding_rests_on_every_reading_until_it_was_decided():
    *_, opener, early, late, _after = story = chilled(("90", "13:00"), ("80", "14:10"), ("60", "15:00"))
    assert found(told(story), "cool.first_stage")[0].entries == (opener.id, early.id, late.id)


# ---- what is added ---------------------------------------------------------------------------------------------------


def test_a_temperature_given_with_what_is_added_is_of_its_own_clock():
    """Known hot at 13:30 and given as 69 °F at 15:20; nobody read it at 15:30."""
    story = [*chilled(("41", "13:30")), *added(at="15:20", **given("69"))]
    assert first_stage(story, as_of="15:40") == ("met", moment("15:30"))


def test_nor_does_it_show_what_was_there_before_to_be_cold():
    """90 °F at 13:00, 65 °F given with the birds added, and 80 °F when all of it was read after 14:00."""
    story = [*chilled(("90", "13:00")), *added(**given("65")), cooled("80", "14:30")]
    assert first_stage(story) == ("not_met", moment("14:00"))


def test_nor_does_it_hide_a_later_hot_reading_of_what_was_there():
    story = [*chilled(), *added(hot_at="12:35", at="12:40", **given("100")), cooled("136", "12:50")]
    assert batch_of(story, as_of="13:00").started_at == moment("12:50")


def test_what_is_given_with_birds_added_to_cold_storage_is_not_called_warm():
    story = [*chilled(("70", "13:00"), ("41", "15:00")), *added(hot_at="15:00", at="15:10", **given("100"))]
    assert not found(told(story, as_of="15:20"), "cold.temperature")


def test_of_parts_that_are_all_met_the_batch_has_the_mark_of_the_last_to_be():
    """Hot at 12:00 and 70 °F at 13:55; hot at 12:30, and 70 °F at 13:00 before it was added."""
    others = chilled(("70", "13:00"), hot_at="12:30", at="12:40", load="A-L2", tray="A-T2", batch="A-B3")
    story = [*chilled(), *others, moved("13:30", batch="A-B3", into="A-B1"), cooled("70", "13:55")]
    assert first_stage(story, as_of="14:00") == ("met", moment("14:00"))


# ---- what is moved, seen by two clocks -------------------------------------------------------------------------------


def test_a_reading_seen_just_before_its_batch_was_made_is_of_what_it_was_made_of():
    assert first_stage([*chilled(), moved("13:30"), cooled("70", "13:29", "A-B2")], "A-B2")[0] == "met"


def test_but_not_of_what_was_added_later():
    """Others, known hot at 13:30, are added at 13:50: what was read before says nothing of them, and 15:30 passes."""
    others = chilled(hot_at="13:30", at="13:40", load="A-L2", tray="A-T2", batch="A-B3")
    story = [*chilled(), moved("13:30"), cooled("70", "13:29", "A-B2"), *others, moved("13:50", batch="A-B3")]
    assert first_stage(story, "A-B2") == ("not_shown", moment("15:30"))


# ---- the date --------------------------------------------------------------------------------------------------------

COLD = [("70", "13:00"), ("41", "15:00")]


def two_days():
    """Birds of two days in one batch: the second day's are added when they are cold."""
    second = chilled(*COLD, load="A-L2", tray="A-T2", batch="A-B2")
    return [*chilled(*COLD), *later(second, timedelta(days=1)), moved(on_day("16:00", 1), batch="A-B2", into="A-B1")]


def on_day_8(*entries):
    return told([*two_days(), *entries], day=DAY + timedelta(days=7), as_of=on_day("20:00", 7))


def test_a_batch_of_two_days_is_used_by_the_first():
    assert batch_of(two_days(), day=DAY + timedelta(days=1), as_of=on_day("20:00", 1)).use_by == DAY + timedelta(days=6)


def test_and_its_date_passes_with_the_first():
    assert found(on_day_8(), "date_mark.passed")[0].onset_at == on_day("04:00", 7)


@pytest.mark.parametrize(("left", "verdict"), [("0.25", "not_met"), ("0", "none")])
def test_a_quarter_of_a_bird_is_past_its_date_too(left, verdict):
    birds = {"0.25": "4.75", "0": "5"}[left]
    story = [*chilled(*COLD), gone(on_day("12:00", 2), birds)]
    day = told(story, day=DAY + timedelta(days=7), as_of=on_day("20:00", 7))
    assert verdict_of(day, "date_mark.passed") == verdict


def test_what_is_eaten_at_the_instant_that_the_date_passes_is_named():
    eaten = gone(on_day("04:00", 7), "2")
    day = told([*chilled(*COLD), eaten], day=DAY + timedelta(days=7), as_of=on_day("20:00", 7))
    assert eaten.id in found(day, "date_mark.passed")[0].entries
