"""The signatures under a day, and whether what was signed is still what the records say."""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from operator import attrgetter

from app.kinds import Entry, EquipmentSet, PlanAdopted, RegisterEntry, SignOff, SiteSet

from ..facts import Finding, Verdict
from .judge import Judged, judge
from .records import AnswerBook
from .register_calendar import register_calendar
from .shown import Signed

_SEQ = attrgetter("seq")


class Signatures:
    """The signatures under one day; `judged` is what the rules make of it now, `through_seq` up to where it is read."""

    def __init__(
        self, judged: Judged, register: Sequence[RegisterEntry], *, day: date, through_seq: int | None
    ) -> None:
        self._judged, self._register, self._day, self._through_seq = judged, register, day, through_seq
        self._starts_at, self._ends_at = judged.calendar.bounds(day)

    def given(self, findings: Sequence[Finding]) -> tuple[Signed, ...]:
        """Give the signatures in order; `findings` are those of the day, with those that a mending made go away."""
        signings = [entry for entry in self._judged.kitchen.of_kind(SignOff) if entry.day == self._day]
        return tuple(self._signed(entry, findings) for entry in sorted(signings, key=lambda entry: entry.seq))

    def _signed(self, entry: SignOff, findings: Sequence[Finding]) -> Signed:
        seen = self._judged.kitchen.seen_between(self._starts_at, self._ends_at)
        return Signed(
            seq=entry.seq,
            covers_seq=entry.covers_seq,
            covers_hash=entry.covers_hash,
            signer_name=entry.signer_name,
            at=entry.observed_at,
            stale=self._is_stale(entry.covers_seq, findings),
            by_maker=any(e.person == entry.person and e.IS_WORK for e in seen),
            entry=entry,
        )

    def _is_stale(self, covers_seq: int, findings: Sequence[Finding]) -> bool:
        known = self._judged.entries
        later = [entry for entry in known[bisect_right(known, covers_seq, key=_SEQ) :] if not entry.IS_SIGNATURE]
        if not later and not self._is_set_up_otherwise(covers_seq):
            return False
        return any(self._touches(entry, findings) for entry in later) or self._changed_since(covers_seq)

    def _touches(self, entry: Entry, findings: Sequence[Finding]) -> bool:
        """Whether a later entry was seen in the day, mends one that was, or answers one of its findings."""
        if self._in_day(entry):
            return True
        versions = (e for e in self._judged.entries if e.root_seq == entry.root_seq)
        if entry.amends is not None and any(self._in_day(version) for version in versions):
            return True
        book = AnswerBook([entry])
        return any(book.answers(finding) for finding in findings)

    def _in_day(self, entry: Entry) -> bool:
        return self._starts_at <= entry.observed_at < self._ends_at

    def _is_set_up_otherwise(self, covers_seq: int) -> bool:
        """Whether site, plan or equipment changed since a signature. An upgrade wrote down what had held before it."""
        return any(
            isinstance(entry, SiteSet | PlanAdopted | EquipmentSet) and not entry.source
            for entry in self._register
            if covers_seq < entry.seq <= (self._through_seq or entry.seq)
        )

    def _changed_since(self, covers_seq: int) -> bool:
        covered = [e for e in self._judged.entries if e.seq <= covers_seq or e.IS_SIGNATURE]
        set_up = register_calendar(self._register, through_seq=covers_seq)
        then = judge(covered, calendar=set_up, as_of=self._judged.report.as_of, day=self._day)
        return self._findings_of_day(then.report.findings) != self._findings_of_day(self._judged.report.findings)

    def _findings_of_day(self, findings: Iterable[Finding]) -> set[tuple[str, Verdict, datetime]]:
        return {(f.key, f.verdict, f.onset_at) for f in findings if f.day == self._day}
