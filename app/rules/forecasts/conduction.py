"""Heat flowing into (or out of) a slab, a cylinder or a sphere whose surroundings stay at one temperature.

Everything is dimensionless. `theta` = (T − surroundings) / (T at the start − surroundings): 1 at first, 0 in the end.
`biot` = h r / k and `fourier` = alpha t / r², with r the half-thickness of the slab or the full radius: a third of the
radius (volume by surface) is another Biot number and belongs to lumped cooling. `place` = distance from the centre / r.
Source of the series: Incropera, Fundamentals of Heat and Mass Transfer, 5.5 and 5.6 (from memory; held to its tables).
"""

from enum import StrEnum
from functools import lru_cache
from math import cos, exp, pi, sin

_BISECTIONS = 60
_MOST_TERMS = 400
_NEGLIGIBLE = 1e-13


class Shape(StrEnum):
    """The three bodies for which heat flows in one dimension."""

    SLAB = "slab"
    CYLINDER = "cylinder"
    SPHERE = "sphere"


def bessel_j(order: int, x: float) -> float:
    """Give the Bessel function of the first kind J_n(x), x ≥ 0, n a whole number.

    Bessel's integral (NIST Digital Library of Mathematical Functions 10.9.2) by the midpoint rule, which on a periodic
    integrand is exact to rounding once there are more points than x.
    """
    points = int(x) + 40
    angles = (pi * (index + 0.5) / points for index in range(points))
    return sum(cos(order * angle - x * sin(angle)) for angle in angles) / points


def _characteristic(shape: Shape, biot: float, zeta: float) -> float:
    """Give the function whose zeros are the roots, free of poles."""
    if shape is Shape.SLAB:
        return zeta * sin(zeta) - biot * cos(zeta)
    if shape is Shape.CYLINDER:
        return zeta * bessel_j(1, zeta) - biot * bessel_j(0, zeta)
    return (1 - biot) * sin(zeta) - zeta * cos(zeta)


@lru_cache(maxsize=4096)
def root(shape: Shape, biot: float, number: int) -> float:
    """Give root number 1, 2, …: zeta tan zeta, zeta J1/J0 or 1 − zeta cot zeta equal to the Biot number.

    For all three shapes there is exactly one root in each interval of length pi. ValueError unless the Biot number is
    over 0.
    """
    if biot <= 0:
        raise ValueError("a Biot number is over 0")
    low, high = (number - 1) * pi or 1e-12, number * pi
    sign = _characteristic(shape, biot, high) > 0
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2
        if (_characteristic(shape, biot, middle) > 0) is sign:
            high = middle
        else:
            low = middle
    return (low + high) / 2


def coefficient(shape: Shape, zeta: float) -> float:
    """Give the coefficient C of the term with root zeta, for a body that starts at one temperature throughout."""
    if shape is Shape.SLAB:
        return 4 * sin(zeta) / (2 * zeta + sin(2 * zeta))
    if shape is Shape.CYLINDER:
        j0, j1 = bessel_j(0, zeta), bessel_j(1, zeta)
        return 2 / zeta * j1 / (j0 * j0 + j1 * j1)
    return 4 * (sin(zeta) - zeta * cos(zeta)) / (2 * zeta - sin(2 * zeta))


def _profile(shape: Shape, zeta: float, place: float) -> float:
    """Give the term's value at a place from 0 (centre) to 1 (surface), 1 at the centre."""
    if shape is Shape.SLAB:
        return cos(zeta * place)
    if shape is Shape.CYLINDER:
        return bessel_j(0, zeta * place)
    return sin(zeta * place) / (zeta * place) if place else 1.0


@lru_cache(maxsize=4096)
def _amplitude(shape: Shape, biot: float, number: int, place: float) -> tuple[float, float]:
    """Give root number `number` and what its term is multiplied by at the place."""
    zeta = root(shape, biot, number)
    return zeta, coefficient(shape, zeta) * _profile(shape, zeta, place)


def one_term(shape: Shape, *, biot: float, fourier: float, place: float = 0.0) -> float:
    """Give theta by the first term alone: within 2 % from fourier 0.2 on, worth nothing long before."""
    zeta, amplitude = _amplitude(shape, biot, 1, place)
    return amplitude * exp(-zeta * zeta * fourier)


def full_series(shape: Shape, *, biot: float, fourier: float, place: float = 0.0) -> float:
    """Give theta by as many terms as matter; ValueError for a fourier under 0.0001, where there would be too many."""
    if fourier < 1e-4:
        raise ValueError("too early for the series")
    total = 0.0
    for number in range(1, _MOST_TERMS):
        zeta, amplitude = _amplitude(shape, biot, number, place)
        decay = exp(-zeta * zeta * fourier)
        total += amplitude * decay
        if decay < _NEGLIGIBLE:
            break
    return total
