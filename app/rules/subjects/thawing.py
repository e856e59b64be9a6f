"""Thawing frozen birds: the limits that a caution names. No rule judges a thawing.

FDA Food Code 2022, 3-501.13(A), (B)(1), (2), (4) and (C), taken from the rules that adopt it word for word: WAC
246-215-03510 (Washington) and a Florida list of violations; the Code itself was not at hand.
"""

from datetime import timedelta
from decimal import Decimal

from ..plans.limits import TemperatureLimit

SOURCE = "FDA Food Code 2022, 3-501.13"
IN_COLD_UNIT = TemperatureLimit(F=Decimal(41), C=Decimal(5))
"""(A): under refrigeration that keeps the food at or under it."""
WATER = TemperatureLimit(F=Decimal(70), C=Decimal(21))
"""(B)(1): whole under running water at or under it, (2) fast enough to float loose particles off."""
RAW_ABOVE = TemperatureLimit(F=Decimal(41), C=Decimal(5))
RAW_ABOVE_AT_MOST = timedelta(hours=4)
"""(B)(4): raw food that will be cooked is above `RAW_ABOVE` no longer, running water and preparing counted."""
