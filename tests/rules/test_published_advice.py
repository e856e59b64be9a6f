"""Published advice on food that cooled too slowly, reheated too slowly, or was there when the power went.

What a point rests on stands beside it: the document and section, and how it is known to us: `read` in the text itself,
`second` in a text that repeats it, or `memory`. It is guidance; the hours themselves are law where they were adopted.
"""

import pytest

from app import words
from app.kinds import Entry
from tests.support.aside_story import cooled, pulled, ways
from tests.support.cast import entry
from tests.support.story import found, hot_tray, out, probed, read, told

Story = list[Entry]


# ---- cooling and reheating ------------------------------------------------------------------------------------------
# USDA and National Food Service Management Institute, HACCP-Based Standard Operating Procedures (2005), each read as a
# kitchen reprints it:
# - Cooling Potentially Hazardous Foods: action at once where food is over 70 °F after 2 hours or over 41 °F after 6
#   (instructions, 6; read without its corrective action).
# - Reheating Potentially Hazardous Foods: corrective action 2, go on heating until the temperature is reached.
# Which action follows on cooling that was too slow: a food service's two-stage cooling log (second) throws away, or
# heats to 165 °F once and cools again; the University of Maine Cooperative Extension's record sheet (read) heats again.
# The stricter one, thrown away once the time is over, is held here. FDA Food Code, Annex 5, lets an inspector have it
# heated again (read up to there; that this holds within the time alone: memory).
# Not at 165 °F after the two hours of reheating: thrown away. City of Dubuque, Iowa, "Method for Reheating Food": read.
# The hours themselves: Nevada NAC 446.176(1): read; FDA Food Code 2022, 3-501.14(A), 3-403.11(A) and (D): second.


CHILLED = [*hot_tray(), out("5", "11:00", "chilled", batch="A-B1")]
"""Its cooling clock starts at 10:30, when it was known hot last: 12:30 is two hours, 16:30 six."""
IN_TIME = cooled("70", "12:30")
DISCARDED = ("discarded",)
COOLING: list[tuple[str, Story, str, bool, tuple[str, ...] | None]] = [
    ("over 70 °F, within 2 hours: reheated and cooled again", [cooled("90", "12:00")], "12:10", True, None),
    ("over 70 °F, after 2 hours: discarded", [cooled("80", "12:31")], "12:40", False, DISCARDED),
    ("over 41 °F, within 6 hours: reheated and cooled again", [IN_TIME, cooled("50", "16:00")], "16:10", True, None),
    ("over 41 °F, after 6 hours: discarded", [IN_TIME, cooled("42", "16:31")], "16:40", False, DISCARDED),
]


@pytest.mark.parametrize(
    ("readings", "as_of", "may_reheat", "right"), [one[1:] for one in COOLING], ids=[one[0] for one in COOLING]
)
def test_cooling_too_slow(readings: Story, as_of: str, may_reheat: bool, right: tuple[str, ...] | None) -> None:
    assert ways(told([*CHILLED, *readings], as_of=as_of), "A-B1") == right
    reheat = entry("reheat_started", at=as_of, birds="5")
    left = found(told([*CHILLED, *readings, reheat], as_of="16:45"), "aside.left")
    assert (not left) is may_reheat


COLD = [*CHILLED, cooled("65", "12:00"), cooled("40", "12:30"), entry("reheat_started", at="13:00", birds="5")]


def heated(temperature: str, at: str) -> Entry:
    return entry("reheat_reading", at=at, temperature=temperature)


def done(at: str) -> Entry:
    return entry("reheat_done", at=at, birds="5")


HEATED_ON = [heated("150", "13:30"), heated("165", "13:50"), done("13:51")]
TOO_COOL = [heated("150", "13:30"), done("13:31")]
TOO_SLOW = [heated("165", "15:01"), done("15:02")]
REHEATING: list[tuple[str, Story, tuple[str, ...] | None]] = [
    ("too cool at first: heated on until it is met", HEATED_ON, None),
    ("done too cool: heated again, or discarded", TOO_COOL, ("discarded", "reheated", "other_tray")),
    ("not hot within 2 hours: discarded", TOO_SLOW, ("discarded", "other_tray")),
]


@pytest.mark.parametrize(
    ("story", "right"), [one[1:] for one in REHEATING], ids=[f"reheating, {one[0]}" for one in REHEATING]
)
def test_reheating_that_failed(story: Story, right: tuple[str, ...] | None) -> None:
    assert ways(told([*COLD, *story], as_of="15:10"), "A-T2") == right


# ---- a power cut ----------------------------------------------------------------------------------------------------
# Washington State Department of Health, advice for food businesses: second, as a power company repeats it ("throw away
# any foods that are in the process of being cooked but have not yet reached their final cooking temperature"; gas off
# where the hood stops). After how long a cut sets food aside, here 30 minutes, is a house rule; that somebody in charge
# may release it after a review is 9 CFR 417.3(b)(2).
# Food that was held hot: a cut of 2 hours or less is no hazard to it (Marin County, California, Environmental Health
# Services; the same by the Los Angeles County Department of Public Health: read). After more than 4 hours between 41
# and 135 °F it is thrown away (Iowa Department of Inspections, Appeals and Licensing, power outage guidance, 2: read).

CUT = [entry("equipment_out", at="09:30", cause="power cut"), entry("equipment_back", at="10:01")]
NEVER_HOT = [*CUT, *probed("150", "151"), pulled()]
HOT_AFTERWARDS = [*CUT, *probed("170", "171"), pulled()]
COOKED_BEFORE = [*probed("170", "171", at="09:20"), pulled("09:25"), *CUT]
OUTAGES: list[tuple[str, Story, tuple[str, ...] | None]] = [
    ("in the middle of cooking, never hot enough: discarded", NEVER_HOT, ("discarded", "other_tray")),
    ("in the middle of cooking, hot afterwards: held", HOT_AFTERWARDS, ("discarded", "chilled", "other_tray")),
    ("cooked before the cut", COOKED_BEFORE, None),
]


@pytest.mark.parametrize(("story", "right"), [one[1:] for one in OUTAGES], ids=[one[0] for one in OUTAGES])
def test_food_in_the_oven_when_the_power_went(story: Story, right: tuple[str, ...] | None) -> None:
    begun = [entry("load_started", at="08:00"), entry("spit_loaded", at="08:00")]
    assert ways(told([*begun, *story], as_of="10:40"), "A-T1") == right


HELD = [*hot_tray(), read("140", "11:00"), entry("equipment_out", at="11:00", code="pass", cause="power cut")]
STILL_WARM = [entry("equipment_back", at="12:40", code="pass"), read("130", "12:40"), read("140", "12:59")]
OVER_TWO_HOURS = [entry("equipment_back", at="13:01", code="pass"), read("130", "13:01")]
OVER_FOUR_HOURS = [entry("equipment_back", at="15:01", code="pass"), read("130", "15:01")]
HELD_HOT: list[tuple[str, Story, str, bool, bool]] = [
    ("under 2 hours, hot again: no hazard", STILL_WARM, "13:15", True, False),
    ("over 2 hours: the authority's word no longer covers it", OVER_TWO_HOURS, "13:15", False, False),
    ("over 4 hours: thrown away", OVER_FOUR_HOURS, "15:15", False, True),
]


@pytest.mark.parametrize(
    ("story", "at", "may_serve", "aside"), [one[1:] for one in HELD_HOT], ids=[one[0] for one in HELD_HOT]
)
def test_food_held_hot_when_the_power_went(story: Story, at: str, may_serve: bool, aside: bool) -> None:
    assert (ways(told([*HELD, *story], as_of=at), "A-T1") is not None) is aside
    served = told([*HELD, *story, out("5", at)])
    wrong = [*found(served, "hold.disposition"), *found(served, "aside.left")]
    assert (not wrong) is may_serve


def test_gas_under_a_hood_without_extraction_is_turned_off() -> None:
    assert "No power, or the hood draws no air: turn the gas equipment off." in words.gas_caution()
