"""Findings that a mending made go away: they stood just before it, and would stand today without it."""

from collections.abc import Callable, Iterable, Mapping, Sequence

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
    cleared: dict[str, Cleared] = {}
    for mending in entries:
        if mending.amends is None:
            continue
        near = _related(entries, mending)
        before = judge([entry for entry in near if entry.seq < mending.seq])
        gone = before.keys() - now.keys()
        gone -= judge([entry for entry in near if entry.seq <= mending.seq]).keys() if gone else set()
        if gone:
            without = judge([e for e in near if e.root_seq != mending.root_seq or e.seq < mending.seq])
            for key in gone & without.keys():
                cleared[key] = Cleared(finding=without[key], mended_by=mending)
    return list(cleared.values())


def _names(entry: Entry) -> Iterable[tuple[str, str]]:
    """Give what ties an entry to others: its own earlier versions, and the food it names."""
    if entry.kind not in _LOCAL:
        return
    yield "entry", entry.root
    yield from movements.names_of(entry)


def _related(entries: Sequence[Entry], mending: Entry) -> Sequence[Entry]:
    """Narrow to the food that the mended entry touches and all it was moved from and to, beside what names no food."""
    chain = [entry for entry in entries if entry.root_seq == mending.root_seq]
    if not all(entry.kind in _LOCAL for entry in chain):
        return entries
    groups = _groups(entries)
    wanted = {groups.find(name) for entry in chain for name in _names(entry)}
    return [
        entry for entry in entries if (names := next(iter(_names(entry)), None)) is None or groups.find(names) in wanted
    ]


class _Groups:
    """Names joined by the entries that name them together (disjoint sets)."""

    def __init__(self) -> None:
        self._parent: dict[tuple[str, str], tuple[str, str]] = {}

    def find(self, name: tuple[str, str]) -> tuple[str, str]:
        """Give the one name that stands for a group."""
        parent = self._parent.setdefault(name, name)
        while parent != name:
            self._parent[name] = self._parent[parent]
            name, parent = parent, self._parent[parent]
        return name

    def join(self, one: tuple[str, str], other: tuple[str, str]) -> None:
        """Make one group of two."""
        self._parent[self.find(one)] = self.find(other)


def _groups(entries: Sequence[Entry]) -> _Groups:
    groups = _Groups()
    for entry in entries:
        names = list(_names(entry))
        for name in names:
            groups.join(names[0], name)
    return groups
