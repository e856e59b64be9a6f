"""Published procedures for food that failed, held against what the rules do, point by point.

What a point rests on stands beside it: the document and section, and how it is known to us: `read` in the text itself,
`second` in a text that repeats it, or `memory`. None of them binds a restaurant by itself: 9 CFR 417 is for inspected
plants, and the Food Code is law where it was adopted. What advice says of slow cooling, slow reheating and power cuts
is held in test_published_advice.
"""

from typing import Any

import pytest

from app.kinds import CorrectiveAction, Entry, PlanReassessed
from app.kinds.form import form_of
from app.kinds.permissions import Permission, writing
from app.rules.day.shown import Assessment
from app.rules.plans import plan
from tests.support.aside_story import pulled, ways
from tests.support.cast import OPENED, entry, moment
from tests.support.story import found, hot_tray, loaded, out, probed, read, told

Story = list[Entry]


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
    """9 CFR 417.3(b)(2) (read); before the product ships: 417.5(c) (read as far as that).

    By somebody who did not make the record, where there is one: the end of 417.5(c) (memory).
    """
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
# FDA Food Code 3-501.19(B), which was not read itself. Nevada adopted its words: NAC 446.182(2)(a) to (d): read. By
# edition through MN 4626.0408, WI 3-501.19, CA 114000: second.

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
