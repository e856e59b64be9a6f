"""What mendings cleared is found by judging no more than each can reach; here it is held to judging all of the day."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from app.kinds import Entry
from app.kinds.reading import fields_of
from app.rules.day.judge import judge
from app.rules.facts import Finding
from app.rules.plans.limits import GROUPS
from tests.support import set_up
from tests.support.any_day import COLD, COOK, HOLD, ICE, LONGEST, OPENED, Day, Story, days
from tests.support.cast import DAY, changed, entry, minutes, withdrawn
from tests.support.story import adopted, checked, hot_tray, loaded, on_day, out, probe_check, probed, read, told

READINGS = {"cook_reading": COOK, "hold_reading": HOLD, "unit_check": COLD, "probe_check": ICE}
NO_FOOD = ("checklist", "in_charge_from", "note", "receiving")
EVERY_RULE = adopted(controls=",".join(GROUPS))
AS_OF = OPENED + minutes(LONGEST + 600)


@st.composite
def mended_days(draw: Any) -> Day:
    """A drawn day with a second load beside it, of which some entries are mended or withdrawn, some of them twice."""
    story = Story(draw)
    story.day = [*draw(days())]
    _another_load(story)
    story.put("note", OPENED)
    if story.one_of(True, False, False):
        story.day = [replace(row, late=True) for row in story.day]
    mendable = [row for row in story.day if row.kind in (*READINGS, *NO_FOOD) or row is story.day[-2]]
    mendable += [row for row in story.day if row.kind == "spit_pulled"]
    for row in draw(st.lists(st.sampled_from(mendable), min_size=1, max_size=4, unique_by=lambda row: row.seq)):
        first = _mended(story, row)
        if not first.withdrawn and draw(st.booleans()):
            _mended(story, first)
    return story.day


def _another_load(story: Story) -> None:
    story.put("load_started", OPENED, load="A-L2", oven="west")
    story.put("spit_loaded", OPENED, load="A-L2")
    story.reads("cook_reading", COOK, OPENED + minutes(60), 50, load="A-L2")
    story.put("spit_pulled", OPENED + minutes(110), load="A-L2", tray="A-T9")
    story.reads("hold_reading", HOLD, OPENED + minutes(110), 500, tray="A-T9")
    _another_spit(story, "A-L1", "A-T1", pulled=96)
    _another_spit(story, "A-L2", "A-T8", pulled=story.one_of(100, 140, 170))
    story.put("load_started", OPENED + minutes(200), load="A-L3", oven="west")


def _another_spit(story: Story, load: str, tray: str, *, pulled: int) -> None:
    """A second spit of a load: into a tray of its own, or into that of the first."""
    ties = story.one_of(..., 5)
    story.put("spit_loaded", OPENED, load=load, spit=2, ties=ties, lot=story.one_of("0412-7", "0412-9"))
    story.reads("cook_reading", COOK, OPENED + minutes(60), 30, load=load, spit=2)
    story.put("spit_pulled", OPENED + minutes(pulled), load=load, spit=2, tray=tray, ties_removed=ties)


def _mended(story: Story, row: Entry) -> Entry:
    """Write another value, probe or time in place of an entry, or withdraw it."""
    seq, own = len(story.day) + 1, fields_of(row)
    if row.kind == "spit_pulled":  # what rests on it keeps its opener
        own |= {"ties_removed": story.one_of(4, 5), "hot_unit": story.one_of("pass", "cabinet")}
        newer = changed(row, **{**own, "amend_reason": "counted again"})
    elif story.one_of(True, False, False):
        newer = replace(withdrawn(row), amend_reason="never happened")
    else:
        if "temperature" in own:
            own["temperature"] = Decimal(story.one_of(*READINGS.get(row.kind, COLD)))
        if "probe" in own and row.kind != "probe_check":
            own["probe"] = story.one_of("blue", "white")
        if row.kind == "hold_reading":
            own["tray"] = story.one_of(own["tray"], "A-T1", "A-T9")
        at = row.observed_at + minutes(story.one_of(0, 0, 7, 45))
        newer = changed(row, observed_at=at, **{**own, "amend_reason": "slip"})
    newer = replace(newer, seq=seq, id=f"00000000-0000-4000-8000-{seq:012x}", amends=row.id)
    story.day.append(newer)
    return newer


def _cleared_by_definition(day: Sequence[Entry]) -> dict[str, str]:
    """Judge the whole day four times for each mending; gives what is gone, by key, with the mending."""
    calendar = set_up.calendar(plans=[EVERY_RULE])

    def findings(entries: Sequence[Entry]) -> dict[str, Finding]:
        judged = judge(entries, calendar=calendar, as_of=AS_OF, day=DAY)
        return {finding.key: finding for finding in judged.report.findings if finding.day == DAY}

    now, cleared = findings(day), {}
    for mending in (row for row in day if row.amends is not None):
        before, after = ([row for row in day if row.seq < mending.seq + more] for more in (0, 1))
        without = findings([row for row in day if row.root_seq != mending.root_seq or row.seq < mending.seq])
        gone = (without.keys() & findings(before).keys()) - findings(after).keys() - now.keys()
        cleared |= dict.fromkeys(gone, mending.id)
    return cleared


@given(mended_days())
def test_what_a_mending_cleared_is_what_judging_all_of_the_day_says(day: Day) -> None:
    assessment = told(day, as_of=AS_OF, plans=[EVERY_RULE])
    found = {item.finding.key: item.mended_by.id for item in assessment.cleared}
    for item in assessment.cleared:
        event(item.finding.rule)
    assert found == _cleared_by_definition(day)


def test_a_probe_written_wrong_clears_nothing_that_another_reading_opened():
    """The gap of the blue probe was opened by the first load's reading, before and after the second one was mended."""
    elsewhere = [entry(kind, at="09:00", load="A-L2") for kind in ("load_started", "spit_loaded")]
    wrong = entry("cook_reading", at="11:00", load="A-L2")
    right = entry("cook_reading", at="11:00", load="A-L2", probe="white", of=wrong, amend_reason="the white one")
    day = told(
        [probe_check(at="06:00", probe="white"), *loaded(), entry("cook_reading", at="10:00"), *elsewhere, wrong, right]
    )
    assert [finding.rule for finding in day.findings if finding.rule.startswith("probe.")] == ["probe.check_due"]
    assert day.cleared == ()


@pytest.mark.parametrize(("others", "cleared"), [(0, {"cold.check_interval", "record.sign_off_due"}), (1, set())])
def test_a_day_whose_only_entry_was_withdrawn_owes_nothing_any_more_and_says_so(others, cleared):
    wrong = entry("checklist", at="09:00")
    gone = entry("checklist", at="09:00", of=wrong, withdrawn=True)
    day = told([wrong, *[entry("checklist", at="10:00")] * others, gone], as_of=on_day("06:00", 2))
    assert {item.finding.rule for item in day.cleared} == cleared
    owed = {one.key.partition(":")[0] for one in day.blocking if one.kind == "cleared"}
    assert owed == cleared  # somebody in charge looks at what was withdrawn, the signature that was owed included


def test_a_load_that_was_never_started_clears_the_lists_that_were_asked_for_it():
    wrong = entry("load_started", at="09:00")
    day = [wrong, entry("note", at="10:00"), entry("load_started", at="09:00", of=wrong, withdrawn=True)]
    assessment = told(day, as_of=on_day("06:00", 1), plans=[adopted(controls="checklists")])
    assert {item.finding.rule for item in assessment.cleared} == {"checklist.done"}


def test_a_reading_moved_to_another_tray_clears_the_unit_that_was_not_looked_at_again():
    warm = [
        entry("unit_check", at="11:00", unit_code="pass", of="air", temperature="120"),
        *hot_tray(),
        *another_tray(),
    ]
    wrong = entry("hold_reading", at="11:10", tray="A-T9", temperature="140")
    day = told([*warm, wrong, entry("hold_reading", at="11:10", tray="A-T1", temperature="140", of=wrong)])
    assert "hold.unit" in {item.finding.rule for item in day.cleared}


def another_tray() -> list[Entry]:
    """A tray that stands in no hot-holding unit."""
    opened = [entry(kind, at="09:00", load="A-L2") for kind in ("load_started", "spit_loaded")]
    return [*opened, entry("spit_pulled", at="10:35", load="A-L2", tray="A-T9", hot_unit=...)]


# ---- by name, what each kind of mending clears -----------------------------------------------------------------------


def mended(wrong: Entry, *, at: str | None = None, **fields: Any) -> Entry:
    """What somebody writes in its place."""
    moment_seen = wrong.observed_at if at is None else at
    return entry(wrong.kind, at=moment_seen, of=wrong, amend_reason="slip", **{**fields_of(wrong), **fields})


def cleared(*story: Entry, as_of: Any = "20:00") -> set[str]:
    """Give the rules whose findings were cleared."""
    return {item.finding.rule for item in told(story, as_of=as_of).cleared}


UNDER = [*loaded(), *probed("156", "156"), entry("spit_pulled", at="10:36"), out("5", "11:00", "discarded")]


def test_what_only_a_later_entry_made_go_away_is_not_cleared_by_the_mending_before_it():
    """Bird 1 is mended, and bird 2 still stands under the limit until a reading of it is written down at last."""
    first = mended(UNDER[2], temperature="170")
    late = entry("cook_reading", at="10:31", bird=2, temperature="170")
    assert "cook.core_temperature" in {finding.rule for finding in told([*UNDER, first]).findings}
    assert "cook.core_temperature" not in {finding.rule for finding in told([*UNDER, first, late]).findings}
    assert "cook.core_temperature" not in cleared(*UNDER, first, late)
    assert "cook.core_temperature" in cleared(*UNDER, first, mended(UNDER[3], temperature="170"))


BY_BLUE = entry("cook_reading", at="10:00")
"""Read with the blue probe, which nobody has checked."""


@pytest.mark.parametrize(
    ("check", "mending"),
    [
        (probe_check(at="06:00", probe="white"), mended(BY_BLUE, probe="white")),
        (probe_check(at="10:30", probe="blue"), mended(BY_BLUE, at="10:40")),
        (probe_check(at="06:00", probe="white"), entry("cook_reading", at="10:00", of=BY_BLUE, withdrawn=True)),
    ],
    ids=["another probe", "another moment, after the check", "withdrawn"],
)
def test_a_reading_mended_clears_the_gap_of_its_probe(check, mending):
    assert "probe.check_due" in cleared(check, *loaded(), BY_BLUE, mending)


def test_a_reading_of_another_value_clears_no_gap_of_its_probe():
    assert "probe.check_due" not in cleared(*loaded(), BY_BLUE, mended(BY_BLUE, temperature="171"))


def test_a_tray_read_in_time_after_all_clears_what_its_warm_unit_raised():
    """The air was hot at 09:00 and is low at 11:00, so that a tray in it is to be read by 11:30."""
    air = [checked("150", "09:00", code="pass"), checked("128", "11:00", code="pass")]
    story = [*air[:1], *hot_tray(), *air[1:], wrong := read("150", "11:40")]
    assert cleared(*story, mended(wrong, at="11:20")) == {"hold.unit"}


def test_food_of_another_load_is_not_touched():
    """Its low run stands before the mending and after it."""
    other = [*hot_tray(load="A-L2", tray="A-T2"), read("130", "11:00", tray="A-T2")]
    story = [*hot_tray(), *other, wrong := read("130", "11:10")]
    day = told([*story, mended(wrong, temperature="150")], as_of="12:00")
    assert [item.finding.subject.name for item in day.cleared] == ["A-T1"]
    assert [f.subject.name for f in day.findings if f.rule == "hold.temperature"] == ["A-T2"]


def test_food_that_came_into_one_tray_is_judged_together():
    """The tray it was moved into is past four hours by the reading that is mended."""
    story = [*hot_tray(), wrong := read("130", "11:00"), out("5", "11:10", "other_tray", into="A-T2")]
    assert cleared(*story, mended(wrong, temperature="150")) == {"hold.temperature", "hold.time_out"}


def test_a_single_bird_that_never_went_into_a_tray_clears_what_it_brought_there():
    story = [*hot_tray(), read("130", "11:00"), wrong := out("1", "11:10", "other_tray", into="A-T2")]
    thrown = entry("tray_out", at="11:10", of=wrong, tray="A-T1", birds="1", to="discarded", amend_reason="slip")
    subjects = {item.finding.subject.name for item in told([*story, thrown]).cleared}
    assert subjects == {"A-T2"}


def test_the_lot_of_one_spit_mended_clears_what_was_said_of_its_load():
    """Another spit of it carries a lot that is known."""
    known = entry("receiving", at="08:00", lot="0412-7")
    spits = [entry("spit_loaded", at="09:00", spit=spit, lot=lot) for spit, lot in ((1, "0412-7"), (2, "0412-8"))]
    story = [known, entry("load_started", at="09:00"), *spits]
    assert "lot.known" in cleared(*story, mended(spits[1], lot="0412-7"))


def test_what_only_fed_a_tray_before_is_looked_at_too():
    """A bird that was long out makes four hours full by a low reading; later it is said to be of another tray."""
    early = [*hot_tray(), *hot_tray(load="A-L3", tray="A-T3"), read("130", "10:40"), read("130", "10:40", tray="A-T3")]
    late = hot_tray(load="A-L2", tray="A-T2", pulled="14:05", probed_at="14:00")
    moved, wrong = out("1", "14:20", "other_tray", into="A-T2"), read("130", "14:25", tray="A-T2")
    sold, right = out("6", "15:00", tray="A-T2"), mended(wrong, temperature="150")
    day = told([*early, *late, moved, wrong, sold, right, mended(moved, tray="A-T3")])
    assert ("hold.time_out", "A-T2") in {(item.finding.rule, item.finding.subject.name) for item in day.cleared}


def test_what_was_served_while_set_aside_and_was_withdrawn_is_cleared_and_what_stands_is_not():
    """The reading under the limit stands, and with it that its food is set aside."""
    sold = out("1", "11:00")
    found = cleared(*UNDER[:-1], sold, entry("tray_out", at="11:00", of=sold, withdrawn=True))
    assert found == {"aside.left"}


def test_a_failed_check_withdrawn_clears_itself_and_not_what_only_a_later_check_made_go_away():
    """The reading at 11:00 stays one with a probe out of use by the check at 8:00, until one that passed is added."""
    day = [*hot_tray(), probe_check("29", at="08:00"), probe_check("29", at="09:00"), read("150", "11:00")]
    day.append(entry("probe_check", at="09:00", of=day[-2], withdrawn=True))
    assert "probe.out_of_use" in {finding.rule for finding in told(day).findings}
    assert cleared(*day, probe_check(at="08:30")) == {"probe.accuracy"}
