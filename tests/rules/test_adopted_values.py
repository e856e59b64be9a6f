"""A plan holds its own values from its adoption on: what is written of it, and how it is read back."""

import json
from dataclasses import replace

import pytest

from app.rules.day.judge import all_rules
from app.rules.plans import adopted_values, plan
from tests.support.cast import DAY, OPENED


def written(code="us_food_code_2022", **settings):
    """Give what is written of a plan that is adopted with settings on top of its code."""
    adopted = plan.Adopted(1, code, tuple(settings.items()), "pat", OPENED)
    dispositions = {name: rule.dispositions for name, rule in all_rules().items()}
    return adopted_values.values_of(plan.resolve(adopted, DAY), plan.limits_on(code, {}, DAY), dispositions)


def read_back(values, code="us_food_code_2022"):
    adopted = plan.Adopted(1, code, (), "pat", OPENED)
    return plan.resolve(replace(adopted, values=adopted_values.as_text(values)), DAY)


def test_what_a_site_sets_is_written_beside_what_its_code_gives():
    value = written(check_interval_min="60")["check_interval_min"]
    assert (value["value"], value["set"]) == ("60", True)
    assert (value["code"]["value"], "set" in value["code"]) == ("90", False)


def test_what_it_leaves_to_the_code_is_written_once():
    value = written()["check_interval_min"]
    assert (value["value"], "set" in value, "code" in value) == ("90", False, False)


def test_read_back_it_is_the_plan_that_was_written():
    settings = {"check_interval_min": "60", "day_starts": "05:30", "controls": "cooking,holding"}
    adopted = plan.resolve(plan.Adopted(1, "us_food_code_2022", tuple(settings.items()), "pat", OPENED), DAY)
    again = read_back(written(**settings))
    assert (again.limits, dict(again.sources)) == (adopted.limits, dict(adopted.sources))
    assert {name: again.sources[name].house_set for name in ("check_interval_min", "grace_min")} == {
        "check_interval_min": True,
        "grace_min": False,
    }


@pytest.mark.parametrize(
    ("code", "called", "degrees"),
    [("anz_3_2_2", "anz_3_2_2", 60), ("anz_3_2_2", "of_old", 57), ("us_food_code_2022", "us_food_code_2022", 57)],
    ids=["its own code's", "a code that is not there any more: the default's", "the default's own"],
)
def test_a_setting_that_came_later_is_filled_in_from_the_code(code, called, degrees):
    """Standard 3.2.2: 60 °C; FDA Food Code 2022, 3-501.16(A)(1): 57 °C."""
    older = json.loads(adopted_values.as_text(written(code)))
    del older["hot_holding"]
    limit = read_back(older, called).limits.hot_holding
    assert limit.in_unit("C") == degrees
