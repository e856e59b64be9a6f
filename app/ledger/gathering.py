"""Gathering entries through the index: whole histories of subjects, what fed them, and what is near in time."""

from collections.abc import Callable, Collection, Iterable
from datetime import datetime

from sqlalchemy import ColumnElement, select, union_all
from sqlalchemy.orm import Session

from app.rules import movements
from app.rules.facts import Entry

from . import rows
from .rows import ENTRY, INDEX
from .subjects import MOVING
from .typed import Row, typed

_AT_FIRST = 8
"""How many entries of a subject are looked at first when going back or on in time."""

_Condition = ColumnElement[bool]


class Gathering:
    """Entries found so far, every version of each, none written after `through_seq`."""

    def __init__(self, session: Session, site_id: int, *, through_seq: int) -> None:
        self.session, self.site_id, self.through_seq = session, site_id, through_seq
        self.entries: dict[int, Entry] = {}
        self.newest: dict[int, Entry] = {}
        """The newest version by the seq of the first."""
        self.whole: set[str] = set()
        """Subjects whose whole history is here."""

    # ---- by time and by subject -------------------------------------------------------------------------------

    def seen_between(self, starts_at: datetime, ends_at: datetime) -> list[Entry]:
        """Gather what was seen from one moment until just before another, in any version."""
        seen = (ENTRY.observed_at >= starts_at, ENTRY.observed_at < ends_at)
        roots = select(ENTRY.root_seq).where(ENTRY.site_id == self.site_id, *seen).scalar_subquery()
        mended = (ENTRY.root_seq != ENTRY.seq, ENTRY.root_seq.in_(roots))
        return self._add([*self._rows(*seen), *self._rows(*mended)])

    def about(
        self,
        subjects: Collection[str],
        *,
        moving_only: bool = False,
        starts_at: datetime | None = None,
        ends_at: datetime | None = None,
    ) -> list[Entry]:
        """Gather the entries that name subjects, ever or in a stretch of time. Gives those that were not yet here."""
        conditions: list[_Condition] = [INDEX.role.in_(MOVING)] if moving_only else []
        conditions += [INDEX.observed_at >= starts_at] if starts_at is not None else []
        conditions += [INDEX.observed_at < ends_at] if ends_at is not None else []
        # As a list of seqs, not as a join: else SQLite may walk all entries and look each up in the index.
        index = select(INDEX.seq).where(INDEX.site_id == self.site_id, *conditions)
        found = [
            row
            for portion in rows.chunks(subjects)
            for row in self._rows(ENTRY.seq.in_(index.where(INDEX.subject.in_(portion))))
        ]
        return self._add(found)

    def _rows(self, *conditions: _Condition) -> list[Row]:
        query = select(ENTRY.seq, ENTRY.root_seq, ENTRY.body).where(
            ENTRY.site_id == self.site_id, ENTRY.seq <= self.through_seq, *conditions
        )
        return [Row(*row) for row in self.session.execute(query)]

    def _add(self, found: Iterable[Row]) -> list[Entry]:
        """Take in rows that are new, with the other versions of what was mended."""
        new = {row.seq: row for row in found if row.seq not in self.entries}
        mended = {row.root_seq for row in new.values() if row.seq != row.root_seq}
        missing = [seq for seq in mended if seq not in new and seq not in self.entries]
        if missing:
            versions = self._rows(ENTRY.seq.in_(missing) | ENTRY.root_seq.in_(missing))
            new |= {row.seq: row for row in versions if row.seq not in self.entries}
        roots = {seq: self.entries[seq].id for seq in mended if seq in self.entries}
        entries = typed(new.values(), roots)
        for entry in entries:
            self.entries[entry.seq] = entry
            newest = self.newest.get(entry.root_seq)
            if newest is None or newest.seq < entry.seq:
                self.newest[entry.root_seq] = entry
        return entries

    # ---- near in time -----------------------------------------------------------------------------------------

    def look_back(self, subjects: Collection[str], before: datetime, *, until: Callable[[Entry], bool]) -> None:
        """Gather what was seen of each subject before a moment, back to the last entry for which `until` holds."""
        self._look(subjects, INDEX.observed_at < before, lambda entry: entry.observed_at < before and until(entry))

    def look_on(
        self, subjects: Collection[str], since: datetime, ends_at: datetime, *, until: Callable[[Entry], bool]
    ) -> None:
        """Gather what was seen of each subject in a stretch of time, up to the first entry for which `until` holds."""
        within = (INDEX.observed_at >= since) & (INDEX.observed_at <= ends_at)
        self._look(subjects, within, lambda entry: entry.observed_at >= since and until(entry), onward=True)

    def _look(
        self, subjects: Collection[str], within: _Condition, until: Callable[[Entry], bool], *, onward: bool = False
    ) -> None:
        depth, waiting = _AT_FIRST, list(subjects)
        while waiting:
            near = self._nearest(waiting, within, depth, onward=onward)
            self._add(self._rows(ENTRY.seq.in_([seq for seqs in near.values() for seq in seqs])))
            waiting = [
                subject for subject in waiting if len(near[subject]) == depth and not self._any(near[subject], until)
            ]
            depth *= 4

    def _nearest(
        self, subjects: Collection[str], within: _Condition, depth: int, *, onward: bool
    ) -> dict[str, list[int]]:
        order = INDEX.observed_at if onward else INDEX.observed_at.desc()
        nearest = [
            select(INDEX.subject, INDEX.seq)
            .where(INDEX.site_id == self.site_id, INDEX.subject == subject, INDEX.seq <= self.through_seq, within)
            .order_by(order)
            .limit(depth)
            .subquery()
            for subject in subjects
        ]
        found: dict[str, list[int]] = {subject: [] for subject in subjects}
        for subject, seq in self.session.execute(union_all(*(select(part) for part in nearest))):
            found[subject].append(seq)
        return found

    def _any(self, seqs: Iterable[int], until: Callable[[Entry], bool]) -> bool:
        newest = (self.newest[self.entries[seq].root_seq] for seq in seqs)
        return any(not entry.withdrawn and until(entry) for entry in newest)

    # ---- what fed what ----------------------------------------------------------------------------------------

    def close_over(self, subjects: Iterable[str]) -> None:
        """Gather the whole history of subjects and of all that fed them."""
        waiting = set(subjects) - self.whole
        while waiting:
            self.whole |= waiting
            new = self.about(waiting)
            waiting = {source for entry in new for source in _sources(entry, self.whole)} - self.whole

    def follow(self) -> None:
        """Gather where birds went that left these histories: else their trays would seem to be full still."""
        followed = set(self.whole)
        new: Iterable[Entry] = list(self.entries.values())
        while waiting := {target for entry in new for target in _targets(entry)} - followed:
            followed |= waiting
            new = self.about(waiting, moving_only=True)


def _name(flow: movements.Flow) -> str:
    """Give the subject whose history tells of a flow: a spit's is its load's."""
    kind = "load" if flow.subject.kind == "spit" else flow.subject.kind
    return f"{kind}:{flow.subject.name}"


def _targets(entry: Entry) -> list[str]:
    return [_name(flow) for flow in movements.flows(entry) if flow.birds > 0]


def _sources(entry: Entry, filled: set[str]) -> list[str]:
    """Give what an entry took birds from to put them into one of these."""
    flows = movements.flows(entry)
    if not any(flow.birds > 0 and _name(flow) in filled for flow in flows):
        return []
    return [_name(flow) for flow in flows if flow.birds < 0]
