"""What a hold reading means for its tray, by the plan of the tray."""

from datetime import datetime, timedelta
from typing import NamedTuple

from ..day.subjects_shown import TrayView
from ..facts import Verdict
from ..plans.limits import TemperatureLimit, minutes
from ..subjects import time_control
from ..subjects.holding import BANDS, time_band
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


class LateCheck(NamedTuple):
    """A check of a tray that is late, and what that means by its plan."""

    since: datetime
    """When it was due: its temperature is not known since, as until then the last reading stood for it."""
    late: timedelta
    is_missed: bool
    """Whether it is later than the plan's grace."""
    known_hot_at: datetime | None
    out_if_low: timedelta
    """For how long at most it counts as out of temperature, if it is now found under its limit."""
    goes_if_low: bool
    """Whether its birds may then only be thrown away."""


def late_check(tray: TrayView, as_of: datetime) -> LateCheck | None:
    """Give what a late check means; None where none is late, or where time out of temperature runs already."""
    due_at = tray.check_due_at
    if due_at is None or due_at >= as_of or tray.running_out or must_go(tray):
        return None
    out = timedelta(seconds=tray.out_of_temperature_s)
    out_if_low = out + (as_of - tray.known_hot_at if tray.known_hot_at else timedelta())
    is_out_again = tray.plan.periods_out == "one" and out > timedelta()
    band = BANDS[-1] if is_out_again else time_band(out_if_low, tray.plan)
    return LateCheck(
        since=due_at,
        late=as_of - due_at,
        is_missed=as_of - due_at > minutes(tray.plan.limits.grace_min),
        known_hot_at=tray.known_hot_at,
        out_if_low=out_if_low,
        goes_if_low=tray.plan.bands[band].ways_out == ("discarded",),
    )


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
