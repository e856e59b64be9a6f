"""Findings that a mending made go away: they stood just before it, and would stand today without it."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from app.kinds import Entry, UnitCheck, Withdrawal
from app.kinds.naming import names_food

from ..facts import Cleared, Finding
from .lateness import AT_LEAST, late_roots
from .registry import RULES, Each, Reach, reaches_of, rules_of

_Name = tuple[str, str]
Findings = Mapping[str, Finding]
Judge = Callable[[Sequence[Entry]], Findings]
Named = Sequence[Sequence[_Name]]
"""For each entry the names of its food, as `names_of` gives them."""


def find_cleared(entries: Sequence[Entry], now: Findings, *, judge: Judge, named: Named) -> list[Cleared]:
    """Give what mendings cleared; `entries` are all versions by seq, `named` their food, `now` what stands."""
    mendings = [entry for entry in entries if entry.amends is not None]
    reaches = _Reaches(entries, {mending.root_seq for mending in mendings}, judge, named) if mendings else None
    cleared: dict[str, Cleared] = {}
    for mending in mendings:
        within = reaches.of(mending) if reaches else ()
        gone = {key: finding for reach in within for key, finding in _gone(mending, reach, now, judge)}
        for key in sorted(gone):
            cleared[key] = Cleared(finding=gone[key], mended_by=mending)
    return list(cleared.values())


class _Reach(NamedTuple):
    """Entries that tell all about the findings on some kinds of subjects."""

    entries: Sequence[Entry]
    covers: Callable[[str], bool]


def _gone(mending: Entry, reach: _Reach, now: Findings, judge: Judge) -> Iterator[tuple[str, Finding]]:
    # Most mendings change no verdict: that is seen at once in what would stand today without them.
    without = judge([e for e in reach.entries if e.root_seq != mending.root_seq or e.seq < mending.seq])
    gone = {key for key, finding in without.items() if key not in now and reach.covers(finding.subject.kind)}
    gone &= judge([entry for entry in reach.entries if entry.seq < mending.seq]).keys() if gone else set()
    gone -= judge([entry for entry in reach.entries if entry.seq <= mending.seq]).keys() if gone else set()
    return ((key, without[key]) for key in gone)


class _Reaches:
    """How far a mending can reach, so that not all of a day is judged anew for each."""

    def __init__(self, entries: Sequence[Entry], mended: set[int], judge: Judge, named: Named) -> None:
        self._entries = entries
        self._groups = _Groups(entries, mended, named)
        self._versions: dict[int, list[Entry]] = {}
        for entry in entries:
            if entry.root_seq in mended:
                self._versions.setdefault(entry.root_seq, []).append(entry)
        self._late = late_roots(entries)
        checks = [entry for entry in entries if isinstance(entry, UnitCheck)]
        self._has_warm_units = any(Reach.HOT_UNIT in RULES[found.rule].reach for found in judge(checks).values())

    def of(self, mending: Entry) -> Iterator[_Reach]:
        """Give what has to be judged to see what a mending cleared, with the kinds of subjects that it is about."""
        kind = mending.of if isinstance(mending, Withdrawal) else type(mending)
        if not reaches_of(kind):  # read by no rule: it only shows that the kitchen made entries on a day
            own = [e for e in self._entries if e.root_seq == mending.root_seq or type(e) in _read_for_the_day()]
            yield _Reach(own, lambda subject: subject in _subjects_of_the_day())
        elif not names_food(kind):
            yield _Reach(self._entries, lambda subject: True)
        else:
            yield _Reach(self._groups.related(mending), lambda subject: subject not in _beyond_the_food())
            yield from self._with_probes(mending)
            yield from self._with_the_days_readings(mending)
            if self._has_warm_units:
                yield _Reach(self._entries, lambda subject: subject == "hot_unit")

    def _with_probes(self, mending: Entry) -> Iterator[_Reach]:
        """Give what was read with the probes of a mended reading, if the probe or the moment changed."""
        versions = self._versions[mending.root_seq]
        used = {(entry.withdrawn, _probe_of(entry), entry.observed_at) for entry in versions}
        probes = {probe for _withdrawn, probe, _at in used if probe is not None}
        if probes and len(used) > 1:
            roots = {entry.root_seq for entry in self._entries if _probe_of(entry) in probes}
            yield _Reach([e for e in self._entries if e.root_seq in roots], lambda subject: subject == "probe")

    def _with_the_days_readings(self, mending: Entry) -> Iterator[_Reach]:
        """Give all entries where enough readings are late to be told, if a mended one may count no longer."""
        versions = self._versions[mending.root_seq]
        if len(self._late) >= AT_LEAST and len({(entry.withdrawn, entry.observed_at) for entry in versions}) > 1:
            yield _Reach(self._entries, lambda subject: subject == "day")


def _probe_of(entry: Entry) -> str | None:
    return getattr(entry, "probe", None)


@cache
def _read_for_the_day() -> frozenset[type[Entry]]:
    """Give the kinds without food that the rules about the day itself read."""
    return frozenset(kind for rule in rules_of(Each.DAY) for kind in rule.reads if not names_food(kind))


@cache
def _subjects_of_the_day() -> frozenset[str]:
    return frozenset(subject for rule in rules_of(Each.DAY) for subject in rule.subjects)


@cache
def _beyond_the_food() -> frozenset[str]:
    """Give the kinds of subjects whose findings rest on readings of any food: with a probe, or in a hot unit."""
    beyond = (rule for rule in RULES.values() if Reach.FOOD not in rule.reach and any(map(names_food, rule.reads)))
    return frozenset(subject for rule in beyond for subject in rule.subjects)


class _Groups:
    """Names of food joined by the entries that name them together, and by the versions of one entry (disjoint sets)."""

    def __init__(self, entries: Sequence[Entry], mended: set[int], named: Named) -> None:
        self._entries = entries
        self._parent: dict[_Name, _Name] = {}
        self._of: list[_Name | None] = []
        """For each entry one name of its food; None for what names no food."""
        for entry, names in zip(entries, named, strict=True):
            self._of.append(names[0] if names else None)
            joined = [*names, ("entry", entry.root)] if entry.root_seq in mended else names
            for name in joined[1:]:
                self._parent[self._find(joined[0])] = self._find(name)

    def related(self, mending: Entry) -> Sequence[Entry]:
        """Narrow to the food the mended entry touches and all it was moved from and to, beside what names no food."""
        wanted = self._find(("entry", mending.root))
        group = {name for name in dict.fromkeys(self._of) if name is None or self._find(name) == wanted}
        return [entry for entry, name in zip(self._entries, self._of, strict=True) if name in group]

    def _find(self, name: _Name) -> _Name:
        """Give the one name that stands for a group."""
        parents = self._parent
        while (parent := parents.get(name, name)) != name:
            parents[name] = parents.get(parent, parent)
            name = parent
        return name
