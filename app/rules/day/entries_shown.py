"""Which entries a day shows: what was seen in it, what fed its subjects, and what its findings and answers rest on."""

from collections.abc import Iterable, Sequence
from datetime import date

from app.kinds import Entry, Receiving, SignOff, SpitLoaded, Subject

from ..history.kitchen import Kitchen
from .judge import Judged

_Name = tuple[str, str]


def entries_shown(
    judged: Judged, named: Sequence[Sequence[_Name]], *, day: date, subjects: Iterable[Subject], rests_on: set[str]
) -> tuple[Entry, ...]:
    """Give them by seq, all versions of each whose newest is not after `as_of`.

    `named` gives for each entry the names of its food; `subjects` are those of the day, `rests_on` first-version ids.
    """
    starts_at, ends_at = judged.calendar.bounds(day)
    names = _fed_names(judged.kitchen, subjects)
    pairs = list(zip(judged.entries, named, strict=True))
    lots = {e.lot for e, own in pairs if isinstance(e, SpitLoaded) and not names.isdisjoint(own)}
    wanted = {
        entry.root_seq
        for entry, own in pairs
        if starts_at <= entry.observed_at < ends_at
        or entry.root in rests_on
        or not names.isdisjoint(own)
        or (isinstance(entry, Receiving) and entry.lot in lots)
        or (isinstance(entry, SignOff) and entry.day == day)
    }
    later = {entry.root_seq for entry in judged.entries if entry.observed_at > judged.report.as_of}
    newest = {entry.root_seq: entry for entry in judged.entries if entry.root_seq in later} if later else {}
    wanted -= {root_seq for root_seq, entry in newest.items() if entry.observed_at > judged.report.as_of}
    return tuple([entry for entry in judged.entries if entry.root_seq in wanted])


def _fed_names(kitchen: Kitchen, subjects: Iterable[Subject]) -> set[_Name]:
    """Names of some subjects and of all that fed them; a spit's is its load's."""
    waiting = list(subjects)
    seen = set(waiting)
    while waiting:
        holder = kitchen.holders.get(waiting.pop())
        new = {move.other for move in (holder.fills if holder else ()) if move.other is not None} - seen
        seen |= new
        waiting += new
    return {("load" if subject.kind == "spit" else subject.kind, subject.name) for subject in seen}
