"""Food set aside: from when, for what, where it goes, and what ends it."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

import pytest

from app.kinds import Entry
from app.rules.day.food_shown import Food, SetAsideView
from app.rules.day.shown import Assessment
from tests.support.cast import entry, minutes, moment
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

Story = list[Entry]


def pulled(at: str = "10:36", tray: str = "A-T1", **fields: Any) -> Entry:
    return entry("spit_pulled", at=at, tray=tray, **fields)


def chilled(at: str = "11:00", birds: str = "5", tray: str = "A-T1", batch: str = "A-B1", **fields: Any) -> Entry:
    return out(birds, at, "chilled", tray, batch=batch, **fields)


def cooled(temperature: str, at: str | datetime, batch: str = "A-B1", probe: str = "blue") -> Entry:
    return entry("cooling_reading", at=at, temperature=temperature, batch=batch, probe=probe)


def reheated(
    at: str, *temperatures: str, reheat: str = "A-R1", tray: str = "A-T2", start: str = "", **more: Any
) -> Story:
    """A reheat of a batch, read a minute before it is done into a tray."""
    minute = moment(at) - minutes(1)
    begun = [entry("reheat_started", at=start or "13:00", reheat=reheat, birds="5")] if start != "-" else []
    reads = [entry("reheat_reading", at=minute, temperature=one, reheat=reheat, held_s=15) for one in temperatures]
    return [*begun, *reads, entry("reheat_done", at=at, reheat=reheat, tray=tray, birds="5", **more)]


def returned(at: str = "10:50", birds: int = 5, spit: int = 9, tray: str = "A-T1") -> Entry:
    return entry("tray_out", at=at, tray=tray, birds=birds, to="returned_to_oven", load="A-L1", spit=spit)


def aside(day: Assessment, name: str) -> SetAsideView | None:
    """What is set aside in a tray, batch, reheat or spit of a day."""
    named: dict[str, Any] = {one.tray: one for one in day.trays} | {one.batch: one for one in day.batches}
    named |= {one.reheat: one for one in day.reheats}
    named |= {f"{load.load}/{spit.spit}": spit for load in day.loads for spit in load.spits}
    view: SetAsideView | None = named[name].set_aside
    return view


def rules_of(day: Assessment, name: str) -> list[str]:
    view = aside(day, name)
    return [] if view is None else [key.partition(":")[0] for key in view.findings]


def food(day: Assessment, rule: str) -> Food:
    return day.food[found(day, rule)[0].key]


def here(day: Assessment, rule: str) -> dict[str, float]:
    return {one.holder.label: float(one.birds) for one in food(day, rule).here}


def gone(day: Assessment, rule: str) -> list[tuple[str, float]]:
    return [(one.to, float(one.birds)) for one in food(day, rule).gone]


def key(story: Sequence[Entry], rule: str, as_of: str | datetime = "20:00") -> str:
    return found(told(story, as_of=as_of), rule)[0].key


def released(key: str, at: str | datetime, **fields: Any) -> Entry:
    return entry("release", at=at, person="pat", findings=[key], **fields)


UNDER = [*loaded(), *probed("149", "170"), pulled()]
TOO_FEW = [*loaded(), *probed("170"), pulled()]
TIES = [*loaded(ties=5), *probed("170", "171"), pulled(ties_removed=4)]
COLD = [*hot_tray(), chilled(), cooled("65", "12:00"), cooled("40", "12:30")]
LATE = [*hot_tray(), chilled(), cooled("80", "12:45")]
BROKEN = [*loaded(), entry("equipment_out", at="09:30"), entry("equipment_back", at="10:10")]
REJECTED = [entry("receiving", at="06:00", decision="rejected"), *hot_tray()]


# ---- from when, and for what ----------------------------------------------------------------------------------------

ONSETS: list[tuple[str, Story, str, str, str, str]] = [
    ("an undercooked pull", UNDER, "20:00", "cook.core_temperature", "A-T1", "10:36"),
    ("a pull with too few birds probed", TOO_FEW, "20:00", "cook.core_temperature", "A-T1", "10:36"),
    ("a tie that is missing", TIES, "20:00", "ties.balance", "A-T1", "10:36"),
    ("birds of a rejected lot", REJECTED, "11:00", "lot.rejected", "A-T1", "10:35"),
    ("out for 4 hours", [*hot_tray(), read("130", "11:00")], "14:31", "hold.time_out", "A-T1", "14:30"),
    (
        "past its discard time",
        [*hot_tray(), read("140", "10:50"), entry("time_control_started", at="11:00")],
        "15:01",
        "time_control.discard",
        "A-T1",
        "15:00",
    ),
    ("a first stage not met", LATE, "13:00", "cool.first_stage", "A-B1", "12:30"),
    ("a first stage not shown", [*hot_tray(), chilled()], "13:00", "cool.first_stage", "A-B1", "12:30"),
    (
        "a second stage not shown",
        [*hot_tray(), chilled(), cooled("70", "12:00")],
        "17:00",
        "cool.total",
        "A-B1",
        "16:30",
    ),
    ("a cold batch that grew warm", [*COLD, cooled("45", "14:00")], "20:00", "cold.temperature", "A-B1", "14:00"),
    ("a reheat too cool", [*COLD, *reheated("14:00", "150")], "14:10", "reheat.temperature", "A-T2", "14:00"),
    ("a reheat without a reading", [*COLD, *reheated("14:00")], "14:10", "reheat.temperature", "A-T2", "14:00"),
    ("a reheat too slow", [*COLD, *reheated("15:30", "166")], "20:00", "reheat.time", "A-T2", "15:30"),
    (
        "a reheat too slow, still on",
        [*COLD, entry("reheat_started", at="13:00", birds="5")],
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


# ---- what ends it: cooked on, reheated -------------------------------------------------------------------------------


def on_again(*temperatures: str, probe: str = "blue", at: str = "11:20") -> Story:
    return [
        *UNDER,
        returned(),
        *[
            entry("cook_reading", at=at, spit=9, bird=bird, temperature=one, probe=probe)
            for bird, one in enumerate(temperatures, start=1)
        ],
        pulled("11:25", "A-T2", spit=9),
    ]


ENDINGS: list[tuple[str, Story, list[str]]] = [
    ("cooked on and met", on_again("166", "167"), []),
    ("cooked on and under", on_again("150", "167"), ["cook.core_temperature"] * 2),
    ("cooked on and too few probed", on_again("166"), ["cook.core_temperature"] * 2),
    (
        "cooked on, met on a doubtful probe",
        [*on_again("166", "167"), no_display(at="12:00")],
        ["cook.core_temperature"],
    ),
    (
        "a good reheat",
        [*UNDER, out("5", "10:50", "reheated", reheat="A-R1"), *reheated("11:30", "170", start="-")],
        ["cook.core_temperature"],
    ),
]


@pytest.mark.parametrize(("story", "rules"), [c[1:] for c in ENDINGS], ids=[c[0] for c in ENDINGS])
def test_what_an_undercooked_bird_is_made_good_by(story: Story, rules: list[str]) -> None:
    day = told([probe_check(at="05:00"), *story], as_of="12:10")
    assert [rule for rule in rules_of(day, "A-T2") if rule != "probe.review"] == rules


def test_birds_on_a_spit_at_a_failed_check_are_made_good_by_a_probe_that_is_right() -> None:
    story = [probe_check(at="05:00"), *loaded(), *probed("170", "171"), no_display(at="10:32")]
    assert aside(told(story, as_of="10:33"), "A-L1/1") == SetAsideView(
        since=moment("10:32"),
        findings=(key(story, "probe.review"),),
        cleared=(),
        ways=("discarded", "pulled"),
        release=True,
        can_be_made_good=True,
    )
    again = [*story, *probed("168", "169", at="10:40", probe="white"), pulled("10:41")]
    assert aside(told(again, as_of="10:50"), "A-T1") is None
    assert rules_of(told([*story, pulled("10:41")], as_of="10:50"), "A-T1") == ["probe.review"]


def test_birds_that_were_pulled_before_the_failed_check_are_not() -> None:
    story = [probe_check(at="05:00"), *loaded(), *probed("170"), *probed("171", "172", probe="white"), pulled()]
    assert rules_of(told([*story, no_display(at="10:40")], as_of="10:50"), "A-T1") == ["probe.review"]


def test_food_of_a_bad_reheat_is_made_good_by_a_good_one() -> None:
    again = [out("5", "14:10", "reheated", "A-T2", reheat="A-R2")]
    good = [*again, *reheated("14:40", "167", reheat="A-R2", tray="A-T3", start="-")]
    bad = [*again, *reheated("14:40", "150", reheat="A-R2", tray="A-T3", start="-")]
    story = [*COLD, *reheated("14:00", "150")]
    assert aside(told([*story, *good], as_of="14:50"), "A-T3") is None
    assert rules_of(told([*story, *bad], as_of="14:50"), "A-T3") == ["reheat.temperature"] * 2


def test_a_reheat_whose_own_reading_is_in_doubt_is_not_made_good_by_it() -> None:
    story = [probe_check(at="05:00"), *COLD[:3], *COLD[3:4], *COLD[4:-2]]
    story += [cooled("65", "12:00", probe="white"), cooled("40", "12:30", probe="white"), *reheated("13:30", "170")]
    day = told([*story, no_display(at="13:40")], as_of="13:50")
    assert "probe.review" in rules_of(day, "A-T2")


def test_a_good_reheat_ends_nothing_that_came_from_cooling() -> None:
    late = [*LATE, cooled("40", "14:00"), *reheated("15:00", "170", start="14:10")]
    assert rules_of(told(late, as_of="15:10"), "A-T2") == ["cool.first_stage"]


# ---- release --------------------------------------------------------------------------------------------------------

FEW = key(TOO_FEW, "cook.core_temperature")


def test_a_release_frees_what_is_aside_wherever_it_is() -> None:
    story = [*TOO_FEW, out("2", "10:50", "other_tray", into="A-T2"), released(FEW, "11:00")]
    day = told([*story, out("3", "11:10"), out("2", "11:10", tray="A-T2")], as_of="11:20")
    assert (aside(day, "A-T1"), aside(day, "A-T2"), found(day, "aside.left")) == (None, None, [])
    assert [one.id for one in day.answers[FEW].releases] == [story[-1].id]
    assert found(day, "cook.core_temperature")[0].status == "open"


def test_a_release_frees_nothing_that_comes_later() -> None:
    story = [*loaded(birds=6), *probed("170"), pulled(birds=2), pulled("11:30", "A-T2", birds=4)]
    finding = key(story, "cook.core_temperature")
    day = told([*story, released(finding, "11:00")], as_of="11:40")
    assert (aside(day, "A-T1"), rules_of(day, "A-T2")) == (None, ["cook.core_temperature"])


def test_a_late_release_frees_what_is_aside_when_it_is_written() -> None:
    late = released(FEW, "11:00", late=True)
    assert late.recorded_at == moment("11:00:02")
    day = told([*TOO_FEW, late, out("1", "11:00:01")], as_of="11:10")
    assert [finding.measured["to"] for finding in found(day, "aside.left")] == ["served"]
    assert aside(told([*TOO_FEW, late], as_of="11:00:01"), "A-T1") is not None


def test_a_release_frees_nothing_while_the_finding_as_it_stands_may_not_be_released() -> None:
    """Released when too few birds were probed; then a reading that was forgotten is written down: 149 °F."""
    forgotten = entry("cook_reading", at="10:30", bird=2, temperature="149")
    day = told([*TOO_FEW, forgotten, released(FEW, "11:00")], as_of="11:10")
    assert rules_of(day, "A-T1") == ["cook.core_temperature"]


def test_a_release_before_the_onset_frees_nothing() -> None:
    early = released(FEW, "10:00")
    assert rules_of(told([*TOO_FEW, early], as_of="11:10"), "A-T1") == ["cook.core_temperature"]


def test_a_release_frees_for_its_own_finding_only() -> None:
    story = [*loaded(ties=5), *probed("170"), pulled(ties_removed=4)]
    day = told([*story, released(key(story, "ties.balance"), "11:00")], as_of="11:10")
    assert rules_of(day, "A-T1") == ["cook.core_temperature"]


# ---- the ways out ---------------------------------------------------------------------------------------------------

WAYS: list[tuple[str, Story, str, str, tuple[str, ...], bool]] = [
    ("undercooked", UNDER, "11:00", "A-T1", ("discarded", "other_tray", "returned_to_oven"), False),
    ("too few probed", TOO_FEW, "11:00", "A-T1", ("discarded", "chilled", "other_tray", "returned_to_oven"), True),
    ("a tie missing", TIES, "11:00", "A-T1", ("discarded", "chilled", "other_tray"), True),
    ("a lot rejected", REJECTED, "11:00", "A-T1", ("discarded", "chilled", "other_tray"), True),
    ("out for 4 hours", ONSETS[4][1], "14:31", "A-T1", ("discarded",), False),
    ("cooled too slowly", LATE, "13:00", "A-B1", ("discarded",), False),
    ("cooling not shown", ONSETS[7][1], "13:00", "A-B1", ("discarded",), True),
    ("a bad reheat", ONSETS[10][1], "14:10", "A-T2", ("discarded", "reheated", "other_tray"), False),
    ("a reheat on too long", ONSETS[13][1], "15:01", "A-R1", ("discarded",), False),
    ("warm in cold storage", ONSETS[9][1], "20:00", "A-B1", ("discarded",), True),
]


@pytest.mark.parametrize(("story", "as_of", "name", "ways", "release"), [c[1:] for c in WAYS], ids=[c[0] for c in WAYS])
def test_the_right_ways_are_those_of_the_finding(
    story: Story, as_of: str, name: str, ways: tuple[str, ...], release: bool
) -> None:
    view = aside(told(story, as_of=as_of), name)
    assert view is not None
    assert (view.ways, view.release) == (ways, release)


def test_of_several_findings_the_ways_that_all_have_are_right() -> None:
    story = [*loaded(ties=5), *probed("149", "170"), pulled(ties_removed=4)]
    view = aside(told(story, as_of="11:00"), "A-T1")
    assert view is not None
    assert (view.ways, view.release) == (("discarded", "other_tray"), False)


@pytest.mark.parametrize("to", ["served", "prepared", "donated"])
def test_any_other_way_is_found(to: str) -> None:
    finding = found(told([*UNDER, out("2", "11:00", to)]), "aside.left")[0]
    assert (finding.subject.name, finding.verdict, finding.concerns) == ("A-T1", "not_met", "critical_limit")
    assert (finding.measured["to"], finding.measured["since"]) == (to, moment("10:36"))
    assert finding.dispositions == ("discard", "already_out")


def test_a_right_way_is_not() -> None:
    story = [*UNDER, out("1", "11:00", "discarded"), out("2", "11:01", "other_tray", into="A-T2"), returned("11:02", 2)]
    assert not found(told(story), "aside.left")


def test_each_way_out_of_a_batch_is_asked() -> None:
    story = [*COLD, cooled("45", "14:00"), entry("batch_out", at="15:00", birds="1")]
    story += [entry("reheat_started", at="15:10", birds="1"), entry("batch_out", at="15:20", birds="1", to="discarded")]
    assert [one.measured["to"] for one in found(told(story), "aside.left")] == ["served_cold", "reheated"]


def test_what_left_at_the_onset_of_a_time_limit_was_not_aside() -> None:
    due = [*hot_tray(), chilled(birds="4"), cooled("80", "12:45")]
    out_then = entry("batch_out", at="12:30", birds="1")
    assert not found(told([*due, out_then]), "aside.left")
    later = entry("batch_out", at="12:30:01", birds="1")
    assert len(found(told([*due, later]), "aside.left")) == 1


def test_what_left_at_the_instant_of_the_opener_was_aside_if_the_opener_comes_first() -> None:
    warm = cooled("45", "14:00")
    assert len(found(told([*COLD, warm, entry("batch_out", at="14:00", birds="1")]), "aside.left")) == 1


def test_one_way_out_is_found_once_for_several_findings() -> None:
    story = [*loaded(ties=5), *probed("149", "170"), pulled(ties_removed=4), out("2", "11:00")]
    (left,) = found(told(story), "aside.left")
    assert len(left.measured["findings"]) == 2


# ---- verdicts and cleared findings ----------------------------------------------------------------------------------


def tray_verdict(story: Story, name: str = "A-T1", **options: Any) -> str:
    return next(str(tray.verdict) for tray in told(story, **options).trays if tray.tray == name)


def test_a_tray_is_as_bad_as_what_set_aside_what_was_in_it() -> None:
    assert tray_verdict(UNDER, as_of="11:00") == "not_met"
    assert tray_verdict(TOO_FEW, as_of="11:00") == "not_shown"
    assert tray_verdict([*UNDER, out("5", "11:00", "discarded")]) == "not_met"
    assert tray_verdict([*TOO_FEW, out("5", "11:00")]) == "not_met"


def mended() -> Story:
    wrong = entry("cook_reading", at="10:30", bird=1, temperature="149")
    right = entry(
        "cook_reading", at="10:30", temperature="169", of=wrong, amend_reason="typing", person="robin", seq=10**6
    )
    return [*loaded(), wrong, entry("cook_reading", at="10:30", bird=2), pulled(), right]


def test_a_finding_that_a_mending_cleared_stays_until_it_is_verified() -> None:
    story = mended()
    day = told(story, as_of="11:00")
    cleared = day.cleared[0].finding.key
    view = aside(day, "A-T1")
    assert view is not None
    assert (view.findings, view.cleared, view.release) == ((), (cleared,), False)
    assert "served" in view.ways
    assert not found(told([*story, out("5", "11:00")]), "aside.left")
    ok = entry("action_verified", at="11:05", person="pat", findings=[cleared], outcome="accepted", seq=10**6 + 1)
    assert aside(told([*story, ok], as_of="11:10"), "A-T1") is None


def test_what_was_accepted_before_the_mending_does_not_count_for_it() -> None:
    story = mended()
    finding = key(story[:-1], "cook.core_temperature")
    acted = entry("corrective_action", at="10:50", findings=[finding], disposition="discard")
    accepted = entry("action_verified", at="10:55", person="pat", findings=[finding], outcome="accepted")
    day = told([*story, acted, accepted], as_of="11:00")
    assert [str(item.finding.status) for item in day.cleared] == ["acted"]


@pytest.mark.parametrize(
    ("temperature", "is_made_good"),
    [("149", False), ("170", True)],
    ids=["it came undercooked, which no reheat ends", "a probe was in doubt, which a good reheat ends"],
)
def test_what_can_be_made_good_in_a_reheat(temperature, is_made_good):
    reheated = out("5", "10:50", to="reheated", reheat="A-R1")
    held = entry("hold_reading", at="10:40", temperature="136", probe="white")
    failed = [held, probe_check("40", at="11:00", probe="white")] if is_made_good else []
    checks = [probe_check(at="05:00"), probe_check(at="05:01", probe="white")]
    story = [*checks, *loaded(), *probed(temperature, "171"), entry("spit_pulled", at="10:35"), reheated, *failed]
    (shown,) = told(story, as_of="11:10").reheats
    assert shown.set_aside is not None
    assert shown.set_aside.can_be_made_good is is_made_good
