"""Findings that a mending made go away: they stood just before it, and would stand today without it."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from app.kinds import Entry

from ..facts import Cleared, Finding
from ..history import movements

_LOCAL = movements.NAMING.keys()
"""Kinds whose meaning for food reaches no further than the food they name and what it was moved to."""
_OF_ALL_FOOD = ("probe", "hot_unit")
"""Kinds of subjects whose findings rest on readings of any food: the first with a probe, any tray of a unit."""

_JUDGED_BY_NONE = ("checklist", "in_charge_from", "note")
"""Kinds that no rule reads: they only show that the kitchen made entries on a day."""
_OF_THE_DAY = ("unit_check", "sign_off")
"""Kinds that the rules about the day itself read, once there are entries."""

_Name = tuple[str, str]
Findings = Mapping[str, Finding]
Judge = Callable[[Sequence[Entry]], Findings]


def find_cleared(entries: Sequence[Entry], now: Findings, *, judge: Judge) -> list[Cleared]:
    """Give what mendings cleared; `entries` are all versions by seq, `now` the findings that stand."""
    mendings = [entry for entry in entries if entry.amends is not None]
    reaches = _Reaches(entries, {mending.root_seq for mending in mendings}, judge) if mendings else None
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

    def __init__(self, entries: Sequence[Entry], mended: set[int], judge: Judge) -> None:
        self._entries = entries
        self._groups = _Groups(entries, mended)
        self._versions: dict[int, list[Entry]] = {}
        for entry in entries:
            if entry.root_seq in mended:
                self._versions.setdefault(entry.root_seq, []).append(entry)
        checks = [entry for entry in entries if entry.kind == "unit_check"]
        self._has_warm_units = any(finding.rule == "hold.unit" for finding in judge(checks).values())

    def of(self, mending: Entry) -> Iterator[_Reach]:
        """Give what has to be judged to see what a mending cleared, with the kinds of subjects that it is about."""
        if mending.kind in _JUDGED_BY_NONE:
            own = [e for e in self._entries if e.root_seq == mending.root_seq or e.kind in _OF_THE_DAY]
            yield _Reach(own, lambda kind: kind in ("day", "cold_unit"))
            return
        if mending.kind not in _LOCAL:
            yield _Reach(self._entries, lambda kind: True)
            return
        yield _Reach(self._groups.related(mending), lambda kind: kind not in _OF_ALL_FOOD)
        versions = self._versions[mending.root_seq]
        used = {(entry.withdrawn, entry.fields.get("probe"), entry.observed_at) for entry in versions}
        probes = {probe for _withdrawn, probe, _at in used if probe is not None}
        if probes and len(used) > 1:
            roots = {entry.root_seq for entry in self._entries if entry.fields.get("probe") in probes}
            yield _Reach([e for e in self._entries if e.root_seq in roots], lambda kind: kind == "probe")
        if self._has_warm_units:
            yield _Reach(self._entries, lambda kind: kind == "hot_unit")


class _Groups:
    """Names of food joined by the entries that name them together, and by the versions of one entry (disjoint sets)."""

    def __init__(self, entries: Sequence[Entry], mended: set[int]) -> None:
        self._entries = entries
        self._parent: dict[_Name, _Name] = {}
        self._of: list[_Name | None] = []
        """For each entry one name of its food; None for what names no food."""
        for entry in entries:
            names = movements.names_of(entry) if entry.kind in _LOCAL else []
            if entry.root_seq in mended:
                names.append(("entry", entry.root))
            self._of.append(names[0] if entry.kind in _LOCAL else None)
            for name in names[1:]:
                self._parent[self._find(names[0])] = self._find(name)

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
