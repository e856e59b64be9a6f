"""A pair of the FSIS tables is met only by what was seen of these birds, in this oven, while they cooked."""

from dataclasses import replace

import pytest

from tests.support.cast import entry, moment
from tests.support.story import adopted, told
from tests.support.table_pair import HUMID, PAIR, cook, judged

LATE = [
    entry("spit_loaded", at="09:50", birds=1),
    entry("cook_reading", at="10:31", bird=3, temperature="152", held_s=252),
    entry("spit_pulled", at="10:37", birds=1),
]
"""A bird that comes fifty minutes late onto a spit that turns."""


def test_humidity_before_a_bird_was_put_on_shows_nothing_of_it():
    assert judged([*cook(*HUMID), *LATE])[1] != "met"


def test_a_bird_put_on_late_wants_a_time_on_the_way_up_of_its_own():
    assert judged([*cook(*HUMID), *LATE])[2] == "not_shown"


UP = [entry("cook_reading", at=at, temperature=value) for at, value in (("09:10", "45"), ("09:40", "131"))]
"""Another bird's way up, read before the late one is put on."""


def test_the_way_up_of_birds_that_were_on_before_is_not_theirs():
    assert judged([*cook(*HUMID), *UP, *LATE])[2] == "not_shown"


def test_a_bird_put_on_late_that_was_read_on_its_way_up_is_shown():
    own = [entry("cook_reading", at=at, bird=3, temperature=value) for at, value in (("09:55", "45"), ("10:20", "131"))]
    assert judged([*cook(*HUMID), *own, *LATE])[2] == "met"


def test_spits_put_on_one_after_another_start_with_their_load():
    second_lot = entry("spit_loaded", at="09:15", birds=1, lot="A2")
    assert judged([*cook(*HUMID), second_lot])[1:] == ("met", "met")


def test_birds_put_on_late_are_held_to_the_set_point_that_they_came_into():
    weighed = {"mean_weight": "10", "weight_unit": "lb"}
    settings = [
        entry("oven_setting", at=at, temperature=shown, unit="F") for at, shown in (("09:10", "240"), ("10:00", "260"))
    ]
    late = [entry("spit_loaded", at="09:50", spit=2, birds=2, **weighed)]
    day = told([*cook(**weighed), *settings, *late], plans=[adopted(**{**PAIR, "cook_humidity": "large_product"})])
    assert [spit.conditions.humidity for spit in day.loads[0].spits] == ["not_met", "not_met"]


def test_birds_sent_back_to_the_oven_are_not_shown_by_the_loads_first_cook():
    back = [
        entry("tray_out", at="10:50", to="returned_to_oven", birds=2, load="A-L1", spit=9),
        *(entry("cook_reading", at="11:00", spit=9, bird=bird, temperature="160", held_s=300) for bird in (1, 2)),
        entry("spit_pulled", at="11:10", spit=9, birds=2, tray="A-T9"),
    ]
    day = told([*cook(*HUMID), *back], plans=[adopted(**PAIR)])
    again = next(spit for spit in day.loads[0].spits if spit.spit == 9)
    assert again.verdict != "met"
    assert again.conditions.come_up == "not_shown"


@pytest.mark.parametrize("at", ["08:59", "09:00"])
def test_a_spit_seen_before_its_load_was_started_is_judged_without_it(at):
    entries = [entry("spit_loaded", at="08:58", birds=2), entry("load_started", at="09:00")]
    day = told(entries, plans=[adopted(**PAIR)], as_of=moment(at))
    assert all(spit.verdict == "pending" for load in day.loads for spit in load.spits)


def test_a_pull_written_before_its_load_is_judged_without_conditions():
    entries = [
        entry("spit_loaded", at="08:58", birds=2),
        entry("cook_reading", at="08:58", bird=1, temperature="170", held_s=300),
        entry("spit_pulled", at="08:59", birds=2),
        entry("load_started", at="09:00"),
    ]
    assert told(entries, plans=[adopted(**PAIR)], as_of=moment("08:59")).findings


@pytest.mark.parametrize(
    ("changed", "verdict"),
    [({"humidity": "60"}, "not_shown"), ({"oven": "west"}, "not_shown"), ({"withdrawn": True}, "not_shown")],
)
def test_humidity_that_was_mended_counts_as_it_stands_now(changed, verdict):
    entries = cook(*HUMID)
    last = [one for one in entries if one.kind == "oven_setting"][-1]
    fields = {} if "withdrawn" in changed else {"rotation": ..., "humidity": "90", **changed}
    more = {"withdrawn": True} if "withdrawn" in changed else {}
    mended = entry("oven_setting", at="10:10", of=last, **fields, **more)
    assert judged([*entries, mended])[1] == verdict


def test_a_plan_changed_during_the_load_leaves_it_to_its_own():
    later = {"version": 2, "adopted_at": moment("09:30")}
    (spit,) = told(cook(), plans=[adopted(**PAIR), replace(adopted(), **later)]).loads[0].spits
    assert spit.verdict == "not_shown"
    (spit,) = told(cook(*HUMID), plans=[adopted(), replace(adopted(**PAIR), **later)]).loads[0].spits
    assert (spit.verdict, spit.conditions) == ("not_met", None)


@pytest.mark.parametrize("withdrawn", [True, False])
def test_a_dry_reading_mended_into_a_humid_one_is_said_to_have_cleared_the_finding(withdrawn):
    entries = cook(("09:10", "92"), ("09:40", "60"), ("10:10", "90"))
    dry = [one for one in entries if one.kind == "oven_setting"][1]
    fields = {} if withdrawn else {"rotation": ..., "humidity": "95"}
    mended = entry("oven_setting", at="09:40", of=dry, withdrawn=withdrawn, **fields)
    day = told([*entries, mended], plans=[adopted(**PAIR)])
    assert day.loads[0].spits[0].verdict == "met"
    assert [one.finding.rule for one in day.cleared] == ["cook.core_temperature"]
