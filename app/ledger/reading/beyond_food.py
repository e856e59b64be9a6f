"""What the rules reach beyond the food: how a probe, a unit or an oven stood while some entries rested on it."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from app.db import EPOCH
from app.kinds import Entry
from app.kinds.naming import names_of
from app.rules.day.reach import Line
from app.rules.day.register_calendar import RegisterCalendar
from app.rules.day.registry import lines

from ..index.lines import named_under, told_under
from .gathering import Gathering, all_hold

_AN_INSTANT = timedelta(milliseconds=1)
"""The shortest time that the ledger tells apart: what is seen at a pull's own instant counts for it."""


class BeyondFood:
    """Adds to what was gathered, line by line of those that a plan has in force."""

    def __init__(self, found: Gathering, calendar: RegisterCalendar, *, as_of: datetime) -> None:
        self.found, self.calendar, self.as_of = found, calendar, as_of

    def gather_doubted(self, of_day: Sequence[Entry]) -> None:
        """Gather what a day's entries put in doubt that was before them, with the food it names, wherever it went."""
        for line in self._lines():
            self._gather_doubted(line, of_day)

    def gather_told(self) -> None:
        """Gather what tells how everything named so far stood while it was: a reading's probe, a load's oven."""
        at_hand = list(self.found.entries.values())
        for line in self._lines():
            self._gather_along(line, at_hand)

    def _lines(self) -> list[Line]:
        return [line for line in lines() if line.in_force(self.calendar)]

    def _gather_doubted(self, line: Line, of_day: Sequence[Entry]) -> None:
        telling = [entry for entry in of_day if line.tells(entry) and not line.is_settled_by(entry, self.calendar)]
        if not line.back or not telling:
            return
        first, last = _stretch(telling)
        named = {name for entry in telling for name in line.names(entry)}
        self._gather_told(line, named, first, last)
        for name in named:
            since = self._last_settled_at(line, name, first)
            doubted = self.found.about_between(named_under(line, name), since, last + _AN_INSTANT)
            self.found.close_over(food_named(doubted))

    def _gather_along(self, line: Line, at_hand: Sequence[Entry]) -> None:
        naming = [entry for entry in at_hand if line.names(entry)]
        if naming:
            named = {name for entry in naming for name in line.names(entry)}
            self._gather_told(line, named, *_stretch(at_hand if line.holds_food else naming))

    def _gather_told(self, line: Line, named: Iterable[str], first: datetime, last: datetime) -> None:
        """Gather what tells in a stretch of time, back to the last that settles before it and on to the next."""

        def settles(entry: Entry) -> bool:
            return line.is_settled_by(entry, self.calendar)

        subjects = {told_under(line, name) for name in named}
        if line.settles is None:
            self.found.about(subjects)
            return
        self.found.about_between(subjects, first, last + _AN_INSTANT)
        self.found.look_back(subjects, first, until=settles)
        self.found.look_on(subjects, last + _AN_INSTANT, self.as_of, until=settles)

    def _last_settled_at(self, line: Line, name: str, before: datetime) -> datetime:
        def settled(entry: Entry) -> bool:
            return entry.observed_at < before and name in line.names(entry) and line.is_settled_by(entry, self.calendar)

        every = self.found.versions.values()
        return max((versions[0].observed_at for versions in every if all_hold(versions, settled)), default=EPOCH)


def food_named(entries: Iterable[Entry]) -> set[str]:
    """Give the loads, trays, batches and reheats that some entries name."""
    return {f"{kind}:{name}" for entry in entries for kind, name in names_of(entry)}


def _stretch(entries: Iterable[Entry]) -> tuple[datetime, datetime]:
    """Give when the first and the last of some entries were seen."""
    moments = [entry.observed_at for entry in entries]
    return min(moments), max(moments)
