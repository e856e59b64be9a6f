"""One scale in another, for arithmetic and drawing only: a limit is never judged on a converted reading."""

from decimal import Decimal

from app.kinds import Temperature

KG_PER_LB = Decimal("0.45359237")
"""Exact: the international pound of 1959."""


NINE_FIFTHS = Decimal(9) / 5
"""So many °F a difference of 1 °C is."""


def in_fahrenheit(reading: Temperature) -> Decimal:
    """Give the reading in °F, exact: a reading in °C with two decimals has at most three in °F."""
    return reading.value if reading.unit == "F" else reading.value * 9 / 5 + 32


def in_celsius(reading: Temperature) -> Decimal:
    """Give the reading in °C, to 28 digits where ninths have no end."""
    return reading.celsius
