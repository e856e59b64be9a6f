"""Gathering entries through the index: whole histories of subjects, what fed them, and what is near in time."""

from collections.abc import Callable, Collection, Iterable
from datetime import datetime
from typing import Any

from sqlalchemy import Select, bindparam, select

from app.db import Prepared, Result, Source, among, connection_of, milliseconds
from app.kinds import Entry, Flow
from app.kinds.form import MOVE, NONE, READ

from ..form.typed import Row, typed
from ..index.rows import ENTRY, INDEX, INDEX_OF_SITE, OF_KITCHEN, OF_SITE, ROW

_AT_FIRST = 8
"""How many entries of a subject are looked at first when going back or on in time."""

_MENDING = ENTRY.root_seq != ENTRY.seq
_IN_STRETCH = (ENTRY.observed_at >= bindparam("starts_at"), ENTRY.observed_at < bindparam("ends_at"))
_ROOTS = select(ENTRY.root_seq).where(OF_SITE, *_IN_STRETCH).scalar_subquery()

_SEEN = Prepared(ROW.where(OF_SITE, OF_KITCHEN, *_IN_STRETCH))
_MENDED_OF_SEEN = Prepared(ROW.where(OF_SITE, _MENDING, ENTRY.root_seq.in_(_ROOTS)))
_BY_SEQ = Prepared(ROW.where(OF_SITE, among(ENTRY.seq)))
_WRITTEN = Prepared(ROW.where(OF_SITE, OF_KITCHEN, ENTRY.seq > bindparam("after_seq")))
_MENDED = Prepared(ROW.where(OF_SITE, _MENDING, among(ENTRY.root_seq)))

# As a list of seqs, not as a join: else SQLite may walk all entries and look each up in the index.
_SEQS = select(INDEX.seq).where(INDEX_OF_SITE)
_SEQS_ABOUT = _SEQS.where(among(INDEX.subject))
# In a stretch of time only subjects are asked for that nothing moves: probes, units, equipment.
_SEQS_BETWEEN = _SEQS_ABOUT.where(
    INDEX.role == NONE, INDEX.observed_at >= bindparam("starts_at"), INDEX.observed_at < bindparam("ends_at")
)
_SEQS_OF_ONE = _SEQS.where(
    INDEX.subject == bindparam("subject"), INDEX.role == NONE, INDEX.seq <= bindparam("through_seq")
).limit(bindparam("depth"))
_SEQS_BEFORE = _SEQS_OF_ONE.where(INDEX.observed_at < bindparam("before")).order_by(INDEX.observed_at.desc())
_SEQS_SINCE = _SEQS_OF_ONE.where(
    INDEX.observed_at >= bindparam("since"), INDEX.observed_at <= bindparam("ends_at")
).order_by(INDEX.observed_at)


def _with_seqs(seqs: Select[int]) -> Prepared:
    return Prepared(ROW.where(OF_SITE, ENTRY.seq.in_(seqs.scalar_subquery())))


_ABOUT = _with_seqs(_SEQS_ABOUT)
_MOVING_ABOUT = _with_seqs(_SEQS_ABOUT.where(INDEX.role.not_in((READ, MOVE))))
_ABOUT_BETWEEN = _with_seqs(_SEQS_BETWEEN)
_BEFORE = _with_seqs(_SEQS_BEFORE)
_SINCE = _with_seqs(_SEQS_SINCE)


class Gathering:
    """Entries found so far, every version of each, none written after `through_seq`."""

    def __init__(self, source: Source, site_id: int, *, through_seq: int) -> None:
        self.connection, self.site_id, self.through_seq = connection_of(source), site_id, through_seq
        self.entries: dict[int, Entry] = {}
        self.versions: dict[int, list[Entry]] = {}
        """All versions of an entry by the seq of its first."""
        self.whole: set[str] = set()
        """Subjects whose whole history is here."""

    # ---- by time and by subject -------------------------------------------------------------------------------

    def seen_between(self, starts_at: datetime, ends_at: datetime) -> list[Entry]:
        """Gather what was seen from one moment until just before another, in any version."""
        stretch = {"starts_at": milliseconds(starts_at), "ends_at": milliseconds(ends_at)}
        return self._add([*self._rows(_SEEN, **stretch), *self._rows(_MENDED_OF_SEEN, **stretch)])

    def written_after(self, seq: int) -> list[Entry]:
        """Gather what was written after an entry, with all versions of what that mends."""
        return self._add(self._rows(_WRITTEN, after_seq=seq))

    def about(self, subjects: Collection[str], *, moving_only: bool = False) -> list[Entry]:
        """Gather every entry that names a subject. Gives those that were not yet here."""
        return self._add(self._rows_among(_MOVING_ABOUT if moving_only else _ABOUT, subjects))

    def about_between(self, subjects: Collection[str], starts_at: datetime, ends_at: datetime) -> list[Entry]:
        """Gather the entries that name a subject from one moment until just before another."""
        stretch = {"starts_at": milliseconds(starts_at), "ends_at": milliseconds(ends_at)}
        return self._add(self._with_later(self._rows_among(_ABOUT_BETWEEN, subjects, **stretch)))

    def _rows(self, statement: Prepared, **parameters: Any) -> list[Row]:
        return self._until_then(statement.run(self.connection, site_id=self.site_id, **parameters))

    def _rows_among(self, statement: Prepared, values: Iterable[Any], **parameters: Any) -> list[Row]:
        return self._until_then(statement.run_among(self.connection, values, site_id=self.site_id, **parameters))

    def _with_later(self, found: list[Row]) -> list[Row]:
        """Add the later versions of what was found in a stretch of time: they may have been seen outside of it."""
        return [*found, *self._rows_among(_MENDED, {row.root_seq for row in found})]

    def _until_then(self, found: Result) -> list[Row]:
        # Here and not in the statement: a condition on seq tempts SQLite into walking the ledger along it.
        return [Row(*row) for row in found if row[0] <= self.through_seq]

    def _add(self, found: Iterable[Row]) -> list[Entry]:
        """Take in rows that are new, with the other versions of what was mended."""
        new = {row.seq: row for row in found if row.seq not in self.entries}
        mended = {row.root_seq for row in new.values() if row.seq != row.root_seq}
        missing = [seq for seq in mended if seq not in new and seq not in self.entries]
        if missing:
            versions = [*self._rows_among(_BY_SEQ, missing), *self._rows_among(_MENDED, missing)]
            new |= {row.seq: row for row in versions if row.seq not in self.entries}
        roots = {seq: self.entries[seq].id for seq in mended if seq in self.entries}
        entries = typed(new.values(), roots)
        for entry in entries:
            self.entries[entry.seq] = entry
            self.versions.setdefault(entry.root_seq, []).append(entry)
        return entries

    # ---- near in time -----------------------------------------------------------------------------------------

    def look_back(self, subjects: Iterable[str], before: datetime, *, until: Callable[[Entry], bool]) -> None:
        """Gather what was seen of each subject before a moment, back to the last entry for which `until` holds, whether
        or not it was mended: what a mending cleared is found in the ledger as it was before."""

        def is_enough(entry: Entry) -> bool:
            return entry.observed_at < before and until(entry)

        for subject in subjects:
            self._look(_BEFORE, is_enough, subject=subject, before=milliseconds(before))

    def look_on(
        self, subjects: Iterable[str], since: datetime, ends_at: datetime, *, until: Callable[[Entry], bool]
    ) -> None:
        """Gather what was seen of each subject in a stretch of time, up to the first entry for which `until` holds."""

        def is_enough(entry: Entry) -> bool:
            return entry.observed_at >= since and until(entry)

        for subject in subjects:
            self._look(_SINCE, is_enough, subject=subject, since=milliseconds(since), ends_at=milliseconds(ends_at))

    def _look(self, statement: Prepared, until: Callable[[Entry], bool], **where: Any) -> None:
        depth = _AT_FIRST
        while True:
            near = self._rows(statement, depth=depth, through_seq=self.through_seq, **where)
            self._add(self._with_later(near))
            if len(near) < depth or self._any(near, until):
                return
            depth *= 4

    def _any(self, found: Iterable[Row], until: Callable[[Entry], bool]) -> bool:
        return any(all_hold(self.versions[row.root_seq], until) for row in found)

    # ---- what fed what ----------------------------------------------------------------------------------------

    def close_over(self, subjects: Iterable[str]) -> None:
        """Gather the whole history of subjects and of all that fed them."""
        waiting = set(subjects) - self.whole
        while waiting:
            self.whole |= waiting
            new = self.about(waiting)
            fed = (entry for entry in new if not self.whole.isdisjoint(_targets(entry)))
            waiting = {source for entry in fed for source in _sources(entry)} - self.whole

    def close_over_what_came_of_trays(self, ends_at: datetime) -> None:
        """Gather the trays and batches that took birds, after a moment, of trays that were there before it.

        The clock of a batch starts when its birds were last known hot, and a tray takes the discard time of what is put
        in: so either may be found to have been due on a day on which it was not yet there.
        """
        carried = self._trays_filled(lambda entry: entry.observed_at < ends_at)
        while True:
            targets = {
                target
                for entry in self.entries.values()
                if entry.observed_at >= ends_at and not carried.isdisjoint(_sources(entry))
                for target in _targets(entry)
                if target.startswith(("tray:", "batch:"))
            }
            if targets <= self.whole and targets <= carried:
                return
            self.close_over(targets)
            carried |= targets

    def _trays_filled(self, when: Callable[[Entry], bool]) -> set[str]:
        filled = (target for entry in self.entries.values() if when(entry) for target in _targets(entry))
        return {target for target in filled if target.startswith("tray:")}

    def follow(self) -> None:
        """Gather where birds went that left these histories: else their trays would seem to be full still.

        Of ovens and reheats the readings too: they tell whether food that had failed was made good.
        """
        followed = set(self.whole)
        new: Iterable[Entry] = list(self.entries.values())
        while waiting := {target for entry in new for target in _targets(entry)} - followed:
            followed |= waiting
            judged = {name for name in waiting if name.startswith(("load:", "reheat:"))}
            new = [*self.about(judged), *self.about(waiting - judged, moving_only=True)]


def all_hold(versions: Iterable[Entry], test: Callable[[Entry], bool]) -> bool:
    """Whether a test holds of every version of an entry, none of which is a withdrawal."""
    return all(not version.withdrawn and test(version) for version in versions)


def _name(flow: Flow) -> str:
    """Give the subject whose history tells of a flow: a spit's is its load's."""
    kind = "load" if flow.subject.kind == "spit" else flow.subject.kind
    return f"{kind}:{flow.subject.name}"


def _targets(entry: Entry) -> list[str]:
    return [_name(flow) for flow in entry.flows() if flow.birds > 0]


def _sources(entry: Entry) -> list[str]:
    return [_name(flow) for flow in entry.flows() if flow.birds < 0]
