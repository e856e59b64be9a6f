"""What a record of core temperatures shows against published times at a temperature: rows of a table, and the integral.

Information beside the cooking limit, never instead of it: a plan may rest on a row below 165 °F / 74 °C only with a
named variance, and then the conditions of the table are wanted too (`lethality_conditions`).
"""

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from enum import StrEnum
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from app.kinds import Temperature

from ..scales import in_celsius, in_fahrenheit

Record = Sequence[tuple[datetime, Temperature]]
"""Core readings of one bird at one place, or at each instant the coldest of several."""

FOLDER = Path(__file__).parent.parent.parent / "codes" / "lethality"
_LEANEST, _FATTEST = Decimal(1), Decimal(12)


class Species(StrEnum):
    """What is cooked; `OTHER` is mixed or other poultry."""

    CHICKEN = "chicken"
    TURKEY = "turkey"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Table:
    """One published table: temperature (°F) → seconds at or above it, by percent of fat from 1 to 12."""

    code: str
    log_reduction: int
    source: str
    since: date
    rows: Mapping[Decimal, tuple[Decimal, ...]]
    celsius: Mapping[Decimal, Decimal]
    """The rows as the source prints them in °C, by °F."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowShown:
    """What the record shows of one row: seconds asked for, and the longest unbroken time shown at or above it."""

    temperature_f: Decimal
    required_s: Decimal
    shown_s: Decimal | None
    """None where no reading is at or above the row."""

    @property
    def met(self) -> bool:
        """Whether the time shown is all that the row asks for."""
        return self.shown_s is not None and self.shown_s >= self.required_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Kinetics:
    """Death of an organism: `d_min` minutes to a tenth at the reference, `z` degrees for a tenfold rate."""

    code: str
    reference: Temperature
    z: Decimal
    d_min: Decimal
    source: str


def load(name: str) -> dict[str, Any]:
    """Read one file of published figures, numbers exact."""
    with (FOLDER / f"{name}.toml").open("rb") as file:
        return tomllib.load(file, parse_float=Decimal)


@cache
def table(species: Species) -> Table:
    """Give the table of chicken or turkey (FSIS 2021, tables 3 and 4), times as printed."""
    data = load(f"fsis_2021_{species}")
    rows = {Decimal(row["F"]): tuple(_seconds(printed) for printed in row["dwell"]) for row in data["rows"]}
    celsius = {Decimal(row["F"]): Decimal(row["C"]) for row in data["rows"]}
    return Table(data["code"], data["log_reduction"], data["source"], data["from"], rows, celsius)


def _seconds(printed: str) -> Decimal:
    """Give the seconds of a printed time: minutes, unless it ends in s."""
    return Decimal(printed[:-1]) if printed.endswith("s") else Decimal(printed) * 60


def tables_for(species: Species) -> tuple[Table, ...]:
    """Give the tables that bind: both for mixed or other poultry, where the longer time counts."""
    if species is Species.OTHER:
        return table(Species.CHICKEN), table(Species.TURKEY)
    return (table(species),)


def required_dwell_s(species: Species, temperature_f: Decimal, fat_percent: Decimal | None) -> Decimal | None:
    """Give the seconds to be held at or above a temperature (°F), or None below the first row.

    Between two rows the lower one counts, between two columns of fat the longer time; unknown fat, or more than 12 %,
    is the 12 % column. FSIS 2021, notes to tables 3 and 4. ValueError for a fat content that cannot be.
    """
    columns = _columns(fat_percent)
    times: list[Decimal] = []
    for each in tables_for(species):
        reached = [row for row in each.rows if row <= temperature_f]
        if not reached:
            return None
        times.extend(each.rows[max(reached)][column] for column in columns)
    return max(times)


def _columns(fat_percent: Decimal | None) -> set[int]:
    """Give the columns (from 0) that a fat content falls in or between."""
    if fat_percent is not None and not 0 <= fat_percent <= 100:
        raise ValueError("fat is 0 to 100 percent")
    percent = _FATTEST if fat_percent is None else min(max(fat_percent, _LEANEST), _FATTEST)
    return {int(percent.to_integral_value(rounding)) - 1 for rounding in (ROUND_FLOOR, ROUND_CEILING)}


def operating_limit_f(lethal_f: Decimal, accuracy_f: Decimal) -> Decimal:
    """Give the limit to work to: the lethal temperature and the device's accuracy above it (FSIS 2021, guard band)."""
    return lethal_f + accuracy_f


def rows_shown(
    record: Record, *, species: Species, fat_percent: Decimal | None = None, accuracy_f: Decimal = Decimal(0)
) -> tuple[RowShown, ...]:
    """Give what the record shows of every row, coldest first, readings less the device's accuracy (°F).

    Only what readings show counts: the time between two readings is at or above a row when both are. Each row stands
    by itself, as the guideline accepts any pair of its table and no sum over several.
    """
    read = [(at, in_fahrenheit(reading)) for at, reading in sorted(record, key=lambda point: point[0])]
    found = []
    for row in table(Species.CHICKEN).rows:
        required = required_dwell_s(species, row, fat_percent)
        if required is not None:
            shown = _longest_at_or_above(read, operating_limit_f(row, accuracy_f))
            found.append(RowShown(temperature_f=row, required_s=required, shown_s=shown))
    return tuple(found)


def _longest_at_or_above(read: Sequence[tuple[datetime, Decimal]], limit_f: Decimal) -> Decimal | None:
    """Give the longest unbroken run (s) of readings at or above the limit, from its first to its last reading."""
    longest: Decimal | None = None
    began: datetime | None = None
    for at, fahrenheit in read:
        if fahrenheit < limit_f:
            began = None
            continue
        began = began or at
        longest = max(longest or Decimal(0), Decimal(str((at - began).total_seconds())))
    return longest


def best_row(rows: Sequence[RowShown]) -> RowShown | None:
    """Give the hottest row that is met; none met: the one nearest to it; None where no reading reaches a row."""
    reached = [row for row in rows if row.shown_s is not None]
    return max(reached, key=lambda row: (row.met, _share(row), row.temperature_f), default=None)


def _share(row: RowShown) -> Decimal:
    """Give the part of the row's time that is shown, at most the whole."""
    return Decimal(1) if row.met else (row.shown_s or Decimal(0)) / row.required_s


@cache
def published_kinetics() -> tuple[Kinetics, ...]:
    """Give the published death rates; the first is the one to show."""
    return tuple(
        Kinetics(
            code=each["code"],
            reference=Temperature(Decimal(each["reference"]), each["unit"]),
            z=each["z"],
            d_min=each["d_min"],
            source=each["source"],
        )
        for each in load("kinetics")["kinetics"]
    )


def lethal_rate(reading: Temperature, *, reference: Temperature, z: Decimal) -> float:
    """Give how many times faster than at the reference: 10^((T − reference)/z), `z` in the reference's degrees."""
    scale = in_fahrenheit if reference.unit == "F" else in_celsius
    return math.pow(10, (scale(reading) - reference.value) / z)


def integral_min(record: Record, *, reference: Temperature, z: Decimal) -> float:
    """Give F = ∫ 10^((T − reference)/z) dt, minutes at the reference, by trapezoids on the rates («general method»)."""
    points = sorted(record, key=lambda point: point[0])
    rates = [(at, lethal_rate(reading, reference=reference, z=z)) for at, reading in points]
    return sum(
        (end - start).total_seconds() / 60 * (first + last) / 2 for (start, first), (end, last) in pairwise(rates)
    )


def log_reduction(record: Record, kinetics: Kinetics) -> float:
    """Give the tenfold reductions by the integral, F / D, with the stated D and z."""
    return integral_min(record, reference=kinetics.reference, z=kinetics.z) / float(kinetics.d_min)
