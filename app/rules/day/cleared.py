"""Findings that a mending made go away: they stood just before it, and would stand today without it.

A mending is judged on no more than it reaches, as the rules that read its kind declare it.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from app.kinds import KINDS, Entry, Withdrawal
from app.kinds.form import once_a_kind
from app.kinds.naming import names_food

from ..facts import Cleared, Finding
from .reach import DAY, FOOD, Line, Reach
from .register_calendar import RegisterCalendar
from .registry import RULES, reaches_of

_Name = tuple[str, str]
Findings = Mapping[str, Finding]
Judge = Callable[[Sequence[Entry]], Findings]


class Records(NamedTuple):
    """All versions of the entries by seq, for each the names of its food, and how the kitchen was set up."""

    entries: Sequence[Entry]
    named: Sequence[Sequence[_Name]]
    """As `names_of` gives them."""
    calendar: RegisterCalendar


def find_cleared(records: Records, now: Findings, *, judge: Judge) -> list[Cleared]:
    """Give what mendings cleared; `now` is what stands."""
    mendings = [entry for entry in records.entries if entry.amends is not None]
    if not mendings:
        return []
    scope = _Scope(records, {mending.root_seq for mending in mendings})
    cleared: dict[str, Cleared] = {}
    for mending in mendings:
        gone = {key: finding for part in scope.of(mending) for key, finding in _gone(mending, part, now, judge)}
        for key in sorted(gone):
            cleared[key] = Cleared(finding=gone[key], mended_by=mending)
    return list(cleared.values())


class _Part(NamedTuple):
    """Entries that tell all about the findings of some rules."""

    entries: Sequence[Entry]
    rules: frozenset[str]


def _gone(mending: Entry, part: _Part, now: Findings, judge: Judge) -> Iterator[tuple[str, Finding]]:
    # Most mendings change no verdict: that is seen at once in what would stand today without them.
    without = judge([e for e in part.entries if e.root_seq != mending.root_seq or e.seq < mending.seq])
    gone = {key for key, finding in without.items() if key not in now and finding.rule in part.rules}
    if gone and part.entries[-1].seq > mending.seq:  # where it is the last, what stood before it is what stands without
        gone &= judge([entry for entry in part.entries if entry.seq < mending.seq]).keys()
    gone -= judge([entry for entry in part.entries if entry.seq <= mending.seq]).keys() if gone else set()
    return ((key, without[key]) for key in gone)


class _Scope:
    """How far a mending can reach, so that not all of a day is judged anew for each."""

    def __init__(self, records: Records, mended: set[int]) -> None:
        self._entries, self._calendar = records.entries, records.calendar
        self._groups = _Groups(records, mended)
        self._versions: dict[int, list[Entry]] = {}
        for entry in records.entries:
            if entry.root_seq in mended:
                self._versions.setdefault(entry.root_seq, []).append(entry)
        self._standing: dict[Reach, frozenset[str]] = {}

    def of(self, mending: Entry) -> Iterator[_Part]:
        """Give what has to be judged to see what a mending cleared, with the rules that it is about."""
        kind = _kind_of(mending)
        if _reaches_unnamed_food(kind):
            yield _Part(self._entries, frozenset(RULES))
            return
        for reach in reaches_of(kind):
            if reach is FOOD:
                yield _Part(self._groups.related(mending), _rules_within(FOOD))
            elif isinstance(reach, Line):
                yield from self._along(reach, mending)
            elif reach is not DAY or not names_food(kind) or self._is_seen_otherwise(mending):
                yield from self._read_within(reach, mending)

    def _is_seen_otherwise(self, mending: Entry) -> bool:
        """Whether the versions differ in when something was seen, or whether it was: a day asks no more of its food."""
        return len({(entry.withdrawn, entry.observed_at) for entry in self._versions[mending.root_seq]}) > 1

    def _along(self, line: Line, mending: Entry) -> Iterator[_Part]:
        """Give what names the same probe or unit, if that or the moment changed."""
        rules, named = _rules_within(line), [line.names(entry) for entry in self._versions[mending.root_seq]]
        wanted = {name for names in named for name in names}
        if not rules or not wanted or not (self._is_seen_otherwise(mending) or named.count(named[0]) < len(named)):
            return
        roots = {entry.root_seq for entry in self._entries if not wanted.isdisjoint(line.names(entry))}
        yield _Part([entry for entry in self._entries if entry.root_seq in roots], rules)

    def _read_within(self, reach: Reach, mending: Entry) -> Iterator[_Part]:
        """Give what is read by the rules of a reach that may have found anything; where birds move, beside all else."""
        if reach not in self._standing:
            self._standing[reach] = frozenset(name for name in _rules_within(reach) if self._may_stand(name))
        rules = self._standing[reach]
        read = frozenset[type[Entry]]().union(*(RULES[name].reads for name in rules))
        if any(kind.flows is not Entry.flows for kind in read):
            yield _Part(self._entries, rules)
        elif rules:
            roots = {entry.root_seq for entry in self._entries if type(entry) in read} | {mending.root_seq}
            yield _Part([entry for entry in self._entries if entry.root_seq in roots], rules)

    def _may_stand(self, rule: str) -> bool:
        may_stand = RULES[rule].may_stand
        return may_stand is None or may_stand(self._entries, self._calendar)


def _kind_of(entry: Entry) -> type[Entry]:
    """Give the kind of an entry; of a withdrawal, that of what it takes back."""
    return entry.of if isinstance(entry, Withdrawal) else type(entry)


@once_a_kind
def _reaches_unnamed_food(kind: type[Entry]) -> bool:
    """Whether entries of a kind are about food that they do not name: what a probe read, what an oven held."""
    if names_food(kind) or FOOD not in reaches_of(kind):
        return False
    along = [reach for reach in reaches_of(kind) if isinstance(reach, Line)]
    return not along or any(kind in line.told_by and _is_named_by_food(line) for line in along)


def _is_named_by_food(line: Line) -> bool:
    return any(names_food(kind) and hasattr(kind, name) for kind in KINDS.values() for name in line.named_in)


@cache
def _rules_within(reach: Reach) -> frozenset[str]:
    """Give the rules that a reach is about; what reaches the food is found with the food."""
    within = (rule for rule in RULES.values() if reach in rule.reach and (reach is FOOD or FOOD not in rule.reach))
    return frozenset(rule.name for rule in within)


class _Groups:
    """Names of food joined by the entries that name them together, and by the versions of one entry (disjoint sets)."""

    def __init__(self, records: Records, mended: set[int]) -> None:
        self._entries = records.entries
        self._parent: dict[_Name, _Name] = {}
        self._of: list[_Name | None] = []
        """For each entry one name that stands for its food; None for what is not about food by name."""
        for entry, names in zip(records.entries, records.named, strict=True):
            is_mended = entry.root_seq in mended and names_food(_kind_of(entry))
            joined = [*names, ("entry", entry.root)] if is_mended else names
            self._of.append(joined[0] if joined else None)
            for name in joined[1:]:
                self._parent[self._find(joined[0])] = self._find(name)

    def related(self, mending: Entry) -> Sequence[Entry]:
        """Narrow to the food the mended entry touches and all it was moved from and to, beside what may be about it
        without naming it; what is not about food, to all that names none."""
        pairs = list(zip(self._entries, self._of, strict=True))
        if not names_food(_kind_of(mending)):
            return [entry for entry, name in pairs if name is None]
        wanted = self._find(("entry", mending.root))
        group = {name for name in dict.fromkeys(self._of) if name is not None and self._find(name) == wanted}
        return [e for e, name in pairs if name in group or (name is None and _reaches_unnamed_food(_kind_of(e)))]

    def _find(self, name: _Name) -> _Name:
        """Give the one name that stands for a group."""
        parents = self._parent
        while (parent := parents.get(name, name)) != name:
            parents[name] = parents.get(parent, parent)
            name = parent
        return name
