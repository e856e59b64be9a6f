"""A hot core on its way down to its surroundings: every way that fits its readings, weighed, and when each passes a mark."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import exp, inf, log, sqrt
from typing import Protocol

# House figures: what is believed before any reading.
_SCATTER_C = 1.5
"""Standard deviation of readings: another piece, another place in it, another thermometer."""
_SPREAD = tuple((k / 4, exp(-((k / 4) ** 2) / 2)) for k in range(-10, 11))
"""A normal belief: standard deviations from its middle, and weights."""
_TRAY_CONSTANT_MIN, _BATCH_CONSTANT_MIN, _TIMES = 150.0, 110.0, 2.0
"""Time constants of whole birds on a tray and of what is chilled, and the factor by which they are uncertain. By the textbook
figures of chicken a sphere of 6 cm has 250 min in still air and a piece of 5 cm 90; a bird out of the oven loses water too."""
_TRAY_AIR_C = tuple((15 + 7.5 * k, 1.0) for k in range(9))
_LOSES_WATER_C, _ABOVE_C = 15.0, 3.0
"""An uncovered bird ends cooler than the air, by what evaporates: up to so much; or a little warmer, under a lamp."""
_COLD_AIR_C, _COLD_AIR_SD_C = 3.0, 1.5
"""A cold unit that keeps its food at 41 °F (5 °C) or less, and how well its air is known."""
_TRAY_CURVES = (Newton(), CoreCurve(Shape.SPHERE, 0.7), CoreCurve(Shape.SPHERE, 2.0))
_BATCH_CURVES = (Newton(), CoreCurve(Shape.SLAB, 1.0), CoreCurve(Shape.CYLINDER, 0.7), CoreCurve(Shape.SPHERE, 2.0))

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
    """One way down: from `start` towards `surroundings` (one unit of temperature), `constant` minutes a time constant."""

    curve: Curve
    start: float
    surroundings: float
    constant: float

    def temperature_at(self, minute: float) -> float:
        """Give the temperature so many minutes after the start."""
        return self.surroundings + (self.start - self.surroundings) * self.curve.theta_at(minute / self.constant)

    def minutes_to(self, mark: float) -> float:
        """Give the minutes from the start until the mark is passed; infinite if it never is, negative if it was before."""
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
    scatter_c: float
    """Standard deviation of readings: another piece, another place, another thermometer."""


@dataclass(frozen=True, slots=True)
class _Fit:
    """The best start for one curve, surroundings and time constant, with what the readings say of it."""

    belief: float
    fall: Fall
    information: float
    squares: float


def weigh(points: Sequence[tuple[float, float]], beliefs: Beliefs) -> list[tuple[float, Fall]]:
    """Give the ways down that fit readings (minute, °C), two or more, with their weights, which sum to 1."""
    fits = list(_fits(points, beliefs))
    least = min(fit.squares for fit in fits)
    variance = (_SCATTER_COUNTS * beliefs.scatter_c**2 + least) / (_SCATTER_COUNTS + max(len(points) - 2, 0))
    ways: list[tuple[float, Fall]] = []
    for fit in fits:
        likelihood = exp((least - fit.squares) / (2 * variance))
        if likelihood > _NEGLIGIBLE:
            weight, error = fit.belief * likelihood / sqrt(fit.information), sqrt(variance / fit.information)
            ways += [(weight * share, replace(fit.fall, start=fit.fall.start + k * error)) for k, share in _NODES]
    whole = sum(weight for weight, _ in ways)
    return [(weight / whole, fall) for weight, fall in ways]


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
