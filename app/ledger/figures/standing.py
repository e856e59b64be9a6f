"""What tells how a probe, unit, oven or lot stands, in order of time: from when to when each entry of it counts."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime

from app.kinds import Entry

from ..reading.gathering import all_hold

Versions = Sequence[Entry]
"""All versions of one entry."""


class Standing:
    """The entries that tell, each at the moments of all its versions; what is not settled in every version is not."""

    def __init__(
        self, entries: Iterable[Versions], settles: Callable[[Entry], bool], *, since: datetime, back: bool
    ) -> None:
        moments = [(entry.observed_at, all_hold(versions, settles)) for versions in entries for entry in versions]
        self._back = back
        self._moments = sorted(at for at, _settled in moments)
        self._settled = sorted(at for at, settled in moments if settled)
        self.is_settled = back and all(settled for at, settled in moments if at >= since)
        """Whether all that tells from then on settles, so that nothing before it is put in doubt."""

    def since(self, at: datetime) -> datetime:
        """Give from when on what tells at a moment counts: where it reaches back, since the last that settled."""
        if not self._back:
            return at
        place = bisect_left(self._settled, at)
        return self._settled[place - 1] if place else min([at, *self._moments[:1]])

    def settled_after(self, at: datetime) -> datetime | None:
        """Give the first moment after another at which it was settled; None where it never was."""
        place = bisect_right(self._settled, at)
        return self._settled[place] if place < len(self._settled) else None

    def on(self, at: datetime) -> Iterator[datetime]:
        """Give the moments of what tells from a moment on, until it was settled."""
        until = self.settled_after(at)
        return (moment for moment in self._moments if at <= moment and (until is None or moment <= until))
