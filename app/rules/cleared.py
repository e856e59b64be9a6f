"""Findings that a mending made go away: they stood just before it, and would stand today without it."""

from collections.abc import Callable, Mapping, Sequence

from . import movements
from .facts import Cleared, Entry, Finding

_LOCAL = movements.NAMING.keys()
"""Kinds whose meaning reaches no further than the food they name and what it was moved to."""

_Name = tuple[str, str]
Findings = Mapping[str, Finding]


def find_cleared(
    entries: Sequence[Entry], now: Findings, *, judge: Callable[[Sequence[Entry]], Findings]
) -> list[Cleared]:
    """Give what mendings cleared; `entries` are all versions by seq, `now` the findings that stand."""
    mendings = [entry for entry in entries if entry.amends is not None]
    groups = _Groups(entries, {mending.root_seq for mending in mendings}) if mendings else None
    cleared: dict[str, Cleared] = {}
    for mending in mendings:
        near = groups.related(mending) if groups else entries
        # Most mendings change no verdict: that is seen at once in what would stand today without them.
        without = judge([e for e in near if e.root_seq != mending.root_seq or e.seq < mending.seq])
        gone = without.keys() - now.keys()
        gone &= judge([entry for entry in near if entry.seq < mending.seq]).keys() if gone else set()
        gone -= judge([entry for entry in near if entry.seq <= mending.seq]).keys() if gone else set()
        for key in sorted(gone):
            cleared[key] = Cleared(finding=without[key], mended_by=mending)
    return list(cleared.values())


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
        if mending.kind not in _LOCAL:
            return self._entries
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
