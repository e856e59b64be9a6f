"""The limits that the caution about thawing names."""

from datetime import timedelta
from decimal import Decimal

from app.rules.subjects import thawing


def test_thawing_limits_are_those_of_the_food_code() -> None:
    """FDA Food Code 2022, 3-501.13(A), (B)(1), (4), through WAC 246-215-03510, which adopts it word for word."""
    assert thawing.IN_COLD_UNIT.printed() == {"F": Decimal(41), "C": Decimal(5)}
    assert thawing.WATER.printed() == {"F": Decimal(70), "C": Decimal(21)}
    assert thawing.RAW_ABOVE.printed() == {"F": Decimal(41), "C": Decimal(5)}
    assert timedelta(hours=4) == thawing.RAW_ABOVE_AT_MOST
