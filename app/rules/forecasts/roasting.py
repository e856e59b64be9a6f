"""How a core warms up on the spit, by a site's own past loads, and what a reading says of the time to the limit.

`x` is the log of the minutes from the start to the limit. A core follows the curve of heat conduction; which body and
which surroundings are nearest to this kitchen's is chosen by its past loads: the curve on which the readings of one and
the same spit agree best about its `x`.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import product
from math import log, sqrt
from statistics import fmean

from app.kinds import Temperature

from ..scales import in_celsius
from . import cook_time
from .conduction import Shape
from .cook_time import Effects, Estimate, SpitRecord
from .core_curve import CoreCurve

_ROUND = timedelta(minutes=6)
"""Readings no further apart are one round; its coldest stands for the spit."""
_START_C = 4.0
"""Birds come out of cold holding: Food Code 3-501.16, 41 °F (5 °C) or less."""
_OFF_CORE_C = 1.0
"""A tip beside the core reads too hot, never too cold: allowed for by as much as a thermometer may be off, 4-203.11."""

# House figures: what is believed before the site's own loads have spoken, and how firmly (standard deviations, loads).
_READING_SD_C, _MINUTE_SD = 2.0, 1.0
"""Where in the bird the tip sits, in which bird, and when it was really read."""
_SITE_SD_C = 1.0
"""How far all readings of a site may be off together, which no number of them evens out: its thermometers, its ways."""
_CURVE_SD, _CURVE_COUNTS = 0.2, 8
"""How far a curve is off in `x` for a core still at its start; in proportion less on the way, and not at the limit."""
_TELLS_C, _OVER_C = 15.0, 25.0
"""A core that has risen by less, or is over the limit by more, says little about when the limit is (was) reached."""
_NEAR_THE_LIMIT = 0.8
"""Part of the time to the limit from which a reading tells how long the whole took."""

_CURVES = tuple(product((Shape.CYLINDER, Shape.SPHERE), (1.0, 3.0, 10.0), (110.0, 150.0, 200.0)))
"""Body, Biot number and surroundings (°C) to choose from."""
_USUAL_CURVE, _USUAL_SURROUNDINGS_C = CoreCurve(Shape.SPHERE, 3.0), 150.0
"""The water that a bird loses keeps its surface well under the oven's air."""
_LOADS_TO_CHOOSE, _LOADS_CHOOSING = 5, 20
"""Loads that it takes to choose a curve, and that choose it: the latest."""


@dataclass(frozen=True, slots=True)
class Round:
    """The coldest reading (°C) of one round, and its minute since the start."""

    minute: float
    read_c: float


@dataclass(frozen=True, slots=True)
class Hint:
    """What one round says of `x`, with its own noise (a standard deviation)."""

    x: float
    noise: float
    by_degree: float
    """Change of `x` for a reading that is off by 1 °C."""
    progress: float
    """Part of the time to the limit that had passed."""


@dataclass(frozen=True, slots=True)
class Roast:
    """A curve of the core for one limit (°C)."""

    curve: CoreCurve
    surroundings_c: float
    limit_c: float

    def hints(self, rounds: Iterable[Round]) -> list[Hint]:
        """Give what the rounds say of `x`, leaving out those that say little."""
        whole = self._constants_at(self.limit_c)
        hottest = min(self.limit_c + _OVER_C, self.surroundings_c - 5)
        hints = []
        for each in rounds:
            core_c = each.read_c - _OFF_CORE_C
            if each.minute > 0 and _START_C + _TELLS_C <= core_c <= hottest:
                passed = self._constants_at(core_c)
                by_degree = (self._constants_at(core_c + 1) - self._constants_at(core_c - 1)) / 2 / passed
                noise = sqrt((_READING_SD_C * by_degree) ** 2 + (_MINUTE_SD / each.minute) ** 2)
                hints.append(Hint(log(each.minute * whole / passed), noise, by_degree, passed / whole))
        return hints

    def _constants_at(self, core_c: float) -> float:
        return self.curve.constants_at((self.surroundings_c - core_c) / (self.surroundings_c - _START_C))


@dataclass(frozen=True, slots=True, kw_only=True)
class RoastHistory:
    """What was learned from past loads, for one limit."""

    roast: Roast
    curve_sd: float
    effects: Effects
    loads: int
    """Past spits that told how long they took."""
    longest: Mapping[str, timedelta]
    """By oven, the longest time from the start to the pull of a spit whose last readings were at the limit."""


def learn(past: Sequence[SpitRecord], *, limit: Temperature) -> RoastHistory:
    """Learn from past spits, oldest first, each with its readings up to the pull; from none, the house figures."""
    limit_c = float(in_celsius(limit))
    rounds = [rounds_of(spit) for spit in past]
    roast = _choose_curve(rounds[-_LOADS_CHOOSING:], limit_c)
    hints = [roast.hints(each) for each in rounds]
    near_limit = [index for index, each in enumerate(hints) if any(hint.progress >= _NEAR_THE_LIMIT for hint in each)]
    return RoastHistory(
        roast=roast,
        curve_sd=_curve_sd([hints[index] for index in near_limit]),
        effects=cook_time.fit([(past[index], weigh(hints[index], _CURVE_SD).mean) for index in near_limit]),
        loads=len(near_limit),
        longest=_longest(past, rounds, limit_c),
    )


def _longest(past: Sequence[SpitRecord], rounds: Sequence[Sequence[Round]], limit_c: float) -> Mapping[str, timedelta]:
    longest: dict[str, timedelta] = {}
    for spit, read in zip(past, rounds, strict=True):
        if spit.pulled_at is not None and read and read[-1].read_c >= limit_c:
            took = spit.pulled_at - spit.started_at
            longest[spit.oven] = max(took, longest.get(spit.oven, took))
    return longest


def rounds_of(spit: SpitRecord) -> list[Round]:
    """Give the rounds of a spit in order of time, each by its coldest reading."""
    rounds: list[Round] = []
    opened: datetime | None = None
    for at, reading in sorted(spit.readings, key=lambda point: point[0]):
        found = Round((at - spit.started_at).total_seconds() / 60, float(in_celsius(reading)))
        if opened is None or at - opened > _ROUND:
            opened = at
            rounds.append(found)
        elif found.read_c < rounds[-1].read_c:
            rounds[-1] = found
    return rounds


def weigh(hints: Sequence[Hint], curve_sd: float) -> Estimate:
    """Give `x` by all rounds of one spit, one or more: their own noise evens out, what they share does not."""
    weights = [1 / (hint.noise**2 + (curve_sd * (1 - hint.progress)) ** 2) for hint in hints]
    mean = sum(weight * hint.x for weight, hint in zip(weights, hints, strict=True)) / sum(weights)
    own = 1 / sum(1 / hint.noise**2 for hint in hints)
    last = max(hints, key=lambda hint: hint.progress)
    return Estimate(mean, sqrt(own + (curve_sd * (1 - last.progress)) ** 2 + (_SITE_SD_C * last.by_degree) ** 2))


def _choose_curve(past: Sequence[Sequence[Round]], limit_c: float) -> Roast:
    """Give the curve by which the rounds of one spit agree best with each other."""
    least_c = limit_c + _OVER_C
    if len(past) < _LOADS_TO_CHOOSE:
        return Roast(_USUAL_CURVE, max(_USUAL_SURROUNDINGS_C, least_c), limit_c)
    roasts = [Roast(CoreCurve(shape, biot), max(around_c, least_c), limit_c) for shape, biot, around_c in _CURVES]
    return min(roasts, key=lambda roast: _disagreement(past, roast))


def _disagreement(past: Sequence[Sequence[Round]], roast: Roast) -> float:
    """Give the mean square of the differences within spits, in units of their noise; no round counts over 25."""
    squares = [0.0]
    for rounds in past:
        hints = roast.hints(rounds)
        if len(hints) > 1:
            x = weigh(hints, _CURVE_SD).mean
            squares += [min(((hint.x - x) / hint.noise) ** 2, 25.0) for hint in hints]
    return fmean(squares)


def _curve_sd(past: Sequence[Sequence[Hint]]) -> float:
    """Give how far early rounds were off beyond their noise, drawn towards the house figure."""
    squares: list[float] = []
    for hints in past:
        x = weigh(hints, _CURVE_SD).mean
        early = [hint for hint in hints if hint.progress < _NEAR_THE_LIMIT]
        squares += [max((hint.x - x) ** 2 - hint.noise**2, 0.0) / (1 - hint.progress) ** 2 for hint in early]
    return sqrt((_CURVE_COUNTS * _CURVE_SD**2 + sum(squares)) / (_CURVE_COUNTS + len(squares)))
