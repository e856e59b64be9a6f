"""Forecasts: when a spit will reach its limit, when a tray falls to its limit, when a batch passes a mark.

Always «about», with a range that should hold four times in five, never a verdict: only a reading shows that a limit is
met. Where there is too little to go on, the answer says so and why. The caller says what time it is.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from math import exp, log, sqrt
from statistics import NormalDist

from app.kinds import Temperature

from ..scales import in_celsius
from . import falling, roasting
from .cook_time import Estimate, SpitRecord
from .falling import Beliefs
from .roasting import RoastHistory, Round

Readings = Sequence[tuple[datetime, Temperature]]
_Points = Sequence[tuple[datetime, float]]

_RANGE = (0.1, 0.5, 0.9)
_ALMOST_ALL = 0.999
_LOADS_ENOUGH = 3
"""Past spits from which a forecast may rest on them alone (house)."""
_UNLIKE_SDS = 3.0
_PROBING_SD_MIN = 2.5
"""No ready-time is known better than it takes to probe a spit (house)."""

_FALLEN_C = 6.0
"""A fall that is not lost in the scatter of readings: three times its standard deviation (house)."""
_ENOUGH_READINGS, _WITHOUT_AIR = 2, 1
"""Readings from the hottest on that it takes, and how many more where nobody read the air (house)."""
_SPIT_HORIZON_MIN, _TRAY_HORIZON_MIN, _BATCH_HORIZON_MIN = 24 * 60, 8 * 60, 24 * 60


class Basis(StrEnum):
    """What a forecast rests on."""

    READINGS = "readings"
    PAST_LOADS = "past_loads"
    READINGS_AND_PAST_LOADS = "readings_and_past_loads"


_BASES = {
    (True, True): Basis.READINGS_AND_PAST_LOADS,
    (True, False): Basis.READINGS,
    (False, True): Basis.PAST_LOADS,
}
"""By whether readings tell, and whether past loads do."""


class Reason(StrEnum):
    """Why there is no forecast."""

    NO_READINGS = "no_readings"
    FEW_READINGS = "few_readings"
    TOO_EARLY = "too_early"
    """The core has hardly begun to warm up (to fall)."""
    REACHED = "reached"
    """The last reading is already there."""
    NOT_EXPECTED = "not_expected"
    """By its readings it levels out before, or takes very long."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """About when, and the range that should hold it four times in five."""

    about: datetime
    earliest: datetime
    latest: datetime | None
    """None where it may well never come to that."""
    basis: Basis
    readings: int
    """Readings (on a spit: rounds) that it rests on."""
    past_loads: int = 0

    def likely_after(self, due_at: datetime) -> bool:
        """Whether it will rather be after this instant than before."""
        return self.about > due_at

    def maybe_after(self, due_at: datetime) -> bool:
        """Whether the range goes beyond this instant."""
        return self.latest is None or self.latest > due_at


@dataclass(frozen=True, slots=True)
class NoForecast:
    """Too little to go on, and why."""

    reason: Reason


def forecast_spit(spit: SpitRecord, *, history: RoastHistory, at: datetime) -> Forecast | NoForecast:
    """Forecast when a spit reaches the history's limit, from its readings up to `at` and from past loads.

    It may lie before `at`: then it is time to probe.
    """
    rounds = roasting.rounds_of(replace(spit, readings=[point for point in spit.readings if point[0] <= at]))
    if rounds and rounds[-1].read_c >= history.roast.limit_c:
        return NoForecast(Reason.REACHED)
    hints = history.roast.hints(rounds)
    loads = history.loads if history.loads >= _LOADS_ENOUGH else 0
    if not hints and not loads:
        return NoForecast(Reason.TOO_EARLY if rounds else Reason.NO_READINGS)
    estimates = [history.effects.expected(spit)]
    if hints:
        read = roasting.weigh(hints, history.curve_sd)
        loads, estimates = (0, [read]) if _unlike(read, estimates[0]) else (loads, [*estimates, read])
    return _spit_forecast(spit.started_at, _ready_min(_combined(estimates), rounds), hints=len(hints), loads=loads)


def _spit_forecast(started_at: datetime, minutes: Sequence[float], *, hints: int, loads: int) -> Forecast | NoForecast:
    """Give a spit's forecast from its earliest, middle and latest minute, as far as the horizon."""
    earliest, about, latest = minutes
    if about > _SPIT_HORIZON_MIN:  # past loads say nothing of birds so unlike theirs
        return NoForecast(Reason.NOT_EXPECTED)
    return Forecast(
        about=started_at + timedelta(minutes=about),
        earliest=started_at + timedelta(minutes=earliest),
        latest=None if latest > _SPIT_HORIZON_MIN else started_at + timedelta(minutes=latest),
        basis=_BASES[bool(hints), bool(loads)],
        readings=hints,
        past_loads=loads,
    )


def _unlike(read: Estimate, before: Estimate) -> bool:
    """Whether readings say that this load is unlike past ones (an oven that went out): then those say nothing of it."""
    return abs(read.mean - before.mean) > _UNLIKE_SDS * sqrt(read.sd**2 + before.sd**2)


def _combined(estimates: Sequence[Estimate]) -> Estimate:
    """Combine independent estimates of the log of the minutes, each by its precision."""
    weights = [1 / estimate.sd**2 for estimate in estimates]
    mean = sum(weight * estimate.mean for weight, estimate in zip(weights, estimates, strict=True)) / sum(weights)
    return Estimate(mean, sqrt(1 / sum(weights) + (_PROBING_SD_MIN / exp(mean)) ** 2))


def _ready_min(x: Estimate, rounds: Sequence[Round]) -> list[float]:
    """Give the earliest, the middle and the latest minute, knowing that the last round was under the limit."""
    normal, last_minute = NormalDist(x.mean, x.sd), rounds[-1].minute if rounds else 0.0
    gone = min(normal.cdf(log(last_minute)), _ALMOST_ALL) if last_minute > 0 else 0.0
    logs = [normal.inv_cdf(gone + share * (1 - gone)) for share in _RANGE]
    return [max(exp(min(one, log(_SPIT_HORIZON_MIN) + 1)), last_minute) for one in logs]


def forecast_tray(
    readings: Readings, *, limit: Temperature, surroundings: Temperature | None = None, at: datetime
) -> Forecast | NoForecast:
    """Forecast when a tray falls to the limit, from its readings up to `at` since it was filled.

    `surroundings`: the air of its hot-holding unit (or the room) as last read; None where nobody read it.
    """
    fall = _Fall(falling.tray(_celsius(surroundings)), _enough(surroundings), _TRAY_HORIZON_MIN)
    return _forecast_fall(readings, fall, mark_c=float(in_celsius(limit)), at=at)


def forecast_batch(
    readings: Readings, *, mark: Temperature, surroundings: Temperature | None = None, at: datetime
) -> Forecast | NoForecast:
    """Forecast when a batch falls to the mark (70 °F, 41 °F …), from its readings up to `at` since it was chilled.

    `surroundings`: the air of its cold unit as last read; None where nobody read it.
    """
    fall = _Fall(falling.batch(_celsius(surroundings)), _enough(surroundings), _BATCH_HORIZON_MIN)
    return _forecast_fall(readings, fall, mark_c=float(in_celsius(mark)), at=at)


@dataclass(frozen=True, slots=True)
class _Fall:
    """What a forecast of a fall starts from, the readings it takes, and the minutes beyond which it says nothing."""

    beliefs: Beliefs
    enough: int
    horizon_min: int


def _celsius(surroundings: Temperature | None) -> float | None:
    return None if surroundings is None else float(in_celsius(surroundings))


def _enough(surroundings: Temperature | None) -> int:
    return _ENOUGH_READINGS + (_WITHOUT_AIR if surroundings is None else 0)


def _forecast_fall(readings: Readings, fall: _Fall, *, mark_c: float, at: datetime) -> Forecast | NoForecast:
    """Forecast a fall from its hottest reading on: until then a core may still rise by what its surface took up."""
    seen = sorted((when, float(in_celsius(reading))) for when, reading in readings if when <= at)
    since = seen[max(range(len(seen)), key=lambda index: seen[index][1], default=0) :]
    reason = _too_little(seen, since, mark_c=mark_c, enough=fall.enough)
    if reason is not None:
        return NoForecast(reason)
    points = [((when - since[0][0]).total_seconds() / 60, celsius) for when, celsius in since]
    times = falling.passing(falling.weigh(points, fall.beliefs), mark_c, after=points[-1][0])
    earliest, about, latest = (falling.quantile(times, share) for share in _RANGE)
    if about > fall.horizon_min:
        return NoForecast(Reason.NOT_EXPECTED)
    return Forecast(
        about=since[0][0] + timedelta(minutes=about),
        earliest=since[0][0] + timedelta(minutes=earliest),
        latest=None if latest > fall.horizon_min else since[0][0] + timedelta(minutes=latest),
        basis=Basis.READINGS,
        readings=len(since),
    )


def _too_little(seen: _Points, since: _Points, *, mark_c: float, enough: int) -> Reason | None:
    """Give why the readings (all, and since the hottest) are too little to go on; None where they are enough."""
    if not seen:
        return Reason.NO_READINGS
    if since[-1][1] <= mark_c:
        return Reason.REACHED
    if len(seen) >= enough and since[0][1] - since[-1][1] < _FALLEN_C:
        return Reason.TOO_EARLY
    return Reason.FEW_READINGS if len(since) < enough else None
