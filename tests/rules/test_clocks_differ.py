"""What was seen up to two minutes before what it belongs to was filled counts all the same: clocks differ."""

from app.rules.plans import plan
from tests.support.cast import OPENED, entry, moment
from tests.support.story import found, hot_tray, loaded, out, read, told, verdict_of


def test_a_low_reading_just_before_the_pull_is_told():
    day = told([*hot_tray(pulled="10:35"), read("120", "10:34"), read("140", "11:00")], as_of="11:30")
    (finding,) = found(day, "hold.temperature")
    assert (finding.onset_at, finding.ended_at) == (moment("10:34"), moment("11:00"))
    assert day.trays[0].out_of_temperature_s == 30 * 60


def test_a_good_reading_just_before_a_pull_without_readings_is_the_known_hot_moment():
    tray = told([*loaded(), read("150", "10:35"), entry("spit_pulled", at="10:36")], as_of="11:30").trays[0]
    assert (tray.known_hot_at, tray.out_of_temperature_s) == (moment("10:35"), 0)


def test_a_tray_emptied_just_before_its_pull_is_empty():
    day = told([*loaded(), out("5", "10:35"), entry("spit_pulled", at="10:36")], as_of="20:00")
    assert (day.trays[0].birds_left, day.trays[0].out_of_temperature_s) == (0, 0)
    assert found(day, "hold.time_out") == []


def test_birds_moved_on_just_before_the_pull_bring_along_what_is_known_of_them():
    day = told([*hot_tray(pulled="10:36"), out("5", "10:35", "other_tray", into="A-T2")], as_of="11:00")
    tray = next(tray for tray in day.trays if tray.tray == "A-T2")
    assert (tray.known_hot_at, tray.hot_unit) == (moment("10:30"), "pass")


def test_a_spit_pulled_just_before_it_was_loaded_still_wants_its_birds_probed():
    day = told([*loaded(at="10:36"), entry("spit_pulled", at="10:35")], as_of="10:40")
    assert verdict_of(day, "cook.core_temperature") == "not_shown"


def test_a_start_of_time_as_the_control_seen_just_before_the_pull_is_of_that_tray():
    start = entry("time_control_started", at="10:34", marked_discard_by=moment("14:34"))
    story = [*hot_tray(pulled="10:35"), read("140", "10:34"), start]
    assert told(story, as_of="10:40").trays[0].discard_at == moment("14:34")


def test_until_the_pull_is_seen_too_it_says_nothing():
    story = [*hot_tray(pulled="10:35"), entry("time_control_started", at="10:34")]
    day = told(story, as_of=moment("10:34:30"))
    assert (day.trays, [f for f in day.findings if f.rule.startswith("time_control")]) == ((), [])


def test_birds_chilled_and_moved_on_before_their_loading_is_seen_cool_from_their_pull():
    """Pulled at 10:35 from a spit that somebody's tablet says was loaded at 10:36: between the two, and afterwards."""
    chilled = out("2", moment("10:35:10"), "chilled", batch="A-B1")
    prepared = entry("batch_out", at=moment("10:35:20"), birds="2", to="prepared", into="A-B2")
    story = [*loaded(at="10:36"), entry("spit_pulled", at="10:35"), chilled, prepared]
    for as_of in (moment("10:35:30"), moment("10:36:30")):
        batches = {one.batch: one.started_at for one in told(story, as_of=as_of).batches}
        assert batches == {"A-B1": moment("10:35"), "A-B2": moment("10:35")}


def test_nor_is_it_held_against_them_that_they_were_out_before():
    """The same, and reheated between the two, under a code that defends one time out only (SI 2013/2996, Sch. 4, 7)."""
    chilled = out("5", moment("10:35:05"), "chilled", batch="A-B1")
    reheated = [
        entry("reheat_started", at="10:35:10", birds="5"),
        entry("reheat_reading", at="10:35:12", temperature="170"),
        entry("reheat_done", at="10:35:15", birds="5"),
    ]
    low = entry("hold_reading", at="10:35:20", temperature="60", unit="C", tray="A-T2")
    story = [*loaded(at="10:36"), entry("spit_pulled", at="10:35"), chilled, *reheated, low]
    for as_of in (moment("10:35:30"), moment("10:36:30")):
        day = told(story, as_of=as_of, plans=[plan.Adopted(1, "england_2013", (), "pat", OPENED)])
        assert next(tray for tray in day.trays if tray.tray == "A-T2").time_band == "under_2h"
