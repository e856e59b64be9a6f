"""A value beside what its code says: stricter, looser, the same; and a temperature typed in one unit as a limit."""

from decimal import Decimal

import pytest

from app.rules.plans import adoption
from app.rules.plans.comparing import Compared, compare, is_other_unit, limit_of
from app.rules.plans.limits import TemperatureLimit
from app.rules.plans.settings import TYPES
from tests.support import cast

CODE = "us_food_code_2022"
HOT = TemperatureLimit(Decimal(135), Decimal(57))  # FDA Food Code 2022, 3-501.16(A)(1)
COLD = TemperatureLimit(Decimal(41), Decimal(5))  # FDA Food Code 2022, 3-501.16(A)(2)
FROZEN = TemperatureLimit(Decimal(0), Decimal(-18))  # near each other in °F and °C; common practice, no source


@pytest.mark.parametrize(
    ("name", "text", "expected"),
    [
        ("hot_holding", "135F/57C", Compared.SAME),
        ("hot_holding", "135.1F/57.3C", Compared.STRICTER),
        ("hot_holding", "134.9F/57.2C", Compared.LOOSER),
        ("cold_holding", "41F/5C", Compared.SAME),
        ("cold_holding", "40F/4.4C", Compared.STRICTER),
        ("cold_holding", "42F/5.5C", Compared.LOOSER),
        ("cool_total_min", "359", Compared.STRICTER),
        ("cool_total_min", "361", Compared.LOOSER),
        ("date_mark_days", "8", Compared.LOOSER),
        ("places_per_bird", "breast,thigh", Compared.STRICTER),
        ("time_control_ways", "discarded", Compared.STRICTER),
        ("time_control_ways", "served,discarded,donated", Compared.LOOSER),
        ("cook_table", "chicken 150F 12%", Compared.LOOSER),
        ("cook_table", "", Compared.SAME),
        ("day_starts", "05:00", Compared.OTHER),
        ("time_control_procedure", "TC-1", Compared.OTHER),
    ],
)
def test_a_value_is_compared_with_its_code(name: str, text: str, expected: Compared) -> None:
    assert compare(CODE, name, text, on=cast.DAY).compared is expected


@pytest.mark.parametrize(
    "name", [name for name, kind in TYPES.items() if kind in ("TemperatureLimit", "int", "Decimal")]
)
def test_of_every_number_it_is_said_which_side_is_stricter(name: str) -> None:
    lower, higher = adoption._LOWER_IS_STRICTER, adoption._HIGHER_IS_STRICTER
    assert (name in lower) is not (name in higher)
    assert adoption.is_lower_stricter(name) is (name in lower)


def test_of_what_nobody_said_so_it_is_not_guessed() -> None:
    with pytest.raises(LookupError, match="preheat_min"):
        adoption.is_looser("preheat_min", 5, 10)


@pytest.mark.parametrize(
    ("name", "text", "expected"),
    [("hot_holding", "130F/54.5C", True), ("check_interval_min", "120", False), ("hot_holding", "140F/60C", False)],
    ids=["looser than a model code", "looser than a house rule", "stricter"],
)
def test_only_what_is_looser_than_more_than_a_house_rule_wants_a_variance(name: str, text: str, expected: bool) -> None:
    assert compare(CODE, name, text, on=cast.DAY).wants_variance is expected


@pytest.mark.parametrize(
    ("name", "value", "unit", "expected"),
    [
        ("hot_holding", "135", "F", "135/57"),  # as the code prints it, not 57.2
        ("hot_holding", "57", "C", "135/57"),
        ("hot_holding", "150", "F", "150/65.6"),  # 65.555…: at least, so up
        ("hot_holding", "66", "C", "150.8/66"),
        ("cold_holding", "40", "F", "40/4.4"),  # 4.444…: at most, so down
        ("cold_holding", "4.4", "C", "39.9/4.4"),  # 39.92
    ],
)
def test_the_other_unit_is_as_printed_or_a_tenth_on_the_stricter_side(
    name: str, value: str, unit: str, expected: str
) -> None:
    beside = HOT if name == "hot_holding" else COLD
    found = limit_of(name, Decimal(value), unit, beside=[beside])
    assert f"{found.F.normalize():f}/{found.C.normalize():f}" == expected


@pytest.mark.parametrize(
    ("value", "unit", "beside", "expected"),
    [
        ("57", "F", HOT, True),
        ("135", "C", HOT, True),
        ("60", "F", HOT, True),
        ("130", "F", HOT, False),
        ("165", "F", HOT, False),
        ("60", "C", HOT, False),
        ("5", "F", COLD, True),
        ("41", "C", COLD, True),
        ("38", "F", COLD, False),
        ("2", "C", COLD, False),
        ("76.4", "F", HOT, True),
        ("76.5", "F", HOT, False),
        ("-15.1", "F", FROZEN, True),
        ("-15", "F", FROZEN, False),
    ],
)
def test_a_number_of_the_other_unit_is_seen(value: str, unit: str, beside: TemperatureLimit, expected: bool) -> None:
    """House figures: more than 15 degrees from the limit, and more than three times as near to the other unit's."""
    assert is_other_unit(Decimal(value), unit, beside=beside) is expected
