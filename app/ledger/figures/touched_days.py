"""Which business days the entries written since a moment may have changed: rather one too many than one too few.

A day's findings rest on entries of other days too. How far back and forth in time an entry reaches, its rules declare:
along the whole life of the food that its subjects were together with, and along what is written about its probe, unit,
oven or lot.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta

from app.db import EPOCH, Source, moment
from app.kinds import Entry, SignOff
from app.kinds.naming import keys_of, names_of
from app.rules.day.reach import LONGEST_COOK, Line
from app.rules.day.register_calendar import RegisterCalendar
from app.rules.day.registry import lines, longest_after

from ..index import rows
from ..index.lines import named_under, told_under
from ..index.spans import read_spans
from ..index.subjects import HOLDERS, MOVING, mentions, read_key
from ..reading.gathering import Gathering
from ..register import SiteRow
from .standing import Standing, Versions

_ONE_DAY = timedelta(days=1)
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
"""The opener of a finding about a whole day."""

Stretch = tuple[datetime, datetime]


class TouchedDays:
    """The days that are touched by the entries after `after_seq` up to `head`, as far as `until`."""

    def __init__(
        self,
        source: Source,
        row: SiteRow,
        *,
        calendar: RegisterCalendar,
        after_seq: int,
        head: int,
        until: datetime,
    ) -> None:
        self.row, self.calendar, self.until = row, calendar, until
        self.days: set[date] = set()
        self.found = Gathering(source, row.id, through_seq=head)
        written = {entry.root_seq for entry in self.found.written_after(after_seq)}
        self.new = [self.found.versions[root_seq] for root_seq in sorted(written)]
        self._touch_own_days()
        food = {name for versions in self.new for name in _holders(versions)}
        for line in lines():
            if line.in_force(calendar):
                food |= self._touch_along(line)
        self._touch_food(food)

    def _touch(self, first: datetime, last: datetime | None) -> None:
        """Touch the days from one moment to another (None: to the end of all)."""
        end = self.until if last is None else min(last, self.until)
        day, last_day = self.calendar.day_of(first), self.calendar.day_of(max(first, end))
        while day <= last_day:
            self.days.add(day)
            day += _ONE_DAY

    def _touch_own_days(self) -> None:
        for versions in self.new:
            for entry in versions:
                self._touch(entry.observed_at, entry.observed_at + longest_after())
                if isinstance(entry, SignOff):
                    self.days.add(entry.day)
                self._touch_answered(entry)

    def _touch_answered(self, entry: Entry) -> None:
        """Touch the days of the findings that an entry answers: how a day stands rests on what people did about them.

        Of a finding about food the whole life of that food is touched.
        """
        attribute = keys_of(type(entry))
        keys = [read_key(text) for text in getattr(entry, attribute)] if attribute else []
        openers = {key.opener for key in keys if key}
        for opener in openers:
            if _DATE.fullmatch(opener):
                self.days.add(date.fromisoformat(opener))
        ids = [opener for opener in openers if not _DATE.fullmatch(opener)]
        roots = {row.root_seq for row in rows.by_ids(self.found.connection, self.row.id, ids)} if ids else set()
        for root in roots:
            for at in rows.moments_of(self.found.connection, self.row.id, root):
                self._touch(at, at + longest_after())

    # ---- along what is written about a probe, unit, oven or lot --------------------------------------------------

    def _touch_along(self, line: Line) -> set[str]:
        """Touch the days on which findings along a line may have changed; give the food that they may be about."""
        food: set[str] = set()
        for name, entries in self._new_on(line).items():
            standing = self._standing(line, name, min(entry.observed_at for entry in entries))
            telling = [entry.observed_at for entry in entries if line.tells(entry)]
            for at in telling if line.settles else ():
                until = standing.settled_after(at)
                self._touch(standing.since(at) - line.after, None if until is None else until + _ONE_DAY)
            for entry in entries:
                for at in () if line.tells(entry) else standing.on(entry.observed_at):
                    self._touch(at, at)
            if telling and not standing.is_settled:
                food |= self._food_named(line, name, standing, telling)
        return food

    def _new_on(self, line: Line) -> dict[str, list[Entry]]:
        """Give the versions of what is new by what they name on a line."""
        named: dict[str, list[Entry]] = {}
        for versions in self.new:
            for entry in versions:
                for name in line.names(entry):
                    named.setdefault(name, []).append(entry)
        return named

    def _standing(self, line: Line, name: str, since: datetime) -> Standing:
        """Gather what tells how something stood from a moment on, and before it as far as the line reaches back."""

        def settles(entry: Entry) -> bool:
            return line.is_settled_by(entry, self.calendar)

        subject = told_under(line, name)
        if line.back:
            self.found.look_back([subject], since, until=settles)
        self.found.about_between([subject], since, self.until + _ONE_DAY)
        telling = (e for e in self.found.entries.values() if line.tells(e) and name in line.names(e))
        versions = [self.found.versions[root] for root in {entry.root_seq for entry in telling}]
        return Standing(versions, settles, since=since, back=line.back)

    def _food_named(self, line: Line, name: str, standing: Standing, telling: Sequence[datetime]) -> set[str]:
        """Give the food of what named it while what is new tells how it stood."""
        since, until = EPOCH, None
        if line.settles is not None:
            since = standing.since(min(telling)) if line.back else min(telling) - LONGEST_COOK
            until = standing.settled_after(max(telling))
        ends_at = (until or self.until) + _ONE_DAY
        if subjects := named_under(line, name):
            self.found.about_between(subjects, since, ends_at)
        elif line.holds_food:
            self.found.seen_between(since, ends_at)
        naming = (entry for entry in self.found.entries.values() if name in line.names(entry))
        return {food for entry in naming for food in _names(entry)}

    # ---- food: loads, trays, batches and reheats, with all that they were together with -------------------------

    def _touch_food(self, names: set[str]) -> None:
        everything = self._gather_food(names)
        group_of = _groups(everything)
        stretches = _stretches(everything, group_of)
        ends = self._ends(group_of)
        for group in {group_of[name] for name in names & set(group_of)}:
            first, last = stretches[group]
            end = ends.get(group, last)
            self._touch(first - _ONE_DAY, None if end is None else max(last, end) + _ONE_DAY)

    def _gather_food(self, names: set[str]) -> list[Versions]:
        waiting, seen = set(names), set(names)
        roots: set[int] = {versions[0].root_seq for versions in self.new}
        while waiting:
            roots |= {entry.root_seq for entry in self.found.about(waiting)}
            named = {name for root in roots for entry in self.found.versions[root] for name in _names(entry)}
            waiting = named - seen
            seen |= waiting
        return [self.found.versions[root] for root in roots]

    def _ends(self, group_of: Mapping[str, str]) -> dict[str, datetime | None]:
        """Give until when the food of each group was held, or was thought to be held; None: it is held still."""
        ends: dict[str, datetime | None] = {}

        def prolong(name: str, end: datetime | None) -> None:
            group = group_of[name]
            known = ends.get(group, end)
            ends[group] = None if known is None or end is None else max(known, end)

        for name, shown_until in self._shown_until(group_of).items():
            prolong(name, shown_until)
        for versions in self.new:
            for entry in versions:
                # Until it was written down, birds were thought to be where they were no longer, or not to be there.
                for name in _moved(entry) & set(group_of):
                    prolong(name, max(later.recorded_at for later in versions))
        return ends

    def _shown_until(self, names: Iterable[str]) -> dict[str, datetime | None]:
        spans = read_spans(self.found.connection, self.row.id, list(names))
        return {name: None if span.shown_until is None else moment(span.shown_until) for name, span in spans.items()}


def _names(entry: Entry) -> set[str]:
    """Give the loads, trays, batches and reheats that an entry brings together."""
    return {f"{kind}:{name}" for kind, name in names_of(entry)}


def _holders(versions: Versions) -> set[str]:
    """Give the loads, trays, batches and reheats that an entry is about, in any version; an answer's, too."""
    return {m.subject for entry in versions for m in mentions(entry) if m.kind in HOLDERS}


def _moved(entry: Entry) -> set[str]:
    return {m.subject for m in mentions(entry) if m.kind in HOLDERS and m.role in MOVING}


def _groups(everything: Iterable[Versions]) -> dict[str, str]:
    """Give for each name the one that stands for all that were ever together with it."""
    leader: dict[str, str] = {}

    def find(name: str) -> str:
        while leader.setdefault(name, name) != name:
            leader[name] = name = leader[leader[name]]
        return name

    for versions in everything:
        names = [name for entry in versions for name in _names(entry)]
        for name in names:
            leader[find(name)] = find(names[0])
    return {name: find(name) for name in leader}


def _stretches(everything: Iterable[Versions], group_of: Mapping[str, str]) -> dict[str, Stretch]:
    """Give the first and the last moment at which anything was seen of each group."""
    stretches: dict[str, Stretch] = {}
    for versions in everything:
        for entry in versions:
            for group in {group_of[name] for name in _names(entry)}:
                first, last = stretches.get(group, (entry.observed_at, entry.observed_at))
                stretches[group] = min(first, entry.observed_at), max(last, entry.observed_at)
    return stretches
