"""How long a spit takes, by what is known before it is read: size of bird, birds on the spit, speed of the drum.

Everything is in logs of minutes, so that effects multiply. The site's own loads move the figures that are believed
anywhere, one load after the other, by Bayes' rule; a site with few loads keeps wide ranges.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from math import log, sqrt

from app.kinds import Temperature

# House figures: what is believed before the site's own loads have spoken, and how firmly (standard deviations, loads).
_LOAD_SD, _LOAD_COUNTS = 0.08, 5
"""Spread from load to load, worth so many loads."""
_CENTRE = (log(1.6), 6.0, 80.0)
_EFFECT_MEANS = (log(82), 2 / 3, 0.0, 0.0)
_EFFECT_SDS = (0.25, 0.2, 0.02, 0.004)
"""82 min for a bird of 1.6 kg (USDA's guide: 3 to 4 lb at 350 °F in 1¼ to 1½ h); then by log of the weight (time goes
with the square of the size, by conduction), by a bird more on the spit, by a percent more of drum speed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpitRecord:
    """One spit of one load: its core readings, and what is known of it; `started_at` is when it began to roast."""

    started_at: datetime
    readings: Sequence[tuple[datetime, Temperature]]
    bird_kg: float | None = None
    birds: int | None = None
    rotation_percent: float | None = None
    oven: str = ""
    pulled_at: datetime | None = None
    """When its last birds came off; None while it turns."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value and its standard deviation."""

    mean: float
    sd: float


@dataclass(frozen=True, slots=True)
class Effects:
    """Effects on the log of the minutes, their covariance, and what is left from load to load."""

    means: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    load_sd: float

    def expected(self, spit: SpitRecord) -> Estimate:
        """Give the log of the minutes of a spit not yet read."""
        known = _known(spit)
        spread = _dot(known, self._pulls(known))
        return Estimate(_dot(self.means, known), sqrt(spread + self.load_sd**2))

    def updated(self, spit: SpitRecord, took: float) -> "Effects":
        """Give the effects after one more load (one step of recursive least squares)."""
        pulls, expected = self._pulls(_known(spit)), self.expected(spit)
        gains = [pull / expected.sd**2 for pull in pulls]
        means = tuple(mean + gain * (took - expected.mean) for mean, gain in zip(self.means, gains, strict=True))
        covariance = tuple(
            tuple(value - gain * pull for value, pull in zip(row, pulls, strict=True))
            for row, gain in zip(self.covariance, gains, strict=True)
        )
        return Effects(means, covariance, self.load_sd)

    def _pulls(self, known: Sequence[float]) -> list[float]:
        return [_dot(row, known) for row in self.covariance]


def fit(took: Sequence[tuple[SpitRecord, float]]) -> Effects:
    """Fit the effects to past spits (log of the minutes each took), and again with the spread that the first leaves."""
    first = _fitted(took, _LOAD_SD)
    left = sum((x - first.expected(spit).mean) ** 2 for spit, x in took)
    return _fitted(took, sqrt((_LOAD_COUNTS * _LOAD_SD**2 + left) / (_LOAD_COUNTS + len(took))))


def _fitted(took: Sequence[tuple[SpitRecord, float]], load_sd: float) -> Effects:
    """Give the beliefs after all these loads, taking this for the spread between them."""
    size = range(len(_EFFECT_SDS))
    prior = tuple(tuple(_EFFECT_SDS[row] ** 2 if row == column else 0.0 for column in size) for row in size)
    effects = Effects(_EFFECT_MEANS, prior, load_sd)
    for spit, x in took:
        effects = effects.updated(spit, x)
    return effects


def _known(spit: SpitRecord) -> tuple[float, ...]:
    """Give what multiplies the effects; what was not recorded counts as usual."""
    values = (None if spit.bird_kg is None else log(spit.bird_kg), spit.birds, spit.rotation_percent)
    return (1.0, *(0.0 if value is None else value - centre for value, centre in zip(values, _CENTRE, strict=True)))


def _dot(left: Sequence[float], right: Sequence[float]) -> float:
    return sum(a * b for a, b in zip(left, right, strict=True))
