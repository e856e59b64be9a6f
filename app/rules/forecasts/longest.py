"""How long a load without a forecast cooks before it is pressing: as long as other loads of its oven took, else a house
value.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum

from ..day.subjects_shown import LoadView, SpitView
from ..facts import Verdict

HOUSE = timedelta(hours=2, minutes=15)
"""Where no record of the oven shows any (house). Birds on a spit are smaller as a rule (common practice, no source)."""
HOUSE_SOURCE = "house: USDA consumer guide, roasting hen of 5 to 7 lb at 350 °F, 2 to 2¼ h"


class ShownBy(StrEnum):
    """What shows how long a load takes at the longest."""

    TODAY = "today"
    EARLIER = "earlier"
    HOUSE = "house"


@dataclass(frozen=True, slots=True)
class Longest:
    """The longest time from the start of a load to the pull of a spit at the limit, and what shows it."""

    length: timedelta
    shown_by: ShownBy
    source: str = ""
    """Where a house value comes from; empty where records show it."""


def longest_cook(load: LoadView, today: Iterable[LoadView], earlier: Mapping[str, timedelta]) -> Longest:
    """Give how long other loads of its oven took at most today, else on `earlier` days (by oven), else the house value.

    A spit that is pulled before its readings met the limit tells nothing of how long it takes.
    """
    others = [one for one in today if one.oven == load.oven and one.load != load.load]
    took = [length for one in others for spit in one.spits if (length := _took(one, spit)) is not None]
    if took:
        return Longest(max(took), ShownBy.TODAY)
    if load.oven in earlier:
        return Longest(earlier[load.oven], ShownBy.EARLIER)
    return Longest(HOUSE, ShownBy.HOUSE, HOUSE_SOURCE)


def _took(load: LoadView, spit: SpitView) -> timedelta | None:
    if spit.pulled_at is None or spit.birds_on or spit.verdict is not Verdict.MET:
        return None
    return spit.pulled_at - load.started_at
