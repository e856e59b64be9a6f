"""What rules declare of their findings: which are about verification, and where food may be found to be out already."""

from pathlib import Path

import pytest

from app.rules.day.judge import all_rules
from app.rules.facts import Verdict

VERIFICATION = {"birds": {"balance"}, "record": {"sign_off_due", "late"}}
"""Whether the records add up and were looked at (9 CFR 417.4(a)(2)): not a limit, and no reading that is missing."""

ALREADY_OUT = {
    "cook": {"core_temperature", "interrupted"},
    "lot": {"rejected"},
    "ties": {"balance"},
    "hold": {"temperature", "time_out", "check_interval", "disposition", "unit"},
    "time_control": {"start", "procedure", "mark", "discard", "returned"},
    "cool": {"first_stage", "total"},
    "cold": {"temperature"},
    "date_mark": {"passed"},
    "reheat": {"temperature", "dwell", "time"},
    "probe": {"review"},
    "action": {"done"},
    "aside": {"left"},
}
"""Rules about food that may have been sold, served or given away before anybody saw what was wrong."""


def names(by_group):
    return {f"{group}.{name}" for group, of_group in by_group.items() for name in of_group}


def test_these_findings_are_about_verification_and_no_others():
    assert {name for name, rule in all_rules().items() if rule.verification} == names(VERIFICATION)


def test_the_food_of_these_may_be_found_to_be_out_already_and_of_no_others():
    assert {name for name, rule in all_rules().items() if rule.already_out} == names(ALREADY_OUT)


def test_how_old_the_reading_may_be_before_time_as_the_control_is_said_to_be_a_rule_of_the_house():
    assert all_rules()["time_control.start"].source.endswith("; 15 min before the start: house")


DISCARD, RELEASE = "discard", "hold_for_evaluation"
SETS_ASIDE = {
    "cook.core_temperature": ({"spit"}, {"continue_cooking", DISCARD}, {"continue_cooking", DISCARD, RELEASE}),
    "cook.interrupted": ({"load"}, {DISCARD, RELEASE}, {DISCARD, RELEASE}),
    "lot.rejected": ({"load"}, {DISCARD, RELEASE}, {DISCARD, RELEASE}),
    "ties.balance": ({"spit"}, {"search_for_foreign_body", DISCARD, RELEASE}, None),
    "hold.time_out": ({"tray"}, {DISCARD}, {DISCARD}),
    "time_control.discard": ({"tray"}, {DISCARD}, {DISCARD}),
    "date_mark.passed": ({"batch"}, {DISCARD}, {DISCARD}),
    "reheat.time": ({"reheat"}, {DISCARD}, {DISCARD}),
    "reheat.temperature": ({"reheat"}, {"reheat", DISCARD}, {"reheat", DISCARD, RELEASE}),
    "reheat.dwell": ({"reheat"}, {"reheat", DISCARD, RELEASE}, {"reheat", DISCARD, RELEASE}),
    "cool.first_stage": ({"batch"}, {DISCARD}, {DISCARD, RELEASE}),
    "cool.total": ({"batch"}, {DISCARD}, {DISCARD, RELEASE}),
    "cold.temperature": ({"batch"}, {"chill", DISCARD, RELEASE}, {"chill", DISCARD, RELEASE}),
}
"""Rule → of which subjects it sets aside the food; what may become of it where not met, where not shown; None: nothing
is set aside. 9 CFR 417.3(b)(2): what nobody can show may be reviewed and released; what is known to be bad may not."""
REVIEWED = {
    "spit": {"continue_cooking", DISCARD, RELEASE},
    "tray": {"reheat", DISCARD, RELEASE},
    "reheat": {"reheat", DISCARD, RELEASE},
    "batch": {DISCARD, RELEASE},
}
"""The same of `probe.review`, by what was read with a probe that failed later."""


def declared(name, verdict, kinds):
    rule = all_rules()[name]
    ways = {kind: set(rule.dispositions_for(verdict, kind)) for kind in kinds if rule.can_set_aside(verdict, kind)}
    return ways or None


@pytest.mark.parametrize("name", SETS_ASIDE)
def test_these_set_food_aside_and_this_may_become_of_it(name):
    kinds, *by_verdict = SETS_ASIDE[name]
    for verdict, ways in zip((Verdict.NOT_MET, Verdict.NOT_SHOWN), by_verdict, strict=True):
        assert declared(name, verdict, kinds) == (ways and dict.fromkeys(kinds, ways))


def test_what_was_read_with_a_probe_that_failed_is_set_aside_by_what_holds_it():
    assert declared("probe.review", Verdict.NOT_SHOWN, REVIEWED) == REVIEWED


def test_no_other_rule_sets_food_aside():
    aside = {name: rule.sets_aside for name, rule in all_rules().items() if rule.sets_aside}
    assert aside == {name: kinds for name, (kinds, *_) in SETS_ASIDE.items()} | {"probe.review": set(REVIEWED)}


@pytest.mark.parametrize("name", ["cook.interrupted", "reheat.dwell", "cool.total"])
def test_the_page_of_the_rules_says_that_what_sets_food_aside_is_critical(name):
    """Its answer wants to be verified, whatever the verdict."""
    page = Path(__file__).parents[2].joinpath("docs", "rules.md").read_text("utf-8")
    row = next(line for line in page.partition("<!-- declared -->")[2].splitlines() if line.startswith(f"| `{name}`"))
    assert row.split(" | ")[3] == "critical limit"
