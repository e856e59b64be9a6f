"""What corrective actions ordered of food: each way out is held to it, and so is what is here at the day's end."""

from datetime import datetime
from typing import Any

import pytest

from app.kinds import Entry
from app.rules.day.shown import Assessment
from tests.support.cast import entry
from tests.support.story import found, hot_tray, loaded, on_day, out, probed, read, told

Story = list[Entry]
LOW = [*hot_tray(), read("130", "11:00")]
FEW = [*loaded(), *probed("170"), entry("spit_pulled", at="10:36")]
UNDER = [*loaded(), *probed("149", "170"), entry("spit_pulled", at="10:36")]
NIGHT = on_day("04:00", 1)


def key(story: Story, rule: str) -> str:
    return found(told(story), rule)[0].key


def ordered(story: Story, rule: str, disposition: str, at: str | datetime = "11:10", **fields: Any) -> Entry:
    return entry("corrective_action", at=at, findings=[key(story, rule)], disposition=disposition, **fields)


def undone(day: Assessment) -> list[tuple[str, str, str]]:
    return [(f.subject.name, str(f.verdict), str(f.measured.get("to", ""))) for f in found(day, "action.done")]


WAYS: list[tuple[str, list[Entry], list[str]]] = [
    ("discard", [out("1", "11:20", "discarded")], []),
    ("discard", [out("1", "11:20", "other_tray", into="A-T2")], []),
    ("discard", [out("1", "11:20")], ["served"]),
    ("discard", [out("1", "11:20", "chilled", batch="A-B1")], ["chilled"]),
    ("serve_now", [out("1", "11:20")], []),
    ("serve_now", [out("1", "11:20", "donated")], ["donated"]),
    ("chill", [out("1", "11:20", "chilled", batch="A-B1")], []),
    ("chill", [out("1", "11:20")], ["served"]),
    ("reheat", [out("1", "11:20", "reheated", reheat="A-R1")], []),
    ("reheat", [out("1", "11:20", "prepared")], ["prepared"]),
    ("hold_for_evaluation", [out("1", "11:20", "chilled", batch="A-B1")], []),
    ("hold_for_evaluation", [out("1", "11:20", "other_tray", into="A-T2")], []),
    ("hold_for_evaluation", [out("1", "11:20", "discarded")], []),
    ("hold_for_evaluation", [out("1", "11:20")], ["served"]),
    ("none", [out("1", "11:20")], []),
    ("already_out", [out("1", "11:20")], []),
    ("discard", [out("1", "11:20"), out("2", "11:21")], ["served", "served"]),
]


@pytest.mark.parametrize(("disposition", "outs", "ways"), WAYS)
def test_each_way_out_is_held_to_the_order(disposition: str, outs: Story, ways: list[str]) -> None:
    day = told([*LOW, ordered(LOW, "hold.temperature", disposition), *outs])
    assert [way for _name, verdict, way in undone(day) if verdict == "not_met"] == ways


def test_the_newest_order_counts() -> None:
    first = ordered(LOW, "hold.temperature", "discard")
    then = ordered(LOW, "hold.temperature", "serve_now", at="11:15")
    assert undone(told([*LOW, first, out("1", "11:12"), then, out("1", "11:20")])) == [("A-T1", "not_met", "served")]


def test_what_went_out_before_the_order_is_not_asked() -> None:
    assert not undone(told([*LOW, out("1", "11:05"), ordered(LOW, "hold.temperature", "discard")]))


def test_an_order_goes_with_the_birds() -> None:
    moved = [out("2", "11:20", "other_tray", into="A-T2"), out("1", "11:30", tray="A-T2")]
    day = told([*LOW, ordered(LOW, "hold.temperature", "discard"), *moved])
    assert undone(day) == [("A-T2", "not_met", "served")]


def test_an_order_that_was_carried_out_goes_no_further() -> None:
    cold = [
        entry("cooling_reading", at="12:00", temperature="65"),
        entry("cooling_reading", at="13:00", temperature="40"),
    ]
    story = [*LOW, ordered(LOW, "hold.temperature", "chill"), out("5", "11:20", "chilled", batch="A-B1"), *cold]
    assert not undone(told([*story, entry("batch_out", at="14:00", birds="1")]))


def test_an_order_for_a_spit_is_for_the_trays_it_fed() -> None:
    story = [*loaded(ties=5), *probed("170", "171"), entry("spit_pulled", at="10:36")]
    day = told([*story, ordered(story, "ties.balance", "discard"), out("1", "11:20")])
    assert undone(day) == [("A-T1", "not_met", "served")]


def test_several_findings_each_have_their_order() -> None:
    low = [*UNDER, read("130", "11:00")]
    actions = [ordered(low, "hold.temperature", "serve_now"), ordered(low, "cook.core_temperature", "discard")]
    assert undone(told([*low, *actions, out("1", "11:20")])) == [("A-T1", "not_met", "served")]


def test_a_release_ends_the_orders_for_its_finding() -> None:
    hold = ordered(FEW, "cook.core_temperature", "hold_for_evaluation")
    freed = entry("release", at="11:15", person="pat", findings=[key(FEW, "cook.core_temperature")])
    assert undone(told([*FEW, hold, out("1", "11:20")])) == [("A-T1", "not_met", "served")]
    assert not undone(told([*FEW, hold, freed, out("1", "11:20")]))


def test_a_batch_is_chilled_once_it_was_read_cold() -> None:
    cold = [*hot_tray(), out("5", "11:00", "chilled", batch="A-B1")]
    cold += [
        entry("cooling_reading", at="12:00", temperature="65"),
        entry("cooling_reading", at="13:00", temperature="40"),
    ]
    warm = [*cold, entry("cooling_reading", at="14:00", temperature="46")]
    acted = [*warm, ordered(warm, "cold.temperature", "chill", at="14:10")]
    served = entry("batch_out", at="15:00", birds="1")
    assert undone(told([*acted, served])) == [("A-B1", "not_met", "served_cold")]
    again = entry("cooling_reading", at="14:40", temperature="41")
    assert not undone(told([*acted, again, served]))


def test_the_finding_names_the_way_out_and_then_the_orders() -> None:
    acted, served = ordered(LOW, "hold.temperature", "discard"), out("5", "11:20")
    finding = found(told([*LOW, acted, served]), "action.done")[0]
    assert (finding.key, finding.entries) == (f"action.done:tray:A-T1:{served.id}", (served.id, acted.id))
    assert (finding.concerns, finding.limit) == ("critical_limit", {"disposition": "discard"})


# ---- at the end of the day ------------------------------------------------------------------------------------------


def at_night(*more: Entry, disposition: str = "discard") -> Assessment:
    return told([*LOW, ordered(LOW, "hold.temperature", disposition), *more], as_of=NIGHT)


def test_food_still_here_when_the_orders_day_ends() -> None:
    assert not undone(told([*LOW, ordered(LOW, "hold.temperature", "discard")], as_of=on_day("03:59", 1)))
    day = at_night(out("2", "12:00", "discarded"))
    (finding,) = found(day, "action.done")
    assert (finding.subject.name, finding.verdict, finding.concerns) == ("A-T1", "not_shown", "monitoring")
    assert (finding.onset_at, finding.measured) == (NIGHT, {"birds": 3})


def test_each_that_holds_it_is_told() -> None:
    day = at_night(out("2", "12:00", "other_tray", into="A-T2"))
    assert undone(day) == [("A-T1", "not_shown", ""), ("A-T2", "not_shown", "")]


def test_what_it_was_put_into_twice_is_told_once() -> None:
    day = at_night(*(out("1", at, "other_tray", into="A-T2") for at in ("12:00", "12:10")))
    assert undone(day) == [("A-T1", "not_shown", ""), ("A-T2", "not_shown", "")]


def test_an_action_that_answers_two_findings_is_told_once() -> None:
    low = [*UNDER, read("130", "11:00")]
    keys = [key(low, rule) for rule in ("hold.temperature", "cook.core_temperature")]
    action = entry("corrective_action", at="11:10", findings=keys, disposition="discard")
    assert undone(told([*low, action], as_of=NIGHT)) == [("A-T1", "not_shown", "")]


@pytest.mark.parametrize(
    ("disposition", "more"),
    [
        ("discard", [out("5", "12:00", "discarded")]),
        ("hold_for_evaluation", []),
        ("chill", [out("5", "12:00", "chilled", batch="A-B1")]),
        ("reheat", [out("5", "12:00", "reheated", reheat="A-R1")]),
        ("none", []),
    ],
    ids=["gone", "held for evaluation", "chilled", "being reheated", "nothing ordered"],
)
def test_nothing_is_owed_where_it_was_done_or_is_held(disposition: str, more: Story) -> None:
    assert not undone(at_night(*more, disposition=disposition))


def test_what_happens_later_changes_nothing() -> None:
    later = out("5", on_day("09:00", 1), "discarded")
    day = told([*LOW, ordered(LOW, "hold.temperature", "discard"), later], as_of=on_day("10:00", 1))
    assert undone(day) == [("A-T1", "not_shown", "")]


def test_birds_left_on_the_spit_are_being_cooked_on() -> None:
    story = [*UNDER, out("5", "10:50", "returned_to_oven", load="A-L1", spit=9)]
    story[-1] = entry("tray_out", at="10:50", birds=5, to="returned_to_oven", load="A-L1", spit=9)
    day = told([*story, ordered(UNDER, "cook.core_temperature", "continue_cooking", at="10:45")], as_of=NIGHT)
    assert not undone(day)


# ---- signing --------------------------------------------------------------------------------------------------------


def running(story: Story, as_of: str | datetime = "20:00") -> list[str]:
    return [block.subject.name for block in told(story, as_of=as_of).blocking if block.kind == "running"]


COLD = [
    *FEW,
    out("5", "10:50", "chilled", batch="A-B1"),
    entry("cooling_reading", at="12:00", temperature="65"),
    entry("cooling_reading", at="13:00", temperature="40"),
]


def test_food_that_was_ordered_away_keeps_the_day_open_while_it_runs() -> None:
    acted = ordered(COLD, "cook.core_temperature", "discard", at="13:10")
    assert running(COLD) == []
    assert running([*COLD, acted]) == ["A-B1"]
    assert running([*COLD, acted, entry("batch_out", at="14:00", birds="5", to="discarded")]) == []
    assert running([*COLD, acted], as_of=NIGHT) == []


def test_food_held_for_evaluation_does_not() -> None:
    assert running(FEW, as_of="11:30") == ["A-T1"]
    assert running([*FEW, ordered(FEW, "cook.core_temperature", "hold_for_evaluation")], as_of="11:30") == []


def test_food_that_was_already_out_wants_verification() -> None:
    gap = [*hot_tray(), read("140", "12:40"), out("5", "12:50")]
    acted = ordered(gap, "hold.check_interval", "already_out", at="13:00", told="nobody could be reached")
    blocked = [block.kind for block in told([*gap, acted]).blocking if "hold." in str(block.key)]
    assert blocked == ["finding"]
    accepted = entry("action_verified", at="13:10", person="pat", findings=[key(gap, "hold.check_interval")])
    assert not [block for block in told([*gap, acted, accepted]).blocking if "hold." in str(block.key)]
