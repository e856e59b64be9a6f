"""Findings that a mending made go away: they stood just before it, and would stand today without it.

A mending is judged on no more than it reaches, as the rules that read its kind declare it.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence

from app.kinds import Entry

from ..facts import Cleared, Finding
from .food_reach import Part, Records
from .scope import Scope

Findings = Mapping[str, Finding]
Judge = Callable[[Sequence[Entry], frozenset[str]], Findings]
"""Gives what some rules find in entries (it may find more)."""


def find_cleared(records: Records, now: Findings, *, judge: Judge) -> list[Cleared]:
    """Give what mendings cleared; `now` is what stands."""
    mendings = [entry for entry in records.entries if entry.amends is not None]
    if not mendings:
        return []
    scope = Scope(records)
    cleared: dict[str, Cleared] = {}
    for mending in mendings:
        gone = {key: finding for part in scope.of(mending) for key, finding in _gone(mending, part, now, judge)}
        for key in sorted(gone):
            cleared[key] = Cleared(finding=gone[key], mended_by=mending)
    return list(cleared.values())


def _gone(mending: Entry, part: Part, now: Findings, judge: Judge) -> Iterator[tuple[str, Finding]]:
    # Most mendings change no verdict: that is seen at once in what would stand today without them.
    without = judge([e for e in part.entries if e.root_seq != mending.root_seq or e.seq < mending.seq], part.rules)
    gone = {key for key, found in without.items() if key not in now and part.tells(found.rule, found.subject)}
    rules = frozenset(without[key].rule for key in gone)
    if gone and part.entries[-1].seq > mending.seq:  # where it is the last, what stood before it is what stands without
        gone &= judge([entry for entry in part.entries if entry.seq < mending.seq], rules).keys()
    # What was withdrawn opens nothing any more; of all else it is judged what stood once it was mended.
    if not all(mending.withdrawn and key.endswith(f":{mending.root}") for key in gone):
        gone -= judge([entry for entry in part.entries if entry.seq <= mending.seq], rules).keys()
    return ((key, without[key]) for key in gone)
