"""Food set aside: from when, for what, and where it goes."""

import pytest

from app.kinds import Entry
from tests.support.aside_story import (
    BROKEN,
    COLD,
    GROWN_WARM,
    LATE,
    NEVER_READ,
    OUT_FOR_HOURS,
    REHEATED_TOO_COOL,
    REJECTED,
    STILL_REHEATING,
    TIES,
    TOO_FEW,
    UNDER,
    Story,
    aside,
    chilled,
    cooled,
    gone,
    here,
    pulled,
    reheated,
    rules_of,
)
from tests.support.cast import entry, moment
from tests.support.story import (
    adopted,
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

# ---- from when, and for what ----------------------------------------------------------------------------------------

ONSETS: list[tuple[str, Story, str, str, str, str]] = [
    ("an undercooked pull", UNDER, "20:00", "cook.core_temperature", "A-T1", "10:36"),
    ("a pull with too few birds probed", TOO_FEW, "20:00", "cook.core_temperature", "A-T1", "10:36"),
    ("a tie that is missing", TIES, "20:00", "ties.balance", "A-T1", "10:36"),
    ("birds of a rejected lot", REJECTED, "11:00", "lot.rejected", "A-T1", "10:35"),
    ("out for 4 hours", OUT_FOR_HOURS, "14:31", "hold.time_out", "A-T1", "14:30"),
    (
        "past its discard time",
        [*hot_tray(), read("140", "10:50"), entry("time_control_started", at="11:00")],
        "15:01",
        "time_control.discard",
        "A-T1",
        "15:00",
    ),
    ("a first stage not met", LATE, "13:00", "cool.first_stage", "A-B1", "12:30"),
    ("a first stage not shown", NEVER_READ, "13:00", "cool.first_stage", "A-B1", "12:30"),
    (
        "a second stage not shown",
        [*hot_tray(), chilled(), cooled("70", "12:00")],
        "17:00",
        "cool.total",
        "A-B1",
        "16:30",
    ),
    ("a cold batch that grew warm", GROWN_WARM, "20:00", "cold.temperature", "A-B1", "14:00"),
    ("a reheat too cool", REHEATED_TOO_COOL, "14:10", "reheat.temperature", "A-T2", "14:00"),
    ("a reheat without a reading", [*COLD, *reheated("14:00")], "14:10", "reheat.temperature", "A-T2", "14:00"),
    ("a reheat too slow", [*COLD, *reheated("15:30", "166")], "20:00", "reheat.time", "A-T2", "15:30"),
    (
        "a reheat too slow, still on",
        STILL_REHEATING,
        "15:01",
        "reheat.time",
        "A-R1",
        "15:00",
    ),
]


@pytest.mark.parametrize(
    ("story", "as_of", "rule", "name", "since"), [c[1:] for c in ONSETS], ids=[c[0] for c in ONSETS]
)
def test_food_is_set_aside_from_the_onset_on(story: Story, as_of: str, rule: str, name: str, since: str) -> None:
    view = aside(told(story, as_of=as_of), name)
    assert view is not None
    assert (view.since, [one.partition(":")[0] for one in view.findings]) == (moment(since), [rule])


def test_a_reheat_that_was_not_held_long_enough() -> None:
    read_once = entry("reheat_reading", at="13:50", temperature="166", held_s=...)
    done = entry("reheat_done", at="14:00", birds="5")
    day = told([*COLD, entry("reheat_started", at="13:00", birds="5"), read_once, done])
    assert rules_of(day, "A-T2") == ["reheat.dwell"]


def test_a_load_that_was_interrupted_is_aside_once_it_is_pulled_and_not_before() -> None:
    probes = probed("170", "171", at="11:00")
    day = told([*BROKEN, *probes, pulled("11:05")], as_of="11:10")
    assert rules_of(day, "A-T1") == ["cook.interrupted"]
    assert aside(told([*BROKEN, *probes], as_of="11:04"), "A-L1/1") is None


def test_a_batch_past_its_date() -> None:
    later = on_day("05:00", 7)
    day = told(COLD, day=later.date(), as_of=later)
    assert rules_of(day, "A-B1") == ["date_mark.passed"]


@pytest.mark.parametrize(
    ("reading", "name", "ways"),
    [
        (read("140", "11:00"), "A-T1", ("discarded", "chilled", "reheated", "other_tray")),
        (chilled(temperature="60", unit="F", probe="blue"), "A-B1", ("discarded",)),
    ],
    ids=["a tray", "a batch"],
)
def test_a_failed_probe_sets_aside_what_was_read_with_it(reading: Entry, name: str, ways: tuple[str, ...]) -> None:
    story = [*loaded(), *probed("170", "171", probe="white"), pulled(), reading, no_display(at="11:20")]
    view = aside(told([*story, probe_check(at="05:00")], as_of="11:30"), name)
    assert view is not None
    assert (view.since, view.ways) == (moment("11:20"), ways)


def test_what_sets_nothing_aside() -> None:
    short = [*loaded(ties=5), *probed("170", "171"), pulled(ties_removed=6)]
    assert aside(told(short, as_of="11:00"), "A-T1") is None
    assert found(told(short, as_of="11:00"), "ties.balance")[0].concerns == "monitoring"
    assert aside(told([*hot_tray(), read("130", "11:00")], as_of="11:10"), "A-T1") is None


def test_a_plan_without_this_group_sets_nothing_aside() -> None:
    plans = [adopted(controls="cooking,holding,cooling")]
    day = told([*UNDER, out("5", "11:00")], plans=plans)
    assert aside(told(UNDER, plans=plans), "A-T1") is None
    assert [finding.rule for finding in day.findings] == ["cook.core_temperature"]
    unread = told([*hot_tray(), chilled()], plans=plans)
    assert found(unread, "cool.first_stage")[0].concerns == "monitoring"


def test_what_sets_aside_is_about_a_critical_limit() -> None:
    assert found(told([*hot_tray(), chilled()]), "cool.first_stage")[0].concerns == "critical_limit"
    assert found(told([*COLD, *reheated("14:00")]), "reheat.temperature")[0].concerns == "critical_limit"


# ---- which pulls ----------------------------------------------------------------------------------------------------


def test_only_the_pulls_that_are_not_met_and_all_of_them() -> None:
    story = [
        *loaded(birds=6),
        *probed("149", "170"),
        pulled(birds=2),
        *probed("166", "171", at="10:45"),
        pulled("10:50", "A-T2", birds=2),
        *probed("150", at="10:55"),
        pulled("11:00", "A-T3", birds=2),
    ]
    day = told(story, as_of="11:10")
    assert [name for name in ("A-T1", "A-T2", "A-T3") if aside(day, name)] == ["A-T1", "A-T3"]
    finding = found(day, "cook.core_temperature")[0]
    assert (finding.onset_at, finding.entries[:2]) == (moment("10:36"), (story[4].id, story[-1].id))


def test_of_a_reheat_only_what_was_done_badly() -> None:
    story = [
        *COLD,
        entry("reheat_started", at="13:00", birds="5"),
        entry("reheat_reading", at="13:30", temperature="150"),
        entry("reheat_done", at="13:31", birds="2", tray="A-T2"),
        entry("reheat_reading", at="13:50", temperature="166"),
        entry("reheat_done", at="13:51", birds="3", tray="A-T3"),
    ]
    day = told(story, as_of="14:00")
    assert (rules_of(day, "A-T2"), aside(day, "A-T3")) == (["reheat.temperature"], None)


def test_of_a_lot_only_what_was_pulled_from_spits_that_carried_it() -> None:
    other = entry("spit_loaded", at="09:01", spit=2, lot="0413-1")
    reads = [entry("cook_reading", at="10:30", spit=2, bird=bird) for bird in (1, 2)]
    day = told([*REJECTED, other, *reads, pulled("10:40", "A-T2", spit=2)], as_of="11:00")
    assert (rules_of(day, "A-T1"), aside(day, "A-T2")) == (["lot.rejected"], None)


def test_what_left_before_the_onset_is_followed_where_the_food_was_in_doubt_by_then() -> None:
    """A probe found wrong at 14:00: the tray it read at 11:00 was divided at 12:00, and some was sold."""
    story = [probe_check(at="05:00"), *loaded(), *probed("170", "171", probe="white"), pulled(), read("140", "11:00")]
    story += [
        out("1", "10:50"),
        out("2", "12:00", "other_tray", into="A-T2"),
        out("1", "13:00"),
        no_display(at="14:00"),
    ]
    day = told(story, as_of="14:10")
    assert here(day, "probe.review") == {"A-T1": 1, "A-T2": 2}
    assert gone(day, "probe.review") == [("served", 1)]
    assert not found(day, "aside.left")


# ---- it goes with the birds -----------------------------------------------------------------------------------------


def test_a_tray_that_takes_such_birds_is_aside_whole_from_then_on() -> None:
    good = [entry("spit_loaded", at="09:01", spit=2, birds=3)]
    good += [entry("cook_reading", at="10:30", spit=2, bird=bird) for bird in (1, 2)]
    story = [*UNDER, *good, pulled("10:40", "A-T2", spit=2, birds=3), out("2", "11:00", "other_tray", into="A-T2")]
    view = aside(told(story, as_of="11:30"), "A-T2")
    assert view is not None
    assert view.since == moment("11:00")
    assert here(told(story, as_of="11:30"), "cook.core_temperature") == {"A-T1": 3, "A-T2": 5}


def test_a_tray_sold_before_it_takes_such_birds_is_not_asked() -> None:
    story = [*UNDER, *hot_tray()[1:], out("1", "11:00", tray="A-T1", to="discarded")]
    assert not found(told(story, as_of="11:30"), "aside.left")


def test_it_goes_through_batches_and_reheats() -> None:
    story = [*TIES, chilled("10:50"), cooled("65", "11:00"), cooled("40", "12:00"), *reheated("13:30", "170")]
    assert rules_of(told(story, as_of="13:40"), "A-T2") == ["ties.balance"]
    assert here(told(story[:-1], as_of="13:29"), "ties.balance") == {"A-R1": 5}


def test_a_holder_is_aside_until_it_is_empty() -> None:
    story = [*UNDER, out("3", "11:00", "discarded")]
    assert rules_of(told(story, as_of="11:30"), "A-T1") == ["cook.core_temperature"]
    emptied = told([*story, out("2", "11:10", "discarded")], as_of="11:30")
    assert aside(emptied, "A-T1") is None
    assert gone(emptied, "cook.core_temperature") == [("discarded", 3), ("discarded", 2)]


def test_birds_thrown_away_at_a_pull_are_gone() -> None:
    story = [*loaded(birds=5), *probed("149", "170", "171"), pulled(birds=4, discarded_birds=[3])]
    day = told(story, as_of="11:00")
    assert gone(day, "cook.core_temperature") == [("discarded", 1)]
    assert here(day, "cook.core_temperature") == {"A-T1": 4}


def test_the_food_of_a_day_is_told_up_to_its_end() -> None:
    story = [*UNDER, chilled("10:50"), cooled("65", "11:00"), cooled("40", "12:00")]
    next_day = entry("batch_out", at=on_day("09:00", 1), birds="5", to="discarded")
    day = told([*story, next_day], as_of=on_day("10:00", 1))
    assert (here(day, "cook.core_temperature"), gone(day, "cook.core_temperature")) == ({"A-B1": 5}, [])
