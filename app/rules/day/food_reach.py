"""Where food went, and which entries are about it: so far a mending of what names food reaches."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from app.kinds import KINDS, Entry, Subject, Withdrawal, value_of
from app.kinds.form import once_a_kind
from app.kinds.naming import keys_of, named_by, names_food, names_of

from ..history.holders import Movement
from ..history.kitchen import Kitchen
from .reach import FOOD, Line
from .records import parse_key
from .register_calendar import RegisterCalendar
from .registry import RULES

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


class FoodReach:
    """Where food went, and which entries are about it: by its name, by a finding on it, by its probe, oven or lot."""

    def __init__(self, records: Records, versions: Mapping[int, Sequence[Entry]], rules: frozenset[str]) -> None:
        self._rules = rules
        """Those that are found with the food."""
        self._entries, self._versions, self._holders = records.entries, versions, records.kitchen.holders
        self._lines = [line for line in lines_of_food() if line.in_force(records.calendar)]
        self._into: dict[Name, set[Name]] = defaultdict(set)
        """Where birds went by a version that may count no longer, and the same from where they came."""
        self._out_of: dict[Name, set[Name]] = defaultdict(set)
        self._spits: dict[str, set[Name]] = defaultdict(set)
        """By the load that they hang in."""
        for subject in self._holders:
            self._hang(subject)
        for entry in (one for mended in versions.values() for one in mended):
            self._follow(entry)
        self._naming: dict[Name, list[Entry]] = defaultdict(list)
        """By the load, tray, batch or reheat that entries name."""
        self._answering: dict[Name, list[Entry]] = defaultdict(list)
        self._in_load: dict[str, dict[Name, list[Entry]]] = {}
        """What names a load, by its spit: of those loads that were asked about."""
        self._around: dict[frozenset[Name], Part] = {}
        """By the food that was asked about: one tray is often mended more than once."""
        self._telling: dict[tuple[Line, str], list[Entry]] = defaultdict(list)
        for entry, names in zip(records.entries, records.named, strict=True):
            for name in names:
                self._naming[name].append(entry)
            if not names:
                self._note(entry)

    def _note(self, entry: Entry) -> None:
        """Note what an entry that names no food tells of it: by an answer, or by its probe, oven or lot."""
        for name in _answered(entry):
            self._answering[name].append(entry)
        for line in self._lines:
            if line.tells(entry):
                for named in line.names(entry):
                    self._telling[line, named].append(entry)

    def _follow(self, entry: Entry) -> None:
        """Follow the birds of a version that may count no longer."""
        flows = entry.flows()
        for flow in flows:
            self._hang(flow.subject)
        taken = [_name(flow.subject) for flow in flows if flow.birds < 0]
        filled = [_name(flow.subject) for flow in flows if flow.birds > 0]
        for source, target in ((source, target) for source in taken for target in filled):
            self._into[source].add(target)
            self._out_of[target].add(source)

    def _hang(self, subject: Subject) -> None:
        if subject.kind == "spit":
            self._spits[subject.name].add(_name(subject))

    def _down(self, name: Name) -> set[Name]:
        """Give where birds went from one holder; from the start of a load onto its spits."""
        if name[0] == _START:
            return self._spits.get(name[1], set())
        holder = self._holders.get(_subject(name))
        return self._into.get(name, set()) | _others(holder.outs if holder else ())

    def _up(self, name: Name) -> set[Name]:
        """Give what one holder was filled from.

        A spit rests on the start of its load; what is said of the load as a whole, on that and on all its spits.
        """
        kind, label = name
        if kind == _WHOLE:
            return {(_START, label), *self._spits.get(label, ())}
        holder = self._holders.get(_subject(name))
        start = {(_START, _load_of(name))} if kind == "spit" else set()
        return self._out_of.get(name, set()) | start | _others(holder.fills if holder else ())

    def around(self, versions: Sequence[Entry]) -> Part:
        """Give what is about the food that an entry names, all that it went into, and all that fed that."""
        named = frozenset(name for version in versions for name in _reached(version))
        if not named:
            return Part([entry for entry in self._entries if not names_food(kind_of(entry))], self._rules)
        known = self._around.get(named)
        if known is None:
            known = self._around[named] = self._gathered(named)
        return known

    def _gathered(self, named: Iterable[Name]) -> Part:
        about = _closure(named, self._down)
        found = [entry for name in _closure(about, self._up) for entry in self._about(name)]
        read = {(line, name) for line in self._lines for entry in found for name in line.names(entry)}
        found += [entry for line_and_name in read for entry in self._telling.get(line_and_name, ())]
        by_seq = {entry.seq: entry for entry in found}
        mended = [of_one for of_one in self._versions.values() if any(one.seq in by_seq for one in of_one)]
        by_seq |= {one.seq: one for of_one in mended for one in of_one}
        return Part([by_seq[seq] for seq in sorted(by_seq)], self._rules, frozenset(about))

    def _about(self, name: Name) -> Iterator[Entry]:
        """Give what is about a food: what names it, and what answers a finding on it."""
        kind, label = name
        yield from self._answering.get(name, ())
        if kind in ("spit", _START):
            load = _load_of(name) if kind == "spit" else label
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


def _closure(names: Iterable[Name], of: Callable[[Name], set[Name]]) -> set[Name]:
    found, waiting = set(names), list(names)
    while waiting:
        new = of(waiting.pop()) - found
        found |= new
        waiting += new
    return found


def _name(subject: Subject) -> Name:
    """Give the name of what a finding is about, or of what holds birds."""
    return (subject.kind, subject.label)


def _others(moves: Iterable[Movement]) -> set[Name]:
    """Give where birds came from, or went to."""
    return {_name(move.other) for move in moves if move.other is not None}


def _load_of(spit: Name) -> str:
    return spit[1].rpartition("/")[0]


def _subject(name: Name) -> Subject:
    """Give what holds birds by its name."""
    kind, label = name
    load, _, spit = label.rpartition("/")
    return Subject(kind, load, int(spit)) if kind == "spit" else Subject(kind, label)


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


def kind_of(entry: Entry) -> type[Entry]:
    """Give the kind of an entry; of a withdrawal, that of what it takes back."""
    return entry.of if isinstance(entry, Withdrawal) else type(entry)


@cache
def lines_of_food() -> tuple[Line, ...]:
    """Give the lines that food is named on, of rules that reach the food."""
    lines = {reach for rule in RULES.values() if FOOD in rule.reach for reach in rule.reach if isinstance(reach, Line)}
    return tuple(line for line in lines if _is_named_by_food(line))


def _is_named_by_food(line: Line) -> bool:
    return any(names_food(kind) and hasattr(kind, name) for kind in KINDS.values() for name in line.named_in)
