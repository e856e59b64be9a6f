"""What rules declare of their findings: which are about verification, and where food may be found to be out already."""

from app.rules.day.judge import all_rules

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
