"""What a plan limits: each value by its name, temperatures as their source prints them in each unit."""

from dataclasses import dataclass
from datetime import time, timedelta
from decimal import Decimal
from functools import cache

from app.kinds import Temperature

GROUPS = (
    "cooking",
    "holding",
    "time_control",
    "cooling",
    "reheating",
    "cold_storage",
    "receiving",
    "probes",
    "balance",
    "foreign_body",
    "set_aside",
    "lateness",
    "checklists",
)


@dataclass(frozen=True, slots=True)
class TemperatureLimit:
    """A limit as its source prints it in each unit. A reading is held against the value in its own unit."""

    F: Decimal
    C: Decimal

    def in_unit(self, unit: str) -> Decimal:
        """Give the printed value in the reading's unit."""
        return self.F if unit == "F" else self.C

    def at_or_above(self, reading: Temperature) -> bool:
        """Whether the reading is at or above the limit, unrounded."""
        return reading.value >= (self.F if reading.unit == "F" else self.C)

    def at_or_below(self, reading: Temperature) -> bool:
        """Whether the reading is at or below the limit, unrounded."""
        return reading.value <= (self.F if reading.unit == "F" else self.C)

    @property
    def in_f(self) -> Temperature:
        """The printed value in °F as a temperature, to forecast when it is reached."""
        return Temperature(self.F, "F")

    def printed(self) -> dict[str, Decimal]:
        """Give both values as a finding's `limit` shows them."""
        return {"F": self.F, "C": self.C}


@dataclass(frozen=True, slots=True)
class TablePair:
    """One pair of a published poultry table: what is cooked, the row (°F) and the fat (percent, None: not known)."""

    species: str
    row_f: Decimal
    fat_percent: Decimal | None


@cache
def minutes(count: int) -> timedelta:
    """Give minutes of a plan as a length of time."""
    return timedelta(minutes=count)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The values of a plan. Names are those of `plan --set`; minutes and seconds stand in the name."""

    cook_core: TemperatureLimit
    cook_dwell_s: int
    cook_target: TemperatureLimit | None
    """What the kitchen cooks to for texture, above the limit. It is no limit: no verdict rests on it."""
    cook_table: TablePair | None
    """The pair that a variance allows in place of the code's own core temperature."""
    cook_humidity: str
    """How the humidity condition of `cook_table` is met (`lethality.conditions.HumidityWay`); empty without a pair."""
    birds_checked_per_spit: int
    places_per_bird: tuple[str, ...]
    hot_holding: TemperatureLimit
    check_interval_min: int
    grace_min: int
    band_reheat_min: int
    band_discard_min: int
    time_control_min: int
    time_control_procedure: str
    time_control_ways: tuple[str, ...]
    """Where birds held by time alone may go: values of tray_out's `to`."""
    cool_first: TemperatureLimit
    cool_first_min: int
    cool_total: TemperatureLimit
    cool_total_min: int
    reheat_core: TemperatureLimit
    reheat_dwell_s: int
    reheat_min: int
    cold_holding: TemperatureLimit
    receive_cold: TemperatureLimit
    probe_tolerance_c: Decimal
    probe_tolerance_f: Decimal
    cold_checks_per_day: int
    late_min: int
    date_mark_days: int
    day_starts: time
    start_checks: tuple[str, ...]
    opening_checks: tuple[str, ...]
    closing_checks: tuple[str, ...]
    interruption_min: int
    controls: frozenset[str]
