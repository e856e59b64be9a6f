"""Following food: where birds that are in doubt went, holder by holder, until they are gone, made good or let go.

Birds in one holder are not told apart. So what is followed is holders: one is in doubt whole from the first such bird
until none is left in it.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from functools import cached_property
from heapq import heappop, heappush
from itertools import accumulate, count
from typing import NamedTuple

from app.kinds import Entry, Subject

from .holders import INDEX, Holder, Movement
from .kitchen import Kitchen


class Place(NamedTuple):
    """A place in the order in which things happened: at an entry, or (`after` 1) between it and the next."""

    order: int
    after: int = 0


class Timeline:
    """The order of a kitchen's entries, and what each holder held at a place in it."""

    def __init__(self, kitchen: Kitchen) -> None:
        self.kitchen = kitchen
        self._held: dict[Subject, tuple[list[int], list[Decimal]]] = {}

    @cached_property
    def _times(self) -> list[datetime]:
        # What was seen a little before its tray was filled counts right after that, whatever its clock said.
        return list(accumulate((entry.observed_at for entry in self.kitchen.entries), max))

    @cached_property
    def _index(self) -> dict[str, int]:
        return {entry.root: index for index, entry in enumerate(self.kitchen.entries)}

    def entry(self, root: str) -> Entry | None:
        """Give the entry of a first version's id, if it counts."""
        index = self._index.get(root)
        return None if index is None else self.kitchen.entries[index]

    def place_of(self, entry: Entry) -> Place:
        """Give the place of an entry that counts."""
        return Place(self._index[entry.root])

    def place_at(self, at: datetime) -> Place:
        """Give the place of an instant: after everything that was seen up to it."""
        return Place(bisect_right(self._times, at) - 1, 1)

    def place_before(self, at: datetime) -> Place:
        """Give the place just before an instant."""
        return Place(bisect_left(self._times, at) - 1, 1)

    def held(self, holder: Holder, place: Place) -> Decimal:
        """Give the birds in a holder once what stands at a place has happened."""
        indexes, left = self._held.get(holder.subject) or self._count(holder)
        at = bisect_right(indexes, place.order)
        return left[at - 1] if at else Decimal(0)

    def _count(self, holder: Holder) -> tuple[list[int], list[Decimal]]:
        moves = [(move.index, move.birds) for move in holder.fills] + [
            (move.index, -move.birds) for move in holder.outs
        ]
        moves.sort()
        counted = [index for index, _birds in moves], list(accumulate(birds for _index, birds in moves))
        self._held[holder.subject] = counted
        return counted


@dataclass(slots=True, eq=False)
class Stay:
    """Food in doubt in one holder. `entered`: it came in in doubt; else the doubt began here."""

    holder: Holder
    place: Place
    since: datetime
    entered: bool
    until: Place | None = None
    released_by: Entry | None = None

    def is_at(self, place: Place) -> bool:
        """Whether the food was here, in doubt, at a place in the order."""
        return self.place <= place and (self.until is None or self.until > place)


class Step(NamedTuple):
    """Birds in doubt that left a holder: into another (`to_stay`), made good on the way, or out of the kitchen."""

    stay: Stay
    move: Movement
    place: Place
    """Where in the order they left."""
    birds: Decimal
    to_stay: Stay | None
    made_good: bool

    @property
    def to(self) -> str:
        """Where they went, as the entry says; a reheat that is started is `reheated`."""
        to: str | None = getattr(self.move.entry, "to", None)
        return to or ("reheated" if self.move.entry.kind == "reheat_started" else "discarded")


class Gone(NamedTuple):
    """Birds in doubt that left the kitchen."""

    to: str
    birds: Decimal
    at: datetime
    order: int


MakesGood = Callable[[Stay, Movement], bool]
"""Whether what a movement takes out of a stay is in doubt no longer."""


def never(_stay: Stay, _move: Movement) -> bool:
    """What leaves is in doubt as before."""
    return False


@dataclass(slots=True, eq=False)
class Trail:
    """What was done with the food of one finding."""

    stays: list[Stay] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)
    gone: list[Gone] = field(default_factory=list)

    def at(self, place: Place) -> list[Stay]:
        """Give where it was at a place in the order."""
        return [stay for stay in self.stays if stay.is_at(place)]


class Follower:
    """Follows food from where it came into doubt. Say where that was, and what let it go, then `follow`."""

    def __init__(self, timeline: Timeline, *, makes_good: MakesGood = never) -> None:
        self.timeline, self.kitchen, self.makes_good = timeline, timeline.kitchen, makes_good
        self.trail = Trail()
        self._queue: list[tuple[Place, int, Callable[[Place], None]]] = []
        self._order = count()
        self._now: dict[Subject, Stay] = {}
        self._lost: set[int] = set()
        """The places in the order at which birds left the kitchen."""

    def begin(self, holder: Holder, place: Place, at: datetime) -> None:
        """All that a holder holds comes into doubt; where it holds nothing yet, its first filling does."""
        if place.order < holder.fills[0].index:
            place, at = Place(holder.fills[0].index, 1), holder.fills[0].at

        def begins(here: Place) -> None:
            self._enter(holder, here, at, entered=False)

        self._put(place, begins)

    def take(self, move: Movement) -> None:
        """What a movement takes out of a holder comes into doubt."""
        self._put(Place(move.index), lambda here: self._move(None, move, here))

    def release(self, entry: Entry, place: Place, at: datetime) -> None:
        """Whatever is in doubt at a place in the order is let go."""
        self._put(place, lambda here: self._let_go(entry, here, at))

    def follow(self) -> Trail:
        """Follow the food through all movements, in order."""
        while self._queue:
            place, _number, happens = heappop(self._queue)
            happens(place)
        return self.trail

    def _put(self, place: Place, happens: Callable[[Place], None]) -> None:
        heappush(self._queue, (place, next(self._order), happens))

    def _let_go(self, entry: Entry, place: Place, at: datetime) -> None:
        for stay in self._now.values():
            stay.until, stay.released_by = place, entry
        self._now.clear()

    def _enter(self, holder: Holder, place: Place, at: datetime, *, entered: bool) -> Stay | None:
        stay = self._now.get(holder.subject)
        if stay is not None:
            stay.entered = stay.entered and entered
            return stay
        if self.timeline.held(holder, place) <= 0:
            return None
        stay = self._now[holder.subject] = Stay(holder, place, at, entered)
        self.trail.stays.append(stay)
        self._wait_for_next(stay, place.order)
        return stay

    def _wait_for_next(self, stay: Stay, index: int) -> None:
        outs = stay.holder.outs
        following = bisect_right(outs, index, key=INDEX)
        if following < len(outs):
            move = outs[following]
            self._put(Place(move.index), lambda here: self._leave(stay, move, here))

    def _leave(self, stay: Stay, move: Movement, place: Place) -> None:
        if stay.until is not None:
            return
        self._move(stay, move, place)
        if self.timeline.held(stay.holder, place) <= 0:
            stay.until = place
            del self._now[stay.holder.subject]
        else:
            self._wait_for_next(stay, move.index)

    def _move(self, stay: Stay | None, move: Movement, place: Place) -> None:
        target = None if move.other is None else self.kitchen.holders.get(move.other)
        fill = None if target is None else target.filled_at(move.index)
        filled = Decimal(0) if fill is None else fill.birds
        if target is not None and fill is not None:
            made_good = stay is not None and self.makes_good(stay, move)
            to_stay = None if made_good else self._enter(target, place, move.at, entered=True)
            if stay is not None:
                self.trail.steps.append(Step(stay, move, place, filled, to_stay, made_good))
        self._lose(stay, move, place, move.birds - filled)

    def _lose(self, stay: Stay | None, move: Movement, place: Place, birds: Decimal) -> None:
        if birds <= 0 or move.index in self._lost:
            return
        self._lost.add(move.index)
        to = getattr(move.entry, "to", None) if move.other is None else None
        self.trail.gone.append(Gone(to or "discarded", birds, move.at, move.index))
        if stay is not None and move.other is None:
            self.trail.steps.append(Step(stay, move, place, birds, None, made_good=False))


def outs_named(holder: Holder, roots: Sequence[str]) -> list[Movement]:
    """Give what left a holder by some entries, by the ids of their first versions."""
    named = frozenset(roots)
    return [move for move in holder.outs if move.entry.root in named]
