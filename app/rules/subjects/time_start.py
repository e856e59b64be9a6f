"""The start of time as the control: whether it is met, for only such a start takes a tray out of hot holding.

FDA Food Code 3-501.19(B)(1): the food is hot when it is taken out of temperature control.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import NamedTuple

from app.kinds import HoldReading, TimeControlStarted

from ..facts import Verdict
from ..history.holders import Tray
from ..plans.plan import Plan

LAST_READING = timedelta(minutes=15)
"""How old the reading may be that shows the food hot at the start (house)."""


class Start(NamedTuple):
    """What a start rests on: the last reading before it, if it is recent enough, and what that shows."""

    entry: TimeControlStarted
    verdict: Verdict
    reading: HoldReading | None


def judge_start(tray: Tray) -> Start | None:
    """Judge a tray's start of time as the control; None where there is none."""
    if tray.control is None:
        return None
    entry = tray.control[1]
    return Start(entry, *judge_reading((reading for _, reading in tray.readings), tray.plan, entry.observed_at))


def judge_reading(readings: Iterable[HoldReading], plan: Plan, at: datetime) -> tuple[Verdict, HoldReading | None]:
    """Judge what the readings of a tray, in order of time, show of a start at a moment; with the one it rests on."""
    recent = [reading for reading in readings if at - LAST_READING <= reading.observed_at <= at]
    if not recent:
        return Verdict.NOT_SHOWN, None
    is_hot = plan.limits.hot_holding.at_or_above(recent[-1].reading)
    return Verdict.MET if is_hot else Verdict.NOT_MET, recent[-1]


def held_by_time_from(tray: Tray) -> int | None:
    """Give the place in the day's order from which a tray is held by time alone; None where temperatures are asked for.

    That is where its start is met and its plan has time as the control in force.
    """
    if tray.control is None or not tray.plan.has("time_control"):
        return None
    start = judge_start(tray)
    return tray.control[0] if start is not None and start.verdict is Verdict.MET else None
