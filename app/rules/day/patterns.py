"""Patterns in a day's critical readings that a reviewer would look at twice. Pointed out, never a verdict.

The figures are house values: no code of law names them.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from itertools import combinations
from typing import NamedTuple

from app.kinds import CookReading, Entry, Temperature

from ..history.holders import Spit
from ..history.kitchen import Kitchen
from ..plans.plan import Plan
from .shown import Pattern

TOGETHER = 4
"""So many late readings, written within a few minutes although seen over a long time, were written from memory."""
WRITTEN_WITHIN = timedelta(minutes=5)
SEEN_OVER = timedelta(minutes=60)

JUMP_WITHIN = timedelta(minutes=2)
JUMP_OVER = {"F": Decimal(10), "C": Decimal(5)}
"""A bird's core does not change so much so soon: one of the two was read beside the thickest part, or at the bone."""

EARLY_WITHIN = timedelta(minutes=30)
"""So soon after it was loaded a whole bird is not done; an hour and more is common practice."""


class Seen(NamedTuple):
    """What was read, and when."""

    reading: Temperature
    at: datetime


class Written(NamedTuple):
    """A late reading, and when it was first written."""

    entry: Entry
    recorded_at: datetime


def find_patterns(kitchen: Kitchen, readings: Sequence[Entry], late: Sequence[Written]) -> tuple[Pattern, ...]:
    """Give the patterns among the critical readings of a day, each once with all that take part in it."""
    cooked = [entry for entry in readings if isinstance(entry, CookReading)]
    found = {"written_together": written_together(late), "jump": jumps(cooked), "early": early(kitchen, cooked)}
    return tuple(_pattern(name, entries) for name, entries in found.items() if entries)


def _pattern(name: str, entries: Iterable[Entry]) -> Pattern:
    by_seq = sorted({entry.root_seq: entry for entry in entries}.items())
    return Pattern(pattern=name, entries=tuple(entry for _seq, entry in by_seq))


def written_together(late: Sequence[Written]) -> list[Entry]:
    """Give the late readings that were written together although they were seen over an hour or more."""
    by_writing = sorted(late, key=lambda one: (one.recorded_at, one.entry.root_seq))
    found: list[Entry] = []
    # Once for each moment: hundreds that were sent as one are all of the same.
    for first in sorted({one.recorded_at for one in late}):
        together = [one.entry for one in by_writing if first <= one.recorded_at <= first + WRITTEN_WITHIN]
        seen = [entry.observed_at for entry in together]
        if len(together) >= TOGETHER and max(seen) - min(seen) >= SEEN_OVER:
            found += together
    return found


def jumps(readings: Sequence[CookReading]) -> list[Entry]:
    """Give the readings of one bird and place that are far apart within two minutes."""
    return [entry for pair in _pairs(readings) if _is_jump(*pair) for entry in pair]


def _pairs(readings: Sequence[CookReading]) -> Iterator[tuple[CookReading, CookReading]]:
    series: dict[tuple[str, int, int, str], list[CookReading]] = {}
    for entry in readings:
        series.setdefault((entry.load, entry.spit, entry.bird, entry.place), []).append(entry)
    for of_bird in series.values():
        yield from combinations(of_bird, 2)


def _is_jump(one: CookReading, other: CookReading) -> bool:
    return is_jump(Seen(one.reading, one.observed_at), Seen(other.reading, other.observed_at))


def is_jump(one: Seen, other: Seen) -> bool:
    """Whether two readings of one bird and place are too far apart for the time between them."""
    if one.reading.unit != other.reading.unit or abs(one.at - other.at) > JUMP_WITHIN:
        return False
    return abs(one.reading.value - other.reading.value) > JUMP_OVER[one.reading.unit]


def early(kitchen: Kitchen, readings: Sequence[CookReading]) -> list[Entry]:
    """Give the readings at the cooking limit that came too soon after the spit was last loaded."""
    loaded: dict[Spit, list[datetime]] = {}
    found: list[Entry] = []
    for entry in readings:
        spit = kitchen.spit(entry)
        if spit is not None:
            if spit not in loaded:
                loaded[spit] = [one.observed_at for one in spit.loadings()]
            if (
                loaded[spit]
                and entry.observed_at - loaded[spit][-1] < EARLY_WITHIN
                and is_early(spit.plan, loaded[spit], Seen(entry.reading, entry.observed_at))
            ):
                found.append(entry)
    return found


def is_early(plan: Plan, loaded: Iterable[datetime], read: Seen) -> bool:
    """Whether a bird is at its plan's limit too soon after its spit was last loaded, given when that was done."""
    before = max((at for at in loaded if at <= read.at), default=None)
    is_soon = before is not None and read.at - before < EARLY_WITHIN
    return is_soon and plan.limits.cook_core.at_or_above(read.reading)
