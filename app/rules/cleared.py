"""Findings that a mending made go away: they stood just before it, and would stand today without it."""

from collections.abc import Callable, Mapping, Sequence

from . import movements
from .facts import Cleared, Entry, Finding

_LOCAL = {
    "load_started",
    "spit_loaded",
    "cook_reading",
    "spit_pulled",
    "hold_reading",
    "tray_moved",
    "tray_out",
    "time_control_started",
    "cooling_reading",
    "batch_moved",
    "reheat_started",
    "reheat_reading",
    "reheat_done",
    "batch_out",
}
"""Kinds whose meaning reaches no further than the food they name and what it was moved to."""

Findings = Mapping[str, Finding]


def find_cleared(
    entries: Sequence[Entry], now: Findings, *, judge: Callable[[Sequence[Entry]], Findings]
) -> list[Cleared]:
    """Give what mendings cleared; `entries` are all versions by seq, `now` the findings that stand."""
    mendings = [entry for entry in entries if entry.amends is not None]
    groups = _Groups(entries, {mending.root_seq for mending in mendings}) if mendings else None
    cleared: dict[str, Cleared] = {}
    for mending in mendings:
        near = groups.related(entries, mending) if groups else entries
        before = judge([entry for entry in near if entry.seq < mending.seq])
        gone = before.keys() - now.keys()
        gone -= judge([entry for entry in near if entry.seq <= mending.seq]).keys() if gone else set()
        if gone:
            without = judge([e for e in near if e.root_seq != mending.root_seq or e.seq < mending.seq])
            for key in sorted(gone & without.keys()):
                cleared[key] = Cleared(finding=without[key], mended_by=mending)
    return list(cleared.values())


class _Groups:
    """Names of food joined by the entries that name them together, and by the versions of one entry (disjoint sets)."""

    def __init__(self, entries: Sequence[Entry], mended: set[int]) -> None:
        self._mended = mended
        self._parent: dict[tuple[str, str], tuple[str, str]] = {}
        for entry in entries:
            if entry.kind in _LOCAL:
                names = self._names(entry)
                for name in names[1:]:
                    self._parent[self._find(names[0])] = self._find(name)

    def related(self, entries: Sequence[Entry], mending: Entry) -> Sequence[Entry]:
        """Narrow to the food the mended entry touches and all it was moved from and to, beside what names no food."""
        if mending.kind not in _LOCAL:
            return entries
        wanted = self._find(("entry", mending.root))
        return [e for e in entries if e.kind not in _LOCAL or self._find(self._names(e)[0]) == wanted]

    def _names(self, entry: Entry) -> list[tuple[str, str]]:
        names = movements.names_of(entry)
        return [*names, ("entry", entry.root)] if entry.root_seq in self._mended else names

    def _find(self, name: tuple[str, str]) -> tuple[str, str]:
        """Give the one name that stands for a group."""
        parents = self._parent
        while (parent := parents.get(name, name)) != name:
            parents[name] = parents.get(parent, parent)
            name = parent
        return name
