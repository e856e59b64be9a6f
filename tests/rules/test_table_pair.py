"""Cooking to a pair of the FSIS tables instead of the code's core temperature: what adopting it takes, what it needs.

USDA FSIS Cooking Guideline for Meat and Poultry Products (Revised Appendix A), December 2021: table 3 (chicken), table
4 (turkey), the conditions beside them (come-up time, humidity) and the guard band. The records are invented.
"""

from decimal import Decimal

import pytest

from app.rules.plans import adoption, plan
from app.rules.plans.limits import TemperatureLimit
from app.rules.plans.settings import PlanRefused
from tests.support.cast import DAY, OPENED, entry
from tests.support.story import adopted, found, told
from tests.support.table_pair import HUMID, PAIR, cook, judged

RULE = "cook.core_temperature"
VARIANCE = "V-2026-17"


def limits_of(**settings):
    limits, _sources = plan.limits_on("us_food_code_2022", settings, DAY)
    return limits


def refusal(variance=VARIANCE, **settings):
    with pytest.raises(PlanRefused) as refused:
        adoption.check_adoption("us_food_code_2022", settings, on=DAY, variance=variance)
    return refused.value.name, refused.value.code


# Table 3, 12 % fat: 145 °F 13 min, 150 °F 4.2 min, 162 °F 10.5 s, 165 °F 0 s; 1 % fat: 150 °F 2.7 min.
# Table 4, 12 % fat: 150 °F 4.9 min. The probe's tolerance of ±2 °F / ±1 °C lies on top (FSIS: guard band).
@pytest.mark.parametrize(
    ("pair", "core", "dwell_s"),
    [
        ("chicken 145F 12%", ("147", "63.8"), 780),
        ("chicken 150F 12%", ("152", "66.6"), 252),
        ("chicken 150F", ("152", "66.6"), 252),
        ("chicken 150F 15.5%", ("152", "66.6"), 252),
        ("chicken 150F 1%", ("152", "66.6"), 162),
        ("turkey 150F 12%", ("152", "66.6"), 294),
        ("other 150F 12%", ("152", "66.6"), 294),
        ("chicken 162F 12%", ("164", "73.2"), 11),
        ("chicken 165F", ("167", "74.9"), 0),
    ],
)
def test_a_pair_gives_the_limit_with_a_guard_band_and_the_time_of_its_row(pair, core, dwell_s):
    limits = limits_of(**{**PAIR, "cook_table": pair})
    assert limits.cook_core == TemperatureLimit(*map(Decimal, core))
    assert limits.cook_dwell_s == dwell_s


def test_the_limits_name_the_table_as_their_source():
    plans = plan.resolve(plan.Adopted(1, "us_food_code_2022", tuple(PAIR.items()), "pat", OPENED, VARIANCE), DAY)
    origin = plans.sources["cook_core"]
    assert (origin.kind, origin.house_set) == ("guidance", False)
    assert origin.source.endswith("December 2021, Table 3: 150 °F, 12 % fat")


@pytest.mark.parametrize(
    ("settings", "variance", "refused"),
    [
        (PAIR, None, ("cook_table", "looser")),
        (PAIR, "", ("cook_table", "looser")),
        ({"cook_table": "chicken 150F"}, VARIANCE, ("cook_humidity", "missing")),
        ({**PAIR, "cook_humidity": "steam"}, VARIANCE, ("cook_humidity", "unknown")),
        ({**PAIR, "cook_table": "duck 150F"}, VARIANCE, ("cook_table", "unknown")),
        ({**PAIR, "cook_table": "chicken 135F"}, VARIANCE, ("cook_table", "range")),
        ({**PAIR, "cook_table": "chicken 150.5F"}, VARIANCE, ("cook_table", "range")),
        ({**PAIR, "cook_table": "chicken 150F 101%"}, VARIANCE, ("cook_table", "range")),
        ({**PAIR, "cook_table": "chicken 65.6C"}, VARIANCE, ("cook_table", "type")),
        ({**PAIR, "cook_table": "chicken 150F 12% wet"}, VARIANCE, ("cook_table", "type")),
        ({**PAIR, "cook_core": "149F/65C"}, VARIANCE, ("cook_core", "under_table")),
        ({**PAIR, "cook_dwell_s": "251"}, VARIANCE, ("cook_dwell_s", "under_table")),
    ],
)
def test_a_pair_is_refused(settings, variance, refused):
    assert refusal(variance, **settings) == refused


def test_limits_between_the_pair_and_the_code_may_be_set_beside_it():
    settings = {**PAIR, "cook_core": "155F/68.3C", "cook_dwell_s": "300"}
    adoption.check_adoption("us_food_code_2022", settings, on=DAY, variance=VARIANCE)
    assert limits_of(**settings).cook_core.F == 155


# ---- what the records must show -------------------------------------------------------------------------------------


# «≥90 % relative humidity for 25 % of the cooking time or one hour»: the longer where the text leaves it open.
@pytest.mark.parametrize(
    ("humidity", "verdict"),
    [
        (HUMID, "met"),
        ((("09:10", "92"), ("10:09", "90")), "not_shown"),
        ((("09:10", "92"), ("10:10", "89.99")), "not_shown"),
        ((("09:10", "89.99"), ("09:46", "89.99")), "not_shown"),
        ((("09:10", "89.99"), ("09:47", "89.99")), "not_met"),
        ((("09:10", "92"), ("09:40", "91"), ("10:10", "90")), "met"),
        ((("09:10", "92"), ("09:40", "80"), ("10:10", "90")), "not_shown"),
        ((("09:10", "92"), ("10:10", "95"), ("10:40", "95")), "met"),
        ((("08:30", "95"), ("10:40", "95")), "not_shown"),
        ((), "not_shown"),
    ],
)
def test_humidity_is_shown_between_readings_that_are_both_humid(humidity, verdict):
    assert judged(cook(*humidity))[:2] == (verdict, verdict)


# «Total time with product between 50 and 130 °F at most 6 h»: 6 h 10 min is a deviation.
@pytest.mark.parametrize(
    ("read", "verdict"),
    [
        ([("09:05", "50"), ("10:00", "130")], "met"),
        ([("09:05", "50.1"), ("10:00", "130")], "not_shown"),
        ([("09:05", "50"), ("10:00", "129.9")], "met"),  # and 152 °F at 10:31
        ([("04:25", "50"), ("10:25", "130")], "met"),
        ([("04:25", "49"), ("10:26", "131")], "not_shown"),
        ([("04:20", "55"), ("10:20", "129")], "not_shown"),
        ([("04:20", "55"), ("10:30", "129")], "not_met"),
    ],
)
def test_the_time_on_the_way_up_is_shown_or_not(read, verdict):
    started = [entry("load_started", at="04:15"), entry("spit_loaded", at="04:16", birds=2)]
    on_the_way = [entry("cook_reading", at=at, temperature=temperature) for at, temperature in read]
    done = [entry("cook_reading", at="10:31", bird=bird, temperature="152", held_s=252) for bird in (1, 2)]
    assert judged([*started, *on_the_way, *done, entry("spit_pulled", at="10:36", birds=2)])[2] == verdict


def test_one_bird_read_on_the_way_up_stands_for_the_spit_and_one_too_slow_condemns_it():
    slow = [entry("cook_reading", at=at, bird=2, temperature="60") for at in ("03:00", "09:30")]
    assert judged(cook(*HUMID))[2] == "met"
    assert judged([*cook(*HUMID), *slow])[2] == "not_met"


def test_the_pair_itself_still_has_to_be_met():
    assert judged(cook(*HUMID, hot="151.99"))[0] == "not_met"
    assert judged(cook(*HUMID, held_s=251))[0] == "not_shown"


@pytest.mark.parametrize(
    ("way", "more", "oven", "verdict"),
    [
        ("direct_heat", {}, None, "met"),
        ("moist_cooking", {}, None, "met"),
        ("large_product", {"mean_weight": "10", "weight_unit": "lb"}, "250", "met"),
        ("large_product", {"mean_weight": "9.99", "weight_unit": "lb"}, "250", "not_met"),
        ("large_product", {"mean_weight": "4.54", "weight_unit": "kg"}, "250", "met"),
        ("large_product", {"mean_weight": "4.53", "weight_unit": "kg"}, "250", "not_met"),
        ("large_product", {"mean_weight": "10", "weight_unit": "lb"}, "249", "not_met"),
        ("large_product", {"mean_weight": "10", "weight_unit": "lb"}, None, "not_shown"),
        ("large_product", {}, "250", "not_shown"),
    ],
)
def test_other_ways_to_meet_the_humidity(way, more, oven, verdict):
    settings = [entry("oven_setting", at="09:10", temperature=oven, unit="F")] if oven else []
    assert judged([*cook(**more), *settings], cook_humidity=way)[1] == verdict


def test_the_finding_says_which_condition_is_missing():
    day = told(cook(("09:10", "92")), plans=[adopted(**PAIR)])
    (finding,) = found(day, RULE)
    assert (finding.verdict, finding.concerns) == ("not_shown", "critical_limit")
    assert (finding.measured["humidity"], finding.measured["come_up"]) == ("not_shown", "met")
    assert "temperature" not in finding.measured


def test_another_ovens_humidity_shows_nothing():
    entries = [*cook(), *(entry("oven_setting", at=at, oven="west", humidity="95") for at in ("09:10", "10:20"))]
    assert judged(entries)[1] == "not_shown"


def test_without_a_pair_there_are_no_conditions():
    (spit,) = told(cook()).loads[0].spits
    assert spit.conditions is None
