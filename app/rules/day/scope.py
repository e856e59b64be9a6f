"""How far a mending reaches: the entries on which it is judged, so that not all of a day is judged anew for each.

What it can change lies in the food it names and downstream of it, where the birds went; what that rests on, upstream.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from app.kinds import KINDS, Entry, Subject, Withdrawal, value_of
from app.kinds.form import once_a_kind
from app.kinds.naming import keys_of, named_by, names_food, names_of

from ..history.kitchen import Kitchen
from .reach import DAY, FOOD, Line, Reach
from .records import parse_key
from .register_calendar import RegisterCalendar
from .registry import RULES, reaches_of

Name = tuple[str, str]
"""Kind and name of a load, tray, batch or reheat, as `names_of` gives them; or of a spit."""


class Records(NamedTuple):
    """All versions of the entries by seq, for each the names of its food, what they make up, and how it was set up."""

    entries: Sequence[Entry]
    named: Sequence[Sequence[Name]]
    kitchen: Kitchen
    calendar: RegisterCalendar


class Part(NamedTuple):
    """Entries that tell all about the findings of some rules; with `about`, about this food alone."""

    entries: Sequence[Entry]
    rules: frozenset[str]
    about: frozenset[Name] | None = None

    def tells(self, rule: str, subject: Subject) -> bool:
        """Whether a finding of a rule about a subject is told by these entries."""
        return rule in self.rules and (self.about is None or _name(subject) in self.about)


class Scope:
    """What has to be judged for the mendings of a day."""

    def __init__(self, records: Records) -> None:
        self._entries, self._calendar = records.entries, records.calendar
        self._versions: dict[int, list[Entry]] = {
            entry.root_seq: [] for entry in records.entries if entry.amends is not None
        }
        for entry in records.entries:
            if entry.root_seq in self._versions:
                self._versions[entry.root_seq].append(entry)
        self._food = _Food(records, self._versions)
        self._standing: dict[Reach, frozenset[str]] = {}

    def of(self, mending: Entry) -> Iterator[Part]:
        """Give what has to be judged to see what a mending cleared."""
        kind = _kind_of(mending)
        if _reaches_unnamed_food(kind):
            yield Part(self._entries, frozenset(RULES))
            return
        for reach in reaches_of(kind):
            if reach is FOOD:
                yield self._food.around(self._versions[mending.root_seq], _rules_within(FOOD))
            elif isinstance(reach, Line):
                yield from self._along(reach, mending)
            elif reach is not DAY or not names_food(kind) or self._is_seen_otherwise(mending):
                yield from self._read_within(reach, mending)

    def _is_seen_otherwise(self, mending: Entry) -> bool:
        """Whether the versions differ in when something was seen, or whether it was: a day asks no more of its food."""
        return len({(entry.withdrawn, entry.observed_at) for entry in self._versions[mending.root_seq]}) > 1

    def _along(self, line: Line, mending: Entry) -> Iterator[Part]:
        """Give what names the same probe or unit, if that or the moment changed."""
        rules, named = _rules_within(line), [line.names(entry) for entry in self._versions[mending.root_seq]]
        wanted = {name for names in named for name in names}
        if not rules or not wanted or not (self._is_seen_otherwise(mending) or named.count(named[0]) < len(named)):
            return
        roots = {entry.root_seq for entry in self._entries if not wanted.isdisjoint(line.names(entry))}
        yield Part([entry for entry in self._entries if entry.root_seq in roots], rules)

    def _read_within(self, reach: Reach, mending: Entry) -> Iterator[Part]:
        """Give what is read by the rules of a reach that may have found anything; where birds move, beside all else."""
        if reach not in self._standing:
            self._standing[reach] = frozenset(name for name in _rules_within(reach) if self._may_stand(name))
        rules = self._standing[reach]
        read = frozenset[type[Entry]]().union(*(RULES[name].reads for name in rules))
        if any(kind.flows is not Entry.flows for kind in read):
            yield Part(self._entries, rules)
        elif rules:
            roots = {entry.root_seq for entry in self._entries if type(entry) in read} | {mending.root_seq}
            yield Part([entry for entry in self._entries if entry.root_seq in roots], rules)

    def _may_stand(self, rule: str) -> bool:
        may_stand = RULES[rule].may_stand
        return may_stand is None or may_stand(self._entries, self._calendar)


class _Food:
    """Where food went, and which entries are about it: by its name, by a finding on it, by its probe, oven or lot."""

    def __init__(self, records: Records, versions: Mapping[int, Sequence[Entry]]) -> None:
        self._entries, self._versions = records.entries, versions
        self._lines = [line for line in _lines_of_food() if line.in_force(records.calendar)]
        self._down: dict[Name, set[Name]] = {}
        self._up: dict[Name, set[Name]] = {}
        for holder in records.kitchen.holders.values():
            if holder.subject.kind == "spit":
                self._hang(holder.subject)
            for move in holder.outs:
                if move.other is not None:
                    self._join(_name(holder.subject), _name(move.other))
        for entry in (one for mended in versions.values() for one in mended):
            self._follow(entry)
        self._naming: dict[Name, list[Entry]] = {}
        """By the load, tray, batch or reheat that entries name."""
        self._answering: dict[Name, list[Entry]] = {}
        self._in_load: dict[str, dict[Name, list[Entry]]] = {}
        """What names a load, by its spit: of those loads that were asked about."""
        self._telling: dict[tuple[Line, str], list[Entry]] = {}
        for entry, names in zip(records.entries, records.named, strict=True):
            for name in names:
                self._naming.setdefault(name, []).append(entry)
            for name in _answered(entry) if not names else ():
                self._answering.setdefault(name, []).append(entry)
            if not names:
                for line in self._lines:
                    if line.tells(entry):
                        for told in line.names(entry):
                            self._telling.setdefault((line, told), []).append(entry)

    def _follow(self, entry: Entry) -> None:
        """Follow the birds of a version that may count no longer."""
        flows = entry.flows()
        for flow in flows:
            if flow.subject.kind == "spit":
                self._hang(flow.subject)
        taken = [_name(flow.subject) for flow in flows if flow.birds < 0]
        filled = [_name(flow.subject) for flow in flows if flow.birds > 0]
        for source, target in ((source, target) for source in taken for target in filled):
            self._join(source, target)

    def _hang(self, spit: Subject) -> None:
        """A spit rests on the start of its load; what is said of the load as a whole, on all its spits."""
        start, whole = (_START, spit.name), (_WHOLE, spit.name)
        self._join(start, _name(spit))
        self._up.setdefault(whole, {start}).add(_name(spit))

    def _join(self, source: Name, target: Name) -> None:
        self._down.setdefault(source, set()).add(target)
        self._up.setdefault(target, set()).add(source)

    def around(self, versions: Sequence[Entry], rules: frozenset[str]) -> Part:
        """Give what is about the food that an entry names, all that it went into, and all that fed that."""
        named = {name for version in versions for name in _reached(version)}
        if not named:
            return Part([entry for entry in self._entries if not names_food(_kind_of(entry))], rules)
        about = _closure(named, self._down)
        found = [entry for name in _closure(about, self._up) for entry in self._about(name)]
        read = {(line, name) for line in self._lines for entry in found for name in line.names(entry)}
        found += [entry for told in read for entry in self._telling.get(told, ())]
        by_seq = {entry.seq: entry for entry in found}
        mended = [of_one for of_one in self._versions.values() if any(one.seq in by_seq for one in of_one)]
        by_seq |= {one.seq: one for of_one in mended for one in of_one}
        return Part([by_seq[seq] for seq in sorted(by_seq)], rules, frozenset(about))

    def _about(self, name: Name) -> Iterator[Entry]:
        """Give what is about a food: what names it, and what answers a finding on it."""
        kind, label = name
        yield from self._answering.get(name, ())
        if kind in ("spit", _START):
            load = label.rpartition("/")[0] if kind == "spit" else label
            if load not in self._in_load:
                self._in_load[load] = self._divided(load)
            yield from self._in_load[load].get(name, ())
        elif kind != _WHOLE:
            yield from self._naming.get(name, ())

    def _divided(self, load: str) -> dict[Name, list[Entry]]:
        found: dict[Name, list[Entry]] = {}
        for entry in self._naming.get((_WHOLE, load), ()):
            for part in _parts_of(entry, names_of(entry)):
                found.setdefault(part, []).append(entry)
        return found


_START, _WHOLE = "load_started", "load"
"""A load in two: its start, on which each of its spits rests, and what is found of it as a whole."""


def _closure(names: Iterable[Name], of: Mapping[Name, Iterable[Name]]) -> set[Name]:
    found, waiting = set(names), list(names)
    while waiting:
        new = set(of.get(waiting.pop(), ())) - found
        found |= new
        waiting += new
    return found


def _name(subject: Subject) -> Name:
    """Give the name of what a finding is about, or of what holds birds."""
    return (subject.kind, subject.label)


def _parts_of(entry: Entry, names: Sequence[Name]) -> Sequence[Name]:
    """Give what an entry is about: its spit, where it names one, else the start of its load."""
    if not names or not _may_name_load(type(entry)):
        return names
    spit = value_of(entry, "spit")
    in_load = (_START, "") if spit is None else ("spit", f"/{spit}")
    return [(in_load[0], f"{name}{in_load[1]}") if kind == "load" else (kind, name) for kind, name in names]


@once_a_kind
def _may_name_load(kind: type[Entry]) -> bool:
    return any(of == "load" for _attribute, of in named_by(kind))


def _reached(entry: Entry) -> list[Name]:
    """Give what an entry may change: with what it is about its load as a whole, where rules about loads read it."""
    names = names_of(entry)
    whole = [(_WHOLE, name) for kind, name in names if kind == "load"] if type(entry) in _read_for_loads() else []
    return [*_parts_of(entry, names), *whole]


@cache
def _read_for_loads() -> frozenset[type[Entry]]:
    return frozenset(kind for rule in RULES.values() if _WHOLE in rule.subjects for kind in rule.reads)


def _answered(entry: Entry) -> list[Name]:
    """Give the food of the findings that an entry answers; of one about a load, that of each of its spits."""
    attribute = keys_of(type(entry))
    keys = [parse_key(key) for key in value_of(entry, attribute)] if attribute else []
    return [(_START if key.kind == _WHOLE else key.kind, key.label) for key in keys if key is not None]


def _kind_of(entry: Entry) -> type[Entry]:
    """Give the kind of an entry; of a withdrawal, that of what it takes back."""
    return entry.of if isinstance(entry, Withdrawal) else type(entry)


@once_a_kind
def _reaches_unnamed_food(kind: type[Entry]) -> bool:
    """Whether entries of a kind are about food that they do not name: what a probe read, what an oven held."""
    if names_food(kind) or FOOD not in reaches_of(kind):
        return False
    along = [reach for reach in reaches_of(kind) if isinstance(reach, Line)]
    return not along or any(kind in line.told_by and line in _lines_of_food() for line in along)


@cache
def _lines_of_food() -> tuple[Line, ...]:
    """Give the lines that food is named on, of rules that reach the food."""
    lines = {reach for rule in RULES.values() if FOOD in rule.reach for reach in rule.reach if isinstance(reach, Line)}
    return tuple(line for line in lines if _is_named_by_food(line))


def _is_named_by_food(line: Line) -> bool:
    return any(names_food(kind) and hasattr(kind, name) for kind in KINDS.values() for name in line.named_in)


@cache
def _rules_within(reach: Reach) -> frozenset[str]:
    """Give the rules that a reach is about; what reaches the food is found with the food."""
    within = (rule for rule in RULES.values() if reach in rule.reach and (reach is FOOD or FOOD not in rule.reach))
    return frozenset(rule.name for rule in within)
