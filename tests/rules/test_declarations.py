"""What rules declare of their findings: which are about verification, and where food may be found to be out already."""

from app.rules.day.judge import all_rules

VERIFICATION = {"birds.balance", "record.sign_off_due", "record.late"}
"""Whether the records add up and were looked at (9 CFR 417.4(a)(2)): not a limit, and no reading that is missing."""

ALREADY_OUT = {
    *("cook.core_temperature", "cook.interrupted", "lot.rejected", "ties.balance", "probe.review"),
    *("hold.temperature", "hold.time_out", "hold.check_interval", "hold.disposition", "hold.unit"),
    *("time_control.start", "time_control.procedure", "time_control.mark"),
    *("time_control.discard", "time_control.returned"),
    *("cool.first_stage", "cool.total", "cold.temperature", "date_mark.passed"),
    *("reheat.temperature", "reheat.dwell", "reheat.time"),
    *("action.done", "aside.left"),
}
"""Rules about food that may have been sold, served or given away before anybody saw what was wrong."""


def test_these_findings_are_about_verification_and_no_others():
    assert {name for name, rule in all_rules().items() if rule.verification} == VERIFICATION


def test_the_food_of_these_may_be_found_to_be_out_already_and_of_no_others():
    assert {name for name, rule in all_rules().items() if rule.already_out} == ALREADY_OUT
