"""What a hold reading means for its tray, by the plan of the tray."""

from datetime import datetime, timedelta

from ..day.subjects_shown import TrayView
from ..facts import Verdict
from ..plans.limits import TemperatureLimit
from ..subjects import time_control
from ..subjects.holding import BANDS
from ..subjects.time_start import judge_reading
from .bands import Bands, at_least


def hold_bands(tray: TrayView, unit: str) -> Bands:
    """Give the table for the pad: hot, or under the limit."""
    return at_least(tray.plan, "hot_holding", unit, good="at_or_above", bad="under")


def hold_limit(tray: TrayView) -> TemperatureLimit:
    """Give the temperature that a tray is held at or above."""
    return tray.plan.limits.hot_holding


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


def must_go(tray: TrayView) -> bool:
    """Whether its birds may now only be thrown away."""
    return tray.ways_out == ("discarded",)


def is_cooling_off(tray: TrayView) -> bool:
    """Whether its last reading was under the limit, so that time out of temperature runs on."""
    return tray.running_out and bool(tray.held) and tray.held[-1].is_low


def use_by(tray: TrayView, as_of: datetime) -> datetime | None:
    """Give from when its birds may only be thrown away, by the time that runs now and the bands of its own plan.

    None where no time runs, or nothing else may be done with them already.
    """
    if must_go(tray):
        return None
    if tray.by_time:
        return tray.discard_at
    if not is_cooling_off(tray):
        return None
    return as_of + timedelta(minutes=usable_min(tray)) - timedelta(seconds=tray.out_of_temperature_s)


def usable_min(tray: TrayView) -> int:
    """Give after how many minutes out of temperature its birds may only be thrown away, by its own plan's bands."""
    bands = zip(bands_min(tray), BANDS[1:], strict=True)
    return min(at for at, band in bands if tray.plan.bands[band].ways_out == ("discarded",))


def start_bar(tray: TrayView, at: datetime) -> str | None:
    """Give why a tray may not be put under time as the control at a moment, as a code; None where it may.

    empty; set_aside; started (it is already); not_in_force; must_go; not_read (lately); under (when last read).
    """
    bars = {
        "empty": tray.birds_left <= 0,
        "set_aside": tray.set_aside is not None,
        "started": tray.discard_at is not None,
        "not_in_force": not tray.plan.has("time_control"),
        "must_go": must_go(tray),
    }
    found = next((code for code, stands in bars.items() if stands), None)
    if found is not None:
        return found
    shown, _reading = judge_reading((held.entry for held in tray.held), tray.plan, at)
    return {Verdict.NOT_SHOWN: "not_read", Verdict.NOT_MET: "under"}.get(shown)
