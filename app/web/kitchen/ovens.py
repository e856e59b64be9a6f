"""The ovens as they are now: which have birds in them, and which of their spits are free."""

from collections.abc import Iterator
from typing import NamedTuple

from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import LoadView


class FreeSpit(NamedTuple):
    """A spit of a load in an oven that was not used for this load."""

    load: str
    oven: str
    spit: int


def loads_in_ovens(assessment: Assessment) -> list[LoadView]:
    """Give the loads that have birds on a spit."""
    return [load for load in assessment.loads if any(spit.birds_on for spit in load.spits)]


def free_spits(assessment: Assessment) -> Iterator[FreeSpit]:
    """Give the free spits of each load in an oven: its numbers that this load did not use, else the next one.

    How many spits an oven has is what the day's loads in it used.
    """
    for load in loads_in_ovens(assessment):
        used = {spit.spit for spit in load.spits}
        in_oven = [spit.spit for other in assessment.loads if other.oven == load.oven for spit in other.spits]
        free = [number for number in range(1, max(in_oven) + 1) if number not in used] or [max(used) + 1]
        for number in free:
            yield FreeSpit(load.load, load.oven, number)
