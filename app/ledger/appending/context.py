"""What entries are checked against: what is known of the site, of earlier entries and of the subjects named.

Everything a list of drafts can touch is read at the start in a few queries, and kept up to date in memory while the
entries are taken in one after the other.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import Any, NamedTuple

from app.db import Source, connection_of, milliseconds
from app.kinds import Entry
from app.kinds.reading import entry_of
from app.kinds.values import instant_text
from app.rules.day.register_calendar import RegisterCalendar
from app.rules.day.shown import Assessment
from app.rules.facts import Person
from app.rules.plans import plan

from .. import register
from ..checks.callers import Caller
from ..checks.states import State
from ..form.drafts import Draft
from ..form.typed import Row
from ..index import rows, spans
from ..index.subjects import Mention, has_span
from ..register import SiteRow
from ..register_entries import calendar_of_row
from .moments import recorded_at
from .writing import Pending, Span


class Known(NamedTuple):
    """An entry that was kept: its place, its first version's, and its hashed object."""

    seq: int
    root_seq: int
    body: Mapping[str, Any]

    @property
    def id(self) -> str:
        """Id of this version."""
        return str(self.body["id"])

    def entry(self, root: str) -> Entry:
        """Give it as the rules see it; `root` is the id of its first version."""
        return entry_of(self.body, root_seq=self.root_seq, root=root)


def locked(source: Source, site: str | SiteRow, *, by: Caller, at: datetime) -> "AppendContext":
    """Hold the site's lock (given its row, it is held), to keep entries at a moment not before its newest entry.

    Raises LookupError for no such site, and ClockBehind.
    """
    held = register.get_site_row(source, site, lock=True) if isinstance(site, str) else site
    return _context(source, held, by=by, at=at)


def unlocked(source: Source, site_code: str, *, by: Caller, at: datetime) -> "AppendContext":
    """Look at a site's ledger as if something were to be kept, without holding it. Raises as `locked` does."""
    return _context(source, register.get_site_row(source, site_code), by=by, at=at)


def _context(source: Source, site: SiteRow, *, by: Caller, at: datetime) -> "AppendContext":
    head = rows.head(source, site)
    return AppendContext(source, site, head, by=by, at=recorded_at(site.code, at, head.recorded_at))


class AppendContext:
    """One list of drafts being taken in at a moment: after the `head` of the site's ledger as it was read."""

    def __init__(self, source: Source, site: SiteRow, head: rows.Head, *, by: Caller, at: datetime) -> None:
        self.connection, self.site, self.by, self.at = connection_of(source), site, by, at
        self.at_ms, self.at_text = milliseconds(at), instant_text(at)
        self.seq, self.hash = head.seq, head.hash
        """Of the newest entry, those not yet written included."""
        self.first_seq = self.seq
        self.pending = Pending()
        self.known: dict[str, Known] = {}
        self.states: dict[str, State] = {}
        self.spans: dict[str, Span | None] = {}
        self.assessed: dict[tuple[date, int, datetime], Assessment] = {}
        """What findings' keys were looked up in, by day, head and moment."""

    # ---- the site ---------------------------------------------------------------------------------------------

    @cached_property
    def calendar(self) -> RegisterCalendar:
        """What the register says of each moment and day."""
        return calendar_of_row(self.connection, self.site)

    @cached_property
    def late_after_ms(self) -> int:
        """After how long an entry is late, by the plan in force now."""
        return self.plan_at(self.at).late_after // timedelta(milliseconds=1)

    def day_of(self, at: datetime) -> date:
        """Give the business day of a moment."""
        return self.calendar.day_of(at)

    def plan_at(self, at: datetime) -> plan.Plan:
        """Give the plan in force at a moment."""
        return self.calendar.plan_at(at)

    @cached_property
    def listed(self) -> Mapping[str, str]:
        """Kinds of the equipment in use, by code."""
        return register.read_listed(self.connection, self.site)

    @cached_property
    def people(self) -> Mapping[str, Person]:
        """The people by login, retired ones too."""
        return {person.login: person for person in register.read_people(self.connection, self.site)}

    # ---- earlier entries and subjects -------------------------------------------------------------------------

    def look_up(self, drafts: Sequence[Draft]) -> None:
        """Read what these drafts can touch: entries of their ids, those they mend, the subjects they name."""
        ids = {draft.entry.id for draft in drafts} | {draft.entry.amends for draft in drafts if draft.entry.amends}
        self._learn(rows.by_ids(self.connection, self.site.id, ids))
        self.look_up_subjects(draft for draft in drafts if draft.entry.id not in self.known)

    def look_up_subjects(self, drafts: Iterable[Draft]) -> None:
        """Read the subjects that drafts name."""
        named = [mention for draft in drafts for mention in draft.named if mention.role]
        subjects = dict.fromkeys(mention.subject for mention in named if mention.subject not in self.states)
        self.states |= rows.states(self.connection, self.site.id, list(subjects), whole=False)
        self.learn_spans(dict.fromkeys(mention.subject for mention in named if has_span(mention)))

    def _learn(self, found: Iterable[Row]) -> list[Known]:
        learnt = [Known(row.seq, row.root_seq, json.loads(row.body)) for row in found]
        self.known.update((entry.id, entry) for entry in learnt)
        return learnt

    def learn_spans(self, subjects: Iterable[str]) -> None:
        """Read the spans of subjects that are not at hand."""
        missing = [subject for subject in subjects if subject not in self.spans]
        if missing:
            found = spans.read_spans(self.connection, self.site.id, missing)
            self.spans |= {subject: found.get(subject) for subject in missing}

    def versions_of(self, entry: Known) -> list[Known]:
        """Give all versions of an entry, the newest last."""
        self.flush()
        found = rows.amendments_of(self.connection, self.site.id, [entry.root_seq])
        if entry.seq != entry.root_seq:
            found += rows.by_seqs(self.connection, self.site.id, [entry.root_seq])
        versions = {known.seq: known for known in (entry, *self._learn(found))}
        return [versions[seq] for seq in sorted(versions)]

    def whole_states(self, named: Iterable[Mention]) -> dict[str, State]:
        """Give subjects' states with the readings and moves that a mending must not leave without ground."""
        self.flush()
        subjects = list(dict.fromkeys(mention.subject for mention in named))
        short = [subject for subject in subjects if subject not in self.states or not self.states[subject].whole]
        self.states |= rows.states(self.connection, self.site.id, short, whole=True)
        return {subject: self.states[subject] for subject in subjects}

    def flush(self) -> None:
        """Write what is pending, so that queries see it."""
        self.pending.write(self.connection)
