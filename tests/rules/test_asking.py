"""What a screen asks before it keeps a reading: at, below and above every edge. The figures are the house's own."""

from decimal import Decimal

import pytest

from app.kinds import Temperature
from app.rules.meaning import asking
from tests.support.cast import entry, moment
from tests.support.story import loaded, told

NOON = moment("12:00")


def read(number, unit):
    return Temperature(Decimal(number), unit)


def codes(questions):
    return [question.code for question in questions]


def asked(of, number, unit="F", *, is_dual=True, at="12:00", **where):
    return codes(of.about(read(number, unit), is_dual=is_dual, at=moment(at), **where))


# ---- too hot, or the other unit --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "of", [asking.of_tray(), asking.of_reheat(), asking.of_chilled()], ids=["tray", "reheat", "chilled"]
)
def test_a_tray_over_210_f_or_99_c_is_asked_about(of):
    assert [asked(of, number) for number in ("210", "210.01", "212")] == [[], ["very_hot"], ["very_hot"]]
    single = [asked(of, number, "C", is_dual=False) for number in ("99", "99.01", "150")]
    assert single == [[], ["very_hot"], ["very_hot"]]


@pytest.mark.parametrize(
    ("of", "number", "unit", "is_asked"),
    [
        (asking.of_tray(), "74", "F", True),
        (asking.of_tray(), "44.99", "F", False),
        (asking.of_tray(), "45", "F", True),
        (asking.of_tray(), "99", "F", True),
        (asking.of_tray(), "99.01", "F", False),
        (asking.of_tray(), "128", "F", False),
        (asking.of_tray(), "140", "C", True),
        (asking.of_tray(), "62", "C", False),
        (asking.of_batch(), "5", "F", True),
        (asking.of_batch(), "41", "F", False),
        (asking.of_batch(), "70", "C", True),
        (asking.of_batch(), "21", "C", False),
        (asking.of_unit("cold_unit"), "4", "F", True),
        (asking.of_unit("cold_unit"), "0", "F", False),
        (asking.of_unit("cold_unit"), "38", "C", True),
        (asking.of_unit("cold_unit"), "46", "F", False),
        (asking.of_unit("hot_unit"), "65", "F", True),
        (asking.of_unit("hot_unit"), "150", "C", True),
        (asking.of_unit("cold_unit"), "59", "C", True),
        (asking.of_unit("cold_unit"), "59.01", "C", False),
        (asking.of_unit("cold_unit"), "23", "C", True),
        (asking.of_unit("cold_unit"), "15", "C", False),
        (asking.of_delivery(), "3.5", "F", True),
        (asking.of_delivery(), "39", "F", False),
        (asking.of_chilled(), "20", "F", True),
        (asking.of_chilled(), "31.99", "F", True),
        (asking.of_chilled(), "32", "F", False),
        (asking.of_chilled(), "139", "C", True),
    ],
)
def test_a_number_that_is_usual_only_in_the_other_unit_is_asked_about(of, number, unit, is_asked):
    assert asked(of, number, unit) == (["other_unit"] if is_asked else [])


def test_a_display_of_one_scale_is_not_asked_which():
    assert asked(asking.of_tray(), "74", is_dual=False) == []


def test_a_number_that_may_be_the_other_unit_is_asked_that_and_no_more():
    assert asked(asking.of_tray(), "165", "C") == ["other_unit"]
    assert asked(asking.of_tray(), "368", "C") == ["very_hot"]


# ---- a bird on a spit ------------------------------------------------------------------------------------------------


def bird_on_spit(*readings):
    load = told([*loaded(at="09:00"), *readings], as_of="12:00").loads[0]
    return asking.of_bird(load, load.spits[0])


def test_seventy_four_with_f_chosen():
    assert asked(bird_on_spit(), "74") == ["other_unit"]
    assert asked(bird_on_spit(), "74", "C") == []


@pytest.mark.parametrize(
    ("number", "unit", "at", "is_asked"),
    [
        ("165", "F", "09:29:59", True),
        ("165", "F", "09:30", False),
        ("164.9", "F", "09:20", False),
        ("74", "C", "09:20", True),
        ("73.9", "C", "09:20", False),
    ],
)
def test_a_bird_at_its_limit_too_soon_after_loading(number, unit, at, is_asked):
    assert asked(bird_on_spit(), number, unit, at=at) == (["early"] if is_asked else [])


def test_the_limit_is_that_of_the_load_s_own_plan():
    load = told(loaded(at="09:00"), as_of="09:20").loads[0]
    assert load.plan.limits.cook_core.F == 165
    edges = [band.low for band in asking.of_bird(load, load.spits[0]).table("F", is_dual=False, at=moment("09:20"))]
    assert edges == [Decimal(-60), Decimal(165), Decimal("210.01")]


@pytest.mark.parametrize(
    ("number", "at", "where", "is_asked"),
    [
        ("160.01", "10:32", {"bird": 1, "place": "breast"}, True),
        ("160", "10:32", {"bird": 1, "place": "breast"}, False),
        ("139.9", "10:32", {"bird": 1, "place": "breast"}, True),
        ("165", "10:32:01", {"bird": 1, "place": "breast"}, False),
        ("165", "10:29", {"bird": 1, "place": "breast"}, True),
        ("165", "10:31", {"bird": 2, "place": "breast"}, False),
        ("165", "10:31", {"bird": 1, "place": "thigh"}, False),
    ],
)
def test_a_jump_of_one_bird_and_place_within_two_minutes(number, at, where, is_asked):
    of = bird_on_spit(entry("cook_reading", at="10:30", temperature="150"))
    assert asked(of, number, at=at, **where) == (["jump"] if is_asked else [])


def test_a_jump_names_the_newest_reading_that_it_is_from():
    first, second = (
        entry("cook_reading", at=at, temperature=value) for at, value in (("10:30", "150"), ("10:31", "152"))
    )
    (jump,) = bird_on_spit(first, second).about(
        read("170", "F"), is_dual=True, at=moment("10:32"), bird=1, place="breast"
    )
    assert jump.before == second


@pytest.mark.parametrize("number", ["150", "160", "161", "165", "212"])
@pytest.mark.parametrize("at", ["09:20", "09:40"])
def test_what_is_asked_is_what_the_day_points_out(number, at):
    """A jump and an early reading are asked about just where the day would show them as a pattern."""
    before = entry("cook_reading", at="09:19" if at == "09:20" else "09:39", temperature="150")
    now = asked(bird_on_spit(before), number, at=at, bird=1, place="breast")
    kept = told([*loaded(at="09:00"), before, entry("cook_reading", at=at, temperature=number)], as_of="12:00")
    assert set(now) - {"very_hot"} == {one.pattern for one in kept.patterns}
