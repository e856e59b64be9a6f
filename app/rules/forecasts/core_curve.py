"""How a core temperature goes while its surroundings stay the same: slow at first, then ever nearer to them."""

from bisect import bisect_left
from dataclasses import dataclass
from functools import lru_cache
from math import log

from .conduction import Shape, coefficient, full_series, one_term, root

_EARLIEST = 0.01
"""Fourier number up to which a core has not noticed anything yet."""
_LATE = 0.5
"""Fourier number from which the first term alone is exact to a thousandth."""
_STEPS = 64


@dataclass(frozen=True, slots=True)
class CoreCurve:
    """Core of a body in surroundings that stay the same; time in units of the slowest decay (`time constants`)."""

    shape: Shape
    biot: float

    def theta_at(self, constants: float) -> float:
        """Give (T − surroundings) / (T at the start − surroundings) after so many time constants."""
        fourier = constants / _slowest(self.shape, self.biot)[0]
        if fourier >= _LATE:
            return one_term(self.shape, biot=self.biot, fourier=fourier)
        place = (fourier - _EARLIEST) / (_LATE - _EARLIEST) * _STEPS
        if place <= 0:
            return 1.0
        thetas, index = _table(self.shape, self.biot), int(place)
        return thetas[index] + (place - index) * (thetas[index + 1] - thetas[index])

    def constants_at(self, theta: float) -> float:
        """Give the time constants after which theta (under 1, over 0) is reached."""
        thetas, (decay, amplitude) = _table(self.shape, self.biot), _slowest(self.shape, self.biot)
        if theta <= thetas[-1]:
            return log(amplitude / theta)
        index = max(bisect_left(thetas, -theta, key=lambda each: -each), 1)
        part = (thetas[index - 1] - theta) / (thetas[index - 1] - thetas[index])
        fourier = _EARLIEST + (index - 1 + part) * (_LATE - _EARLIEST) / _STEPS
        return fourier * decay


@lru_cache(maxsize=64)
def _slowest(shape: Shape, biot: float) -> tuple[float, float]:
    """Give decay (by Fourier number) and amplitude at the core of the first term."""
    zeta = root(shape, biot, 1)
    return zeta * zeta, coefficient(shape, zeta)


@lru_cache(maxsize=64)
def _table(shape: Shape, biot: float) -> tuple[float, ...]:
    """Give theta of the core by the full series at even steps of the Fourier number up to `_LATE`."""
    step = (_LATE - _EARLIEST) / _STEPS
    return tuple(full_series(shape, biot=biot, fourier=_EARLIEST + index * step) for index in range(_STEPS + 1))
