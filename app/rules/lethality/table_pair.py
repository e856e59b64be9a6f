"""Cooking to one pair of a published poultry table, which a variance allows in place of the code's core temperature."""

import math
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from ..plans.limits import TablePair, TemperatureLimit
from .tables import Species, required_dwell_s, table, tables_for

LIMITS = ("cook_core", "cook_dwell_s")
"""The limits that a pair gives."""


def row_limit(pair: TablePair) -> TemperatureLimit:
    """Give the row's temperature as printed in each unit."""
    return TemperatureLimit(pair.row_f, printed_rows()[pair.row_f])


def printed_rows() -> Mapping[Decimal, Decimal]:
    """Give the temperatures of the rows in °C, by °F: both tables print the same (FSIS 2021, tables 3 and 4)."""
    return table(Species.CHICKEN).celsius


def dwell_s(pair: TablePair) -> int:
    """Give the seconds that the row asks for, up to the next whole one. Raises ValueError for a row not printed."""
    required = required_dwell_s(Species(pair.species), pair.row_f, pair.fat_percent)
    if required is None:
        raise ValueError(f"no row of {pair.row_f} °F")
    return math.ceil(required)


def limits_of(pair: TablePair, *, tolerance_f: Decimal, tolerance_c: Decimal) -> Mapping[str, Any]:
    """Give the limits that a plan with this pair works to: the row, a probe's tolerance above it, and the row's time.

    The guard band is that of FSIS 2021: the critical limit lies above the lethal temperature by the device's accuracy.
    """
    row = row_limit(pair)
    return {"cook_core": TemperatureLimit(row.F + tolerance_f, row.C + tolerance_c), "cook_dwell_s": dwell_s(pair)}


def lowest_limits_of(pair: TablePair) -> Mapping[str, Any]:
    """Give the pair itself: no limit that a site sets beside it may be lower."""
    return {"cook_core": row_limit(pair), "cook_dwell_s": dwell_s(pair)}


def source_of(pair: TablePair) -> str:
    """Give where the pair stands."""
    tables = "; ".join(each.source for each in tables_for(Species(pair.species)))
    fat = "fat not known" if pair.fat_percent is None else f"{pair.fat_percent.normalize():f} % fat"
    return f"{tables}: {pair.row_f} °F, {fat}"


def since(pair: TablePair) -> date:
    """Give the date of the tables."""
    return max(each.since for each in tables_for(Species(pair.species)))
