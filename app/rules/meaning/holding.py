"""What a hold reading means for its tray, by the plan of the tray."""

from ..day.shown import TrayView
from ..plans.limits import TemperatureLimit
from ..subjects import time_control
from .bands import Bands, at_least


def hold_bands(tray: TrayView, unit: str) -> Bands:
    """Give the table for the pad: hot, or under the limit."""
    return at_least(tray.plan, "hot_holding", unit, good="at_or_above", bad="under")


def hold_limit(tray: TrayView) -> TemperatureLimit:
    """Give the temperature that a tray is held at or above."""
    return tray.plan.limits.hot_holding


def discard_band_min(tray: TrayView) -> int:
    """Give after how many minutes out of temperature nothing of the tray may be used."""
    return tray.plan.limits.band_discard_min


def bands_min(tray: TrayView) -> tuple[int, int]:
    """Give from how many minutes out of temperature the second and the last band of the tray begin."""
    return tray.plan.limits.band_reheat_min, tray.plan.limits.band_discard_min


def ways_by_time(tray: TrayView) -> tuple[str, ...]:
    """Give where its birds may go while it is held by time alone: values of `to`."""
    return time_control.ways_out(tray.plan)


def longest_by_time_min(tray: TrayView) -> int:
    """Give for how many minutes at most a tray may be held by time alone."""
    return tray.plan.limits.time_control_min


def procedure_of(tray: TrayView) -> str:
    """Give the name of the written procedure for time as the control; empty where the plan names none."""
    return tray.plan.limits.time_control_procedure
