"""Control charts of one thing measured again and again, e.g. a cold unit's air: is it still behaving as it always did?

«In control» says that nothing unusual happened; it does not say that the food is within its limit. A unit can be in
control at 45 °F, and out of control at 34 °F. So the two are kept apart here, and neither overrides the other. Values
cut off by their own target must not be charted: cooks that stop at 165 °F have only one side.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from statistics import fmean

# NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (individuals): factors d2 and D4 for ranges of two.
_D2 = 1.128
_D4 = 3.267


class Signal(StrEnum):
    """Why a point is not in control. The first four: Western Electric rules, NIST/SEMATECH e-Handbook 6.3.2."""

    BEYOND_3_SIGMA = "beyond_3_sigma"
    TWO_OF_THREE_BEYOND_2_SIGMA = "two_of_three_beyond_2_sigma"
    FOUR_OF_FIVE_BEYOND_1_SIGMA = "four_of_five_beyond_1_sigma"
    EIGHT_ON_ONE_SIDE = "eight_on_one_side"
    MOVING_RANGE = "moving_range"
    """The step from the point before is larger than the chart of moving ranges allows."""


# Signal: at least so many of the latest so many points, the newest among them, beyond so many sigma on one side.
_WESTERN_ELECTRIC = (
    (Signal.BEYOND_3_SIGMA, 1, 1, 3.0),
    (Signal.TWO_OF_THREE_BEYOND_2_SIGMA, 2, 3, 2.0),
    (Signal.FOUR_OF_FIVE_BEYOND_1_SIGMA, 4, 5, 1.0),
    (Signal.EIGHT_ON_ONE_SIDE, 8, 8, 0.0),
)
_LONGEST_WINDOW = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class IndividualsChart:
    """Limits of a chart of individuals and of its moving ranges (their lower limit is 0), in the values' unit."""

    centre: float
    sigma: float
    lower: float
    upper: float
    moving_ranges: tuple[float, ...]
    moving_range_upper: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartPoint:
    """One value: what the chart says of it, and, apart from that, whether its rule found it within the limit."""

    value: float
    signals: frozenset[Signal]
    within_limit: bool

    @property
    def in_control(self) -> bool:
        """Whether nothing unusual shows. No statement about the limit."""
        return not self.signals


def individuals_chart(values: Sequence[float]) -> IndividualsChart:
    """Give centre and 3-sigma limits, sigma = mean moving range / 1.128 (NIST/SEMATECH e-Handbook 6.3.2.2).

    ValueError for fewer than two values; limits from fewer than 20 move a good deal (common practice, no source).
    """
    if len(values) < 2:
        raise ValueError("a chart needs two values or more")
    ranges = tuple(abs(later - earlier) for earlier, later in pairwise(values))
    centre, mean_range = fmean(values), fmean(ranges)
    sigma = mean_range / _D2
    return IndividualsChart(
        centre=centre,
        sigma=sigma,
        lower=centre - 3 * sigma,
        upper=centre + 3 * sigma,
        moving_ranges=ranges,
        moving_range_upper=_D4 * mean_range,
    )


def western_electric_signals(values: Sequence[float], *, centre: float, sigma: float) -> tuple[frozenset[Signal], ...]:
    """Give for each value the Western Electric rules that it completes."""
    offsets = [value - centre for value in values]
    return tuple(_signals_at(offsets[max(0, end - _LONGEST_WINDOW) : end], sigma) for end in range(1, len(offsets) + 1))


def _signals_at(offsets: Sequence[float], sigma: float) -> frozenset[Signal]:
    """Give the rules that the last of these offsets from the centre completes."""
    side = 1 if offsets[-1] > 0 else -1
    found = set()
    for signal, needed, window, distance in _WESTERN_ELECTRIC:
        beyond = [side * offset > distance * sigma for offset in offsets[-window:]]
        if beyond[-1] and sum(beyond) >= needed:
            found.add(signal)
    return frozenset(found)


def chart_points(values: Sequence[float], *, within_limit: Sequence[bool]) -> tuple[ChartPoint, ...]:
    """Give each value with its signals, beside what its own rule found: passed in, and passed on untouched."""
    chart = individuals_chart(values)
    signals = western_electric_signals(values, centre=chart.centre, sigma=chart.sigma)
    steps = (0.0, *chart.moving_ranges)
    return tuple(
        ChartPoint(
            value=value,
            signals=found | {Signal.MOVING_RANGE} if step > chart.moving_range_upper else found,
            within_limit=within,
        )
        for value, found, step, within in zip(values, signals, steps, within_limit, strict=True)
    )
