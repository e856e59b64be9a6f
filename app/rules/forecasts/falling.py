"""A hot core on its way down: every way that fits its readings, weighed, and when each of them passes a mark."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from math import exp, inf, log, sqrt
from typing import Protocol

from .conduction import Shape
from .core_curve import CoreCurve

_NODES = ((-sqrt(3.0), 1 / 6), (0.0, 2 / 3), (sqrt(3.0), 1 / 6))
"""Three points and weights that stand for a normal distribution (Gauss and Hermite)."""
_MOST_CONSTANTS = 12.0
"""Time constants after which a fall is over."""
_NEGLIGIBLE = 1e-4
_SCATTER_COUNTS = 4
"""Readings that the expected scatter is worth against the scatter that is seen."""


class Curve(Protocol):
    """A fall from 1 to 0, in time constants."""

    def theta_at(self, constants: float) -> float:
        """Give what is left of the difference to the surroundings."""

    def constants_at(self, theta: float) -> float:
        """Give when so much is left."""


@dataclass(frozen=True, slots=True)
class Newton:
    """Newton's law of cooling: the rate goes with the difference to the surroundings, theta = e^(−t/τ)."""

    def theta_at(self, constants: float) -> float:
        """Give what is left of the difference after so many time constants."""
        return exp(-constants)

    def constants_at(self, theta: float) -> float:
        """Give the time constants after which theta (over 0) is left; negative for a theta over 1."""
        return -log(theta)


@dataclass(frozen=True, slots=True)
class Fall:
    """One way down: from `start` towards `surroundings` (in one unit), `constant` minutes a time constant."""

    curve: Curve
    start: float
    surroundings: float
    constant: float

    def moved(self, by: float) -> "Fall":
        """Give the same fall from another start."""
        return Fall(self.curve, self.start + by, self.surroundings, self.constant)

    def minutes_to(self, mark: float) -> float:
        """Give the minutes from the start until the mark is passed: infinite if it never is, negative if before."""
        if self.start <= self.surroundings or mark <= self.surroundings:
            return inf
        constants = self.curve.constants_at((mark - self.surroundings) / (self.start - self.surroundings))
        return inf if constants > _MOST_CONSTANTS else constants * self.constant


@dataclass(frozen=True, slots=True, kw_only=True)
class Beliefs:
    """What is thought possible before any reading."""

    curves: Sequence[Curve]
    surroundings_c: Sequence[tuple[float, float]]
    """Temperatures and their weights."""
    constants_min: Sequence[tuple[float, float]]
    """Time constants in minutes and their weights."""


# House figures: what is believed before any reading.
_SCATTER_C = 2.0
"""Standard deviation of readings: another piece, another place in it, another thermometer (house)."""
_NORMAL = tuple((k / 4, exp(-((k / 4) ** 2) / 2)) for k in range(-10, 11))
"""A normal belief: standard deviations from its middle, and weights."""
_CONSTANT_MIN, _TIMES = 110.0, 2.0
"""Time constant, and the factor by which it is uncertain: by the textbook figures of chicken a sphere of 6 cm has
250 min in still air and a piece of 5 cm 90; uncovered birds lose water too, and fall faster."""
_CONSTANTS = tuple((_CONSTANT_MIN * _TIMES**k, weight) for k, weight in _NORMAL)
_TRAY_AIR_C = (15.0, 75.0)
"""Of a hot-holding unit or of a room, where nobody read it."""
_LOSES_WATER_C, _ABOVE_C = 15.0, 3.0
"""An uncovered bird ends cooler than the air, by what evaporates: up to so much; or a little warmer, under a lamp."""
_COLD_AIR_C, _COLD_AIR_SD_C = 3.0, 1.5
"""A cold unit that keeps its food at 41 °F (5 °C) or less, and how well its air is known."""
_TRAY_CURVES = (Newton(), CoreCurve(Shape.SPHERE, 0.7), CoreCurve(Shape.SPHERE, 2.0))
_BATCH_CURVES = (Newton(), CoreCurve(Shape.SLAB, 1.0), CoreCurve(Shape.CYLINDER, 0.7), CoreCurve(Shape.SPHERE, 2.0))


def tray(surroundings_c: float | None) -> Beliefs:
    """Give what is believed of birds on a tray, in air of this temperature (None: unknown)."""
    low, high = _TRAY_AIR_C if surroundings_c is None else (surroundings_c - _LOSES_WATER_C, surroundings_c + _ABOVE_C)
    even = tuple((low + (high - low) * step / 8, 1.0) for step in range(9))
    return Beliefs(curves=_TRAY_CURVES, surroundings_c=even, constants_min=_CONSTANTS)


def batch(surroundings_c: float | None) -> Beliefs:
    """Give what is believed of covered food that is chilled, in air of this temperature (None: unknown)."""
    middle = _COLD_AIR_C if surroundings_c is None else surroundings_c
    air = tuple((middle + k * _COLD_AIR_SD_C, weight) for k, weight in _NORMAL[::3])
    return Beliefs(curves=_BATCH_CURVES, surroundings_c=air, constants_min=_CONSTANTS)


@dataclass(frozen=True, slots=True)
class _Fit:
    """The best start for one curve, surroundings and time constant, with what the readings say of it."""

    belief: float
    fall: Fall
    information: float
    squares: float


def weigh(points: Sequence[tuple[float, float]], beliefs: Beliefs) -> Sequence[tuple[float, Fall]]:
    """Give the ways down that fit readings (minute, °C), two or more, with their weights, which sum to 1."""
    return _weighed(tuple(points), beliefs)


@lru_cache(maxsize=128)  # every page that shows a batch weighs the same few readings again
def _weighed(points: tuple[tuple[float, float], ...], beliefs: Beliefs) -> tuple[tuple[float, Fall], ...]:
    fits = list(_fits(points, beliefs))
    least = min(fit.squares for fit in fits)
    variance = (_SCATTER_COUNTS * _SCATTER_C**2 + least) / (_SCATTER_COUNTS + len(points) - 2)
    ways: list[tuple[float, Fall]] = []
    for fit in fits:
        likelihood = exp((least - fit.squares) / (2 * variance))
        if likelihood > _NEGLIGIBLE:
            weight, error = fit.belief * likelihood / sqrt(fit.information), sqrt(variance / fit.information)
            ways += [(weight * share, fit.fall.moved(k * error)) for k, share in _NODES]
    whole = sum(weight for weight, _ in ways)
    return tuple((weight / whole, fall) for weight, fall in ways)


def _fits(points: Sequence[tuple[float, float]], beliefs: Beliefs) -> Iterator[_Fit]:
    """Fit the start by least squares for every curve, time constant and surroundings that are thought possible."""
    count, sum_t, sum_tt = len(points), sum(c for _, c in points), sum(c * c for _, c in points)
    for curve, (constant, likely) in product(beliefs.curves, beliefs.constants_min):
        thetas = [curve.theta_at(minute / constant) for minute, _ in points]
        information = sum(theta * theta for theta in thetas)
        sum_f, sum_ft = sum(thetas), sum(theta * c for theta, (_, c) in zip(thetas, points, strict=True))
        for surroundings, belief in beliefs.surroundings_c:
            over = sum_ft - surroundings * sum_f
            squares = sum_tt - 2 * surroundings * sum_t + count * surroundings**2 - over * over / information
            fall = Fall(curve, surroundings + over / information, surroundings, constant)
            yield _Fit(belief * likely, fall, information, max(squares, 0.0))


def passing(ways: Sequence[tuple[float, Fall]], mark: float, *, after: float) -> list[tuple[float, float]]:
    """Give minutes and weights, earliest first, at which the ways pass the mark; at `after` where they say earlier."""
    return sorted((max(fall.minutes_to(mark), after), weight) for weight, fall in ways)


def quantile(times: Sequence[tuple[float, float]], share: float) -> float:
    """Give the time by which this share of the weight has passed; infinite if it never does."""
    total = 0.0
    for minute, weight in times:
        total += weight
        if total >= share:
            return minute
    return inf
