"""Both scales: exact, for arithmetic and drawing only."""

from decimal import Decimal

import pytest

from app.kinds import Temperature
from app.rules.scales import in_celsius, in_fahrenheit


@pytest.mark.parametrize(
    ("celsius", "fahrenheit"), [("0", "32"), ("100", "212"), ("-40", "-40"), ("37.5", "99.5"), ("73.9", "165.02")]
)
def test_scales_convert_exactly(celsius: str, fahrenheit: str) -> None:
    assert in_fahrenheit(Temperature(Decimal(celsius), "C")) == Decimal(fahrenheit)
    assert in_celsius(Temperature(Decimal(fahrenheit), "F")) == Decimal(celsius)
    assert in_celsius(Temperature(Decimal(celsius), "C")) == Decimal(celsius)
