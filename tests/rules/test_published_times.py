"""Times, days and tolerances of every code as its text prints them: law, model code and guidance, not the house's own.

How each text is known: docs/plans.md and the codes' own files. Temperatures: test_worked_limits.
"""

import pytest

from app.rules.plans import plan
from tests.support.cast import DAY, OPENED

MODEL_CODE = {
    "cool_first_min": (120, "3-501.14(A)(1): within 2 hours"),
    "cool_total_min": (360, "3-501.14(A)(2): within a total of 6 hours"),
    "time_control_min": (240, "3-501.19(B): 4 hours"),
    "reheat_dwell_s": (15, "3-403.11(A): for 15 seconds"),
    "reheat_min": (120, "3-403.11(D): within 2 hours"),
    "date_mark_days": (7, "3-501.17(A): 7 days, the day of preparation is day 1"),
    "probe_tolerance_c": (1, "4-203.11(A): ±1 °C"),
    "probe_tolerance_f": (2, "4-203.11(B): ±2 °F"),
}
PRINTED = {
    "us_food_code_2022": MODEL_CODE | {"cook_dwell_s": (0, "3-401.11(A)(3): instantaneous")},
    "us_food_code_2017": MODEL_CODE | {"cook_dwell_s": (0, "3-401.11(A)(3): instantaneous")},
    "us_food_code_2013": MODEL_CODE | {"cook_dwell_s": (15, "3-401.11(A)(3): for 15 seconds")},
    "anz_3_2_2": {
        "cool_first_min": (120, "Standard 3.2.2, clause 7(3): within 2 hours"),
        "cool_total_min": (240, "Standard 3.2.2, clause 7(3): within a further 4 hours"),
        "band_reheat_min": (120, "2-hour/4-hour rule: under 2 hours"),
        "band_discard_min": (240, "2-hour/4-hour rule: over 4 hours"),
        "time_control_min": (240, "2-hour/4-hour rule"),
        "probe_tolerance_c": (1, "Standard 3.2.2, clause 22: ±1 °C"),
    },
    "england_2013": {
        "cook_dwell_s": (120, "Food Standards Agency advice: 70 °C for 2 minutes"),
        "band_reheat_min": (120, "SI 2013/2996, Schedule 4, paragraph 7(2): less than two hours"),
        "band_discard_min": (120, "SI 2013/2996, Schedule 4, paragraph 7(2): less than two hours"),
        "time_control_min": (119, "SI 2013/2996, Schedule 4, paragraph 7(2): less than two hours, in whole minutes"),
    },
    "ontario_493_17": {
        "cook_dwell_s": (15, "O. Reg. 74/04: whole poultry, for 15 seconds"),
        "band_reheat_min": (120, "O. Reg. 493/17, section 27: at most two hours"),
        "band_discard_min": (120, "O. Reg. 493/17, section 27: at most two hours"),
        "time_control_min": (120, "O. Reg. 493/17, section 27: at most two hours"),
        "reheat_dwell_s": (15, "Durham Region chart, November 2012: for 15 seconds"),
        "reheat_min": (120, "Durham Region chart, November 2012: within 2 hours"),
    },
    "ca_whole_bird": {
        "cook_dwell_s": (0, "Health Canada, internal cooking temperatures: no time given"),
        "reheat_dwell_s": (15, "Durham Region chart, November 2012: for 15 seconds"),
        "reheat_min": (120, "Durham Region chart, November 2012: within 2 hours"),
    },
    "scotland_2006": {},
}
"""Code → name → what is printed, and where."""
ROWS = [(code, name, *row) for code, rows in PRINTED.items() for name, row in rows.items()]


def resolved(code):
    return plan.resolve(plan.Adopted(1, code, (), "pat", OPENED), DAY)


@pytest.mark.parametrize(("code", "name", "value", "source"), ROWS, ids=[f"{row[0]}: {row[1]}" for row in ROWS])
def test_a_time_is_the_one_that_is_printed(code, name, value, source):
    assert getattr(resolved(code).limits, name) == value, source


def test_the_table_has_every_code():
    assert set(PRINTED) == set(plan.codes())


@pytest.mark.parametrize("code", PRINTED)
def test_a_time_that_no_text_prints_is_a_rule_of_the_house(code):
    kinds = {name: source.kind for name, source in resolved(code).sources.items()}
    printed = {name for name in kinds if name.endswith(("_min", "_s", "_days")) and kinds[name] != "house"}
    assert printed == {name for name in PRINTED[code] if not name.startswith("probe_")}
