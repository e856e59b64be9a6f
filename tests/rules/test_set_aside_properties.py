"""What holds of food set aside, wherever it goes (Hypothesis)."""

from collections.abc import Iterator
from decimal import Decimal

from hypothesis import assume, given
from hypothesis import strategies as st

from app.kinds import Entry, ReheatDone, Release, SpitPulled, Subject
from app.rules.day.shown import Assessment
from app.rules.facts import Verdict
from app.rules.history.following import Place, Stay
from app.rules.history.holders import Reheat, Spit
from app.rules.history.set_aside import Aside
from app.rules.subjects import cooking, reheating
from tests.support.any_food import LATEST, foods
from tests.support.cast import entry, minutes
from tests.support.examples import examples
from tests.support.story import told

AFTER = LATEST + minutes(60)


def followed(day: Assessment) -> list[Aside]:
    """The food of every finding of a day that sets food aside."""
    book = day.answers
    return [day.doubts.follow(one, book[one.key].releases) for one in day.findings if one.sets_aside]


def in_doubt(aside: Aside, place: Place) -> dict[Subject, Stay]:
    return {stay.holder.subject: stay for stay in aside.trail.at(place)}


def is_made_good(aside: Aside, stay: Stay, move: Entry, doubted: frozenset[str], day: Assessment) -> bool:
    """Whether a finding's dispositions allow that a pull or a reheat makes good, and this one was well done."""
    kitchen, ways = day.doubts.timeline.kitchen, aside.finding.dispositions
    if isinstance(move, SpitPulled) and isinstance(stay.holder, Spit) and "continue_cooking" in ways:
        return cooking.is_met_without(kitchen, stay.holder, move, doubted=doubted)
    if isinstance(move, ReheatDone) and isinstance(stay.holder, Reheat) and "reheat" in ways:
        return stay.entered and reheating.judge_done(stay.holder, move)[0] is Verdict.MET
    return False


@given(foods())
def test_food_leaves_the_state_only_by_one_of_its_endings(story: list[Entry]) -> None:
    """A holder is in doubt no longer when it is empty or released; what it fills is in doubt too."""
    day = told(story, as_of=AFTER)
    timeline = day.doubts.timeline
    for aside in followed(day):
        before: dict[Subject, Stay] = {}
        for index, happened in enumerate(timeline.kitchen.entries):
            now = in_doubt(aside, Place(index, 1))
            for subject, stay in before.items():
                emptied = timeline.held(stay.holder, Place(index)) <= 0
                assert subject in now or emptied or isinstance(happened, Release)
                filled = [flow.subject for flow in happened.flows() if flow.birds > 0]
                if any(flow.birds < 0 and flow.subject == subject for flow in happened.flows()) and filled:
                    made_good = is_made_good(aside, stay, happened, day.doubts.doubted, day)
                    assert filled[0] in now or made_good
            before = now


@given(foods())
def test_every_bird_that_was_set_aside_is_found_at_its_end(story: list[Entry]) -> None:
    """Of each holder: what was in it and came into it is what left it, step by step, and what is in it at the end."""
    day = told(story, as_of=AFTER)
    timeline = day.doubts.timeline
    for aside in followed(day):
        for stay in aside.trail.stays:
            until = stay.until or Place(len(story))
            came = timeline.held(stay.holder, stay.place) + sum(
                (move.birds for move in stay.holder.fills if stay.place < Place(move.index) <= until), Decimal(0)
            )
            assert came == sum(_went(aside, stay)) + timeline.held(stay.holder, until)


def _went(aside: Aside, stay: Stay) -> Iterator[Decimal]:
    indexes = {step.move.index for step in aside.trail.steps if step.stay is stay}
    yield from (step.birds for step in aside.trail.steps if step.stay is stay and step.move.other is not None)
    yield from (one.birds for one in aside.trail.gone if one.order in indexes)


@given(foods())
def test_what_a_day_says_of_the_food_is_where_it_is(story: list[Entry]) -> None:
    day = told(story, as_of=AFTER)
    holding = {(f"{load.load}/{spit.spit}", spit.set_aside) for load in day.loads for spit in load.spits}
    holding |= {(tray.tray, tray.set_aside) for tray in day.trays} | {(b.batch, b.set_aside) for b in day.batches}
    holding |= {(reheat.reheat, reheat.set_aside) for reheat in day.reheats}
    for key, food in day.food.items():
        assert {one.holder.label for one in food.here} == {
            name for name, view in holding if view and key in view.findings
        }
        assert all(one.birds > 0 for one in (*food.here, *food.gone))


@given(foods(), st.integers(0, 40), st.integers(0, 900))
def test_a_release_changes_no_other_foods_state(story: list[Entry], which: int, at: int) -> None:
    without = told(story, as_of=AFTER)
    keys = [finding.key for finding in without.findings if finding.may_be_released]
    assume(keys)
    key = keys[which % len(keys)]
    release = entry("release", at=story[0].observed_at + minutes(at), person="pat", findings=[key], seq=9000)
    day = told([*story, release], as_of=AFTER)
    assert {one: food for one, food in day.food.items() if one != key} == {
        one: food for one, food in without.food.items() if one != key
    }
    assert [(f.key, f.verdict) for f in day.findings if f.rule != "aside.left"] == [
        (f.key, f.verdict) for f in without.findings if f.rule != "aside.left"
    ]
    left = {f.key for f in without.findings if f.rule == "aside.left"}
    assert {f.key for f in day.findings if f.rule == "aside.left"} <= left


@examples(50)
@given(foods())
def test_each_right_way_raises_nothing_and_each_other_way_is_found(story: list[Entry]) -> None:
    day = told(story, as_of=AFTER)
    for tray in day.trays:
        if tray.set_aside is None or not tray.set_aside.findings:
            continue
        for to in ("served", "discarded", "prepared", "donated"):
            gone = entry("tray_out", at=AFTER, tray=tray.tray, birds="1", to=to, seq=9001)
            found = [f for f in told([*story, gone], as_of=AFTER).findings if f.entries[0] == gone.id]
            raised = {f.rule for f in found} & {"aside.left", "hold.disposition"}
            assert bool(raised) == (to not in tray.set_aside.ways)
