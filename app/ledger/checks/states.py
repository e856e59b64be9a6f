"""What the ledger knows of one subject while entries are checked: who opened it, what went in and out, and when."""

from bisect import insort
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from operator import attrgetter
from typing import NamedTuple

from app.kinds.form import FILL, OPEN, TAKE

from ..index.subjects import MOVING, Mention

CLOCKS_DIFFER = timedelta(minutes=2)
"""So far apart two clocks of a kitchen may be: what was seen so much before its opener belongs to it all the same, and
what was seen so much ahead of the server's time is no mistake (house)."""
_TOLERANCE_MS = CLOCKS_DIFFER // timedelta(milliseconds=1)


class Fact(NamedTuple):
    """One row of the index: what the newest version of an entry does to a subject. `at` is in milliseconds."""

    at: int
    root_seq: int
    seq: int
    role: str
    quarters: int
    bird: int

    @classmethod
    def of(cls, mention: Mention, *, at: int, root_seq: int, seq: int) -> "Fact":
        """Give what an entry does to the subject that it mentions."""
        return cls(at, root_seq, seq, mention.role, mention.quarters, mention.bird)


_in_order = attrgetter("at", "root_seq")


@dataclass(slots=True, eq=False)
class State:
    """A subject's facts in order of time."""

    subject: str
    facts: list[Fact] = field(default_factory=list)
    used: bool = False
    """Whether any version of any entry ever opened it: then its name is taken for ever."""
    whole: bool = False
    """Whether readings and moves are among the facts, too: they matter when something is mended."""
    opened_at: int | None = None
    """Moment of the opener: the first filling (of a load: its start)."""
    opener: int | None = None
    """`root_seq` of the opener."""

    def __post_init__(self) -> None:
        self.facts.sort(key=_in_order)
        self._find_opener()

    @property
    def kind(self) -> str:
        """Kind of the subject: load, spit, tray, batch or reheat."""
        return self.subject.partition(":")[0]

    def add(self, fact: Fact) -> None:
        """Take in what a new entry does."""
        insort(self.facts, fact, key=_in_order)
        if fact.role in MOVING:
            self.used = True
            self._find_opener()

    def without(self, root_seq: int) -> "State":
        """Give the state as if an entry did not count."""
        facts = [fact for fact in self.facts if fact.root_seq != root_seq]
        return State(self.subject, facts, self.used, self.whole)

    def _find_opener(self) -> None:
        opening = (OPEN,) if self.kind == "load" else (OPEN, FILL)
        first = next((fact for fact in self.facts if fact.role in opening), None)
        self.opened_at, self.opener = (first.at, first.root_seq) if first else (None, None)

    def is_too_early(self, at: int) -> bool:
        """Whether a moment is more than the tolerance before the opener's (or there is none)."""
        return self.opened_at is None or at < self.opened_at - _TOLERANCE_MS

    def movements(self) -> list[Fact]:
        """Give what moved birds in the order that counts: nothing comes before the opener, whatever the clocks said."""
        opened_at, opener = self.opened_at or 0, self.opener
        moved = [fact for fact in self.facts if fact.quarters]
        return sorted(
            moved, key=lambda fact: (max(fact.at, opened_at), -1 if fact.root_seq == opener else fact.root_seq)
        )

    def running(self) -> Iterator[tuple[Fact, int]]:
        """Give each movement with the quarters that are left after it."""
        left = 0
        for fact in self.movements():
            left += fact.quarters
            yield fact, left

    def left_before(self, at: int) -> int:
        """Give the quarters left when an entry seen at that moment, and written last, comes."""
        moment = max(at, self.opened_at or 0)
        return sum(fact.quarters for fact in self.movements() if max(fact.at, self.opened_at or 0) <= moment)

    def can_take(self, at: int) -> int:
        """Give the quarters that can go out at a moment so that at no time after it more went out than came in."""
        moment, least, left = max(at, self.opened_at or 0), None, 0
        for fact in self.movements():
            if max(fact.at, self.opened_at or 0) > moment:
                least = left if least is None else min(least, left)
            left += fact.quarters
        return max(left if least is None else min(least, left), 0)

    def birds_loaded_by(self, at: int) -> int:
        """Give the whole birds put in by a moment (with the tolerance), wherever they are now."""
        return sum(fact.quarters for fact in self.facts if fact.quarters > 0 and fact.at <= at + _TOLERANCE_MS) // 4

    def emptied_at(self) -> int | None:
        """Give the moment that left none (of a load without birds: its start); None while some are left."""
        moved = list(self.running())
        if self.opened_at is None:
            return moved[-1][0].at if moved else 0
        if not moved:
            return self.opened_at
        if moved[-1][1] > 0:
            return None
        return max(moved[-1][0].at, self.opened_at)


def overdrawn(state: State) -> Iterable[Fact]:
    """Give the takings at which more went out than had come in by then."""
    return [fact for fact, left in state.running() if left < 0 and fact.role == TAKE]
