"""A spit and a tray as they are drawn, on the screen and on paper alike: what stands where."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from app.kinds import HoldReading, Temperature
from app.rules.day.subjects_shown import LoadView, SpitView, TrayView
from app.rules.meaning import holding

_SHORTEST = timedelta(minutes=30)
"""A line shows at least so much time: a tray that was just filled is no dot."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdDrawn:
    """One bird on its rod: the number counted from the drive end, and its lowest latest reading."""

    bird: int
    reading: Temperature | None
    state: Literal["unread", "low", "good", "gone"]
    """low: under its limit, or not held there long enough; gone: it was thrown away when it was pulled."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rod:
    """A spit from its drive end, 1 first."""

    spit: int
    birds: tuple[BirdDrawn, ...]


def rod(load: LoadView, spit: SpitView) -> Rod:
    """Draw a spit with the latest readings of its birds."""
    gone = {bird for pull in spit.pulls for bird in pull.discarded_birds}
    return Rod(spit=spit.spit, birds=tuple(_bird(load, spit, bird, bird in gone) for bird in range(1, spit.birds + 1)))


def _bird(load: LoadView, spit: SpitView, bird: int, gone: bool) -> BirdDrawn:
    states = [state for state in spit.latest if state.bird == bird]
    if not states:
        return BirdDrawn(bird=bird, reading=None, state="gone" if gone else "unread")
    worst = min(states, key=lambda state: (state.met, state.entry.reading.celsius))
    state: Literal["low", "good", "gone"] = "gone" if gone else "good" if worst.met else "low"
    return BirdDrawn(bird=bird, reading=worst.entry.reading, state=state)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A moment on a time line, `x` in thousandths of its length."""

    x: int
    kind: Literal["hot", "low", "opened", "mark", "due", "end", "now"]
    at: datetime | None = None
    minutes: int | None = None
    """Of a mark: after how much time out of temperature it stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeLine:
    """The life of a tray from left to right: its readings, how long it was out of temperature, what is due, and now."""

    ticks: tuple[Tick, ...]
    out: tuple[int, int] | None
    """From where to where time out of temperature runs."""
    unknown: tuple[int, int] | None
    """From where to where nothing was read though a check was due."""
    now: int


def time_line(tray: TrayView, as_of: datetime) -> TimeLine:
    """Draw a tray as it stands at a moment."""
    ends = holding.use_by(tray, as_of)
    overdue = tray.check_due_at is not None and tray.check_due_at < as_of
    readings = [entry for entry in tray.history if isinstance(entry, HoldReading) and entry.observed_at <= as_of]
    begins = tray.opened_at
    shown = [at for at in (as_of, ends, tray.check_due_at) if at is not None]
    scale = _Scale(begins, max(*shown, begins + _SHORTEST))
    low = {held.entry.id for held in tray.held if held.is_low}
    ticks = [
        Tick(x=scale.x(tray.opened_at), kind="opened", at=tray.opened_at),
        *(
            Tick(x=scale.x(one.observed_at), kind="low" if one.id in low else "hot", at=one.observed_at)
            for one in readings
        ),
    ]
    out = None
    if holding.is_cooling_off(tray):
        since = as_of - timedelta(seconds=tray.out_of_temperature_s)
        out = (scale.x(max(since, begins)), scale.x(as_of))
        first = timedelta(minutes=holding.bands_min(tray)[0])
        if ends is not None and begins <= since + first < ends:
            ticks.append(Tick(x=scale.x(since + first), kind="mark", minutes=holding.bands_min(tray)[0]))
    elif tray.check_due_at is not None:
        ticks.append(Tick(x=scale.x(tray.check_due_at), kind="due", at=tray.check_due_at))
    if ends is not None:
        ticks.append(Tick(x=scale.x(ends), kind="end", at=ends))
    unknown = None
    if overdue and out is None and tray.check_due_at is not None:
        unknown = (scale.x(tray.check_due_at), scale.x(as_of))
    return TimeLine(ticks=tuple(ticks), out=out, unknown=unknown, now=scale.x(as_of))


@dataclass(frozen=True, slots=True)
class _Scale:
    begins: datetime
    ends: datetime

    def x(self, at: datetime) -> int:
        share = (at - self.begins) / (self.ends - self.begins)
        return round(1000 * min(max(share, 0), 1))
