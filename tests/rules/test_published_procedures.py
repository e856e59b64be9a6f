"""Published procedures for food that failed, held against what the rules do, point by point.

What a point rests on stands beside it: the document and section, and how it is known to us: `read` in the text itself,
`second` in a secondary text, or `memory`. None of them binds a restaurant by itself: 9 CFR 417 is for inspected plants,
the model procedures and the advice on power cuts are guidance, and the Food Code is law where it was adopted.
"""

from typing import Any

import pytest

from app import words
from app.kinds import CorrectiveAction, Entry, PlanReassessed
from app.kinds.form import form_of
from app.kinds.permissions import Permission, writing
from app.rules.day.shown import Assessment
from app.rules.plans import plan
from tests.support.cast import OPENED, entry, moment
from tests.support.story import found, hot_tray, loaded, out, probed, read, told

Story = list[Entry]


def ways(day: Assessment, name: str) -> tuple[str, ...] | None:
    """The ways out that are right for a tray or batch; None where nothing of it is set aside."""
    named: dict[str, Any] = {one.tray: one for one in day.trays} | {one.batch: one for one in day.batches}
    view = named[name].set_aside
    return None if view is None else view.ways


def pulled(at: str = "10:36", tray: str = "A-T1", **fields: Any) -> Entry:
    return entry("spit_pulled", at=at, tray=tray, **fields)


# ---- a deviation that was not foreseen ------------------------------------------------------------------------------
# 9 CFR 417.3(a) and (b)(1) to (4): read.

NOT_SHOWN = [*loaded(), *probed("170"), pulled()]
"""A pull with one bird probed instead of two: nobody knows whether it is done."""


def _key(story: Story, rule: str) -> str:
    return found(told(story), rule)[0].key


def _released(at: str) -> Entry:
    return entry("release", at=at, person="pat", findings=[_key(NOT_SHOWN, "cook.core_temperature")])


SEGREGATED: list[tuple[str, Story, dict[str, str]]] = [
    ("417.3(b)(1): segregated from the pull on", NOT_SHOWN, {"A-T1": "10:36"}),
    (
        "417.3(b)(1): wherever it goes",
        [*NOT_SHOWN, out("2", "11:00", "other_tray", into="A-T2")],
        {"A-T1": "10:36", "A-T2": "11:00"},
    ),
    ("417.3(b)(1): held until it was reviewed", [*NOT_SHOWN, _released("11:30")], {}),
    (
        "417.3(b)(2): reviewing one thing releases nothing else",
        [*NOT_SHOWN, entry("equipment_out", at="10:00"), entry("equipment_back", at="10:32"), _released("11:30")],
        {"A-T1": "10:36"},
    ),
]


@pytest.mark.parametrize(("story", "held"), [one[1:] for one in SEGREGATED], ids=[one[0] for one in SEGREGATED])
def test_what_a_deviation_may_have_touched_is_segregated_and_held(story: Story, held: dict[str, str]) -> None:
    day = told(story, as_of="12:00")
    since = {tray.tray: tray.set_aside.since for tray in day.trays if tray.set_aside}
    assert since == {tray: moment(clock) for tray, clock in held.items()}


REACHES_TRADE: list[tuple[str, Story, int]] = [
    ("417.3(b)(3): served before the review", [*NOT_SHOWN, out("5", "11:00")], 1),
    ("417.3(b)(3): given away before the review", [*NOT_SHOWN, out("5", "11:00", "donated")], 1),
    ("417.3(b)(3): served after the review", [*NOT_SHOWN, _released("11:00"), out("5", "11:30")], 0),
    ("417.3(b)(3): thrown away", [*NOT_SHOWN, out("5", "11:00", "discarded", reason="temperature")], 0),
]


@pytest.mark.parametrize(("story", "times"), [one[1:] for one in REACHES_TRADE], ids=[one[0] for one in REACHES_TRADE])
def test_what_reaches_trade_before_the_review_is_not_met(story: Story, times: int) -> None:
    left = found(told(story), "aside.left")
    assert [finding.verdict for finding in left] == ["not_met"] * times


@pytest.mark.parametrize(
    "field",
    ["cause", "action", "disposition", "prevention"],
    ids=[
        "417.3(a)(1): the cause",
        "417.3(a)(2): under control again",
        "417.3(b)(3): what becomes of the food",
        "417.3(a)(3): that it does not happen again",
    ],
)
def test_a_corrective_action_says_each_point(field: str) -> None:
    assert form_of(CorrectiveAction).all_fields()[field].required


def test_an_action_is_reviewed_by_somebody_else_in_charge() -> None:
    """9 CFR 417.3(b)(2) (read); by somebody who did not make the record, where there is one: 417.5(c) (memory)."""
    key = _key(NOT_SHOWN, "cook.core_temperature")
    action = entry("corrective_action", at="11:00", person="pat", findings=[key], disposition="discard")
    own = entry("action_verified", at="11:10", person="pat", findings=[key])
    other = entry("action_verified", at="11:20", person="sam", findings=[key])
    assert found(told([*NOT_SHOWN, action, own, other]), "cook.core_temperature")[0].status == "verified"
    somebody = entry("hold_reading", at="11:30", person="sam")
    assert found(told([*NOT_SHOWN, action, own, somebody]), "cook.core_temperature")[0].status == "acted"


@pytest.mark.parametrize(
    ("field", "is_required"),
    [("finding", False), ("looked_at", True), ("outcome", True), ("basis", True)],
    ids=[
        "417.3(b)(4): after this deviation",
        "417.3(b)(4): what was reassessed",
        "417.3(b)(4): whether the plan is to name it from now on",
        "417.3(b)(4): why",
    ],
)
def test_the_plan_is_reassessed_after_a_deviation_that_nobody_foresaw(field: str, is_required: bool) -> None:
    assert form_of(PlanReassessed).all_fields()[field].required is is_required


def test_it_is_reassessed_by_somebody_who_may_change_it() -> None:
    """9 CFR 417.3(b)(4) (read): by a person trained for it (417.7); here by whoever may adopt a plan."""
    assert writing("plan_reassessed") is Permission.ADOPT_PLAN


def test_a_reassessment_names_the_finding_and_neither_answers_nor_releases_it() -> None:
    key = _key(NOT_SHOWN, "cook.core_temperature")
    texts = {"looked_at": "how spits are probed", "basis": "two birds were asked for already"}
    again = entry("plan_reassessed", at="11:30", person="pat", version=1, outcome="plan_stands", finding=key, **texts)
    day = told([*NOT_SHOWN, again], as_of="12:00")
    assert found(day, "cook.core_temperature")[0].status == "open"
    assert ways(day, "A-T1") is not None


# ---- time as the control --------------------------------------------------------------------------------------------
# FDA Food Code 3-501.19(B), which was not read itself: through MN 4626.0408, WI 3-501.19, CA 114000: second.

EDITIONS = {
    "us_food_code_2013": ("(B)(2)", "(B)(3)"),
    "us_food_code_2017": ("(B)(2)", "(B)(3)"),
    "us_food_code_2022": ("(B)(3)", "(B)(4)"),
}
"""Code → the paragraphs of its edition for the four hours and for where the food may go."""
EACH_EDITION = pytest.mark.parametrize("code", EDITIONS)
ALLOWED = {"served", "discarded"}
TARGETS: dict[str, dict[str, Any]] = {
    "chilled": {"batch": "A-B1"},
    "reheated": {"reheat": "A-R1"},
    "other_tray": {"into": "A-T2"},
    "returned_to_oven": {"load": "A-L1", "spit": 2},
}


def timed(code: str, *entries: Entry, marked: bool = True, as_of: str = "20:00") -> Assessment:
    """A tray at 140 °F put under time as the control at 11:00, judged by an edition of the code."""
    label = {"marked_discard_by": moment("15:00")} if marked else {}
    plans = [plan.Adopted(1, code, (("time_control_procedure", "TC-1"),), "pat", OPENED)]
    start = entry("time_control_started", at="11:00", **label)
    return told([*hot_tray(), read("140", "11:00"), start, *entries], plans=plans, as_of=as_of)


@EACH_EDITION
@pytest.mark.parametrize("to", ["served", "prepared", "donated", "discarded", *TARGETS])
def test_within_four_hours_food_is_served_or_discarded(code: str, to: str) -> None:
    day = timed(code, out("5", "12:00", to, **TARGETS.get(to, {})))
    verdicts = [finding.verdict for finding in found(day, "time_control.returned")]
    assert verdicts == ([] if to in ALLOWED else ["not_met"])


@EACH_EDITION
@pytest.mark.parametrize(
    ("emptied", "verdicts"), [("14:59:59", []), ("15:00", []), ("15:00:01", ["not_met"])], ids=["before", "at", "after"]
)
def test_after_four_hours_it_is_too_late(code: str, emptied: str, verdicts: list[str]) -> None:
    day = timed(code, out("5", emptied))
    assert [finding.verdict for finding in found(day, "time_control.discard")] == verdicts


@EACH_EDITION
def test_over_four_hours_food_is_discarded(code: str) -> None:
    assert ways(timed(code, as_of="15:01"), "A-T1") == ("discarded",)


@EACH_EDITION
def test_food_without_a_mark_shows_no_time(code: str) -> None:
    assert [finding.verdict for finding in found(timed(code, marked=False), "time_control.mark")] == ["not_shown"]


@EACH_EDITION
def test_the_paragraphs_are_those_of_the_edition(code: str) -> None:
    origins = plan.resolve(plan.Adopted(1, code, (), "pat", OPENED), OPENED.date()).sources
    cited = (origins["time_control_min"].source, origins["time_control_ways"].source)
    assert tuple(source.partition("3-501.19")[2] for source in cited) == EDITIONS[code]


# ---- cooling and reheating ------------------------------------------------------------------------------------------
# USDA and National Food Service Management Institute, HACCP-Based Standard Operating Procedures (2005): hot holding,
# reheating "until it is met", and that action is taken when cooling is over 70 °F after 2 hours or over 41 °F after 6:
# second, as schools print them. Which action that is, and what is thrown away when the two hours of reheating are over:
# memory. Advice differs: a cooling record sheet of the University of Maine Cooperative Extension (second) reheats what
# is over 70 °F after 2 hours; the stricter one is held here. The hours themselves: FDA Food Code 2022, 3-501.14(A),
# 3-403.11(A) and (D), through adopting codes.


def cooled(temperature: str, at: str) -> Entry:
    return entry("cooling_reading", at=at, temperature=temperature)


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
# Washington State Department of Health, advice for food businesses: second. After how long a cut sets food aside, here
# 30 minutes, is a house rule; that somebody in charge may release it after a review is 9 CFR 417.3(b)(2).

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


def test_gas_under_a_hood_without_extraction_is_turned_off() -> None:
    assert "No power, or no draught in the hood: turn the gas equipment off." in words.gas_caution()
