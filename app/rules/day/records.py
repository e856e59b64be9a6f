"""The records themselves: who answered a finding, and was the day signed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from app.kinds import ActionVerified, CorrectiveAction, Entry, Release, SignOff
from app.kinds.permissions import Permission, may

from ..facts import Answers, Concern, Finding, Site, Status, Verdict
from .reach import DAY
from .registry import Each, rule

if TYPE_CHECKING:
    from .judge import Day, Judged

Answer = CorrectiveAction | ActionVerified | Release


class KeyParts(NamedTuple):
    """A finding's key taken apart: rule, subject kind, label, and the entry (or day) it names."""

    rule: str
    kind: str
    label: str
    names: str


def parse_key(key: str) -> KeyParts | None:
    """Take a finding's key apart; None for what is no key. A label (a lot, say) may hold colons itself."""
    rule, _, rest = key.partition(":")
    kind, _, rest = rest.partition(":")
    label, _, names = rest.rpartition(":")
    return KeyParts(rule, kind, label, names) if rule and kind and label and names else None


class AnswerBook:
    """Corrective actions, verifications and releases, by the rule and subject they answer."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        self._book: dict[tuple[str, str, str], list[tuple[str, Answer]]] = {}
        for entry in entries:
            if isinstance(entry, Answer):
                for key in entry.findings:
                    parts = parse_key(key)
                    if parts is not None:
                        self._book.setdefault((parts.rule, parts.kind, parts.label), []).append((parts.names, entry))

    def answers(self, finding: Finding) -> list[Answer]:
        """Give what answers a finding: same rule and subject, naming an entry it rests on, or its day."""
        rows = self._book.get((finding.rule, finding.subject.kind, finding.subject.label))
        if rows is None:
            return []
        named = {*finding.entries, finding.day.isoformat()}
        return list({entry.seq: entry for names, entry in rows if names in named}.values())

    def actions(self, finding: Finding) -> list[CorrectiveAction]:
        """Give the corrective actions about a finding."""
        return [entry for entry in self.answers(finding) if isinstance(entry, CorrectiveAction)]

    def releases(self, finding: Finding) -> list[Release]:
        """Give the releases that name a finding."""
        return [entry for entry in self.answers(finding) if isinstance(entry, Release)]


def book_of(entries: Iterable[Answer]) -> AnswerBook:
    """Give the answers in order of time seen."""
    return AnswerBook(sorted(entries, key=lambda entry: (entry.observed_at, entry.root_seq)))


_NO_ANSWERS = Answers()


def follow_up(
    finding: Finding, given: Sequence[Answer], *, author: str | None, others: set[str]
) -> tuple[Status, Answers]:
    """Give how far a finding is answered; `author` is the mender of a cleared one, `others` are in charge that day."""
    status = Status.ACTED if author else Status.OPEN
    if not given:
        return status, _NO_ANSWERS
    verified_by: ActionVerified | None = None
    for entry in given:
        if isinstance(entry, CorrectiveAction):
            status, author, verified_by = Status.ACTED, entry.person, None
        elif isinstance(entry, Release):
            continue
        elif entry.outcome == "sent_back":
            status, verified_by = Status.OPEN, None
        elif author is not None and status is Status.ACTED and (entry.person != author or not others - {author}):
            status, verified_by = Status.VERIFIED, entry
    answers = Answers(
        actions=tuple(entry for entry in given if isinstance(entry, CorrectiveAction)),
        verifications=tuple(entry for entry in given if isinstance(entry, ActionVerified)),
        releases=tuple(entry for entry in given if isinstance(entry, Release)),
        verified_by=verified_by,
        by_author=verified_by is not None and verified_by.person == author,
    )
    return status, answers


def is_settled(finding: Finding, answers: Answers, *, cleared: bool = False) -> bool:
    """Whether nothing more is owed.

    A critical limit wants verification, and so do a finding cleared by a mending and food that was already out. A day
    that is signed late owes its signature and nothing else: that it came late is printed all the same.
    """
    if finding.rule == "record.sign_off_due" and not cleared:
        return True
    already_out = any(action.disposition == "already_out" for action in answers.actions)
    if cleared or already_out or finding.concerns is Concern.CRITICAL_LIMIT:
        return finding.status is Status.VERIFIED
    return finding.status is not Status.OPEN


def in_charge_among(entries: Iterable[Entry], site: Site) -> set[str]:
    """Give the logins of people who made some of these entries in a role that reviews actions."""
    return {person.login for person in site.authors_of(entries) if may(person.role, Permission.REVIEW_ACTION)}


@rule(
    "record.sign_off_due",
    group=None,
    each=Each.DAY,
    subjects=("day",),
    reads=(SignOff,),
    reach=(DAY,),
    source="sign-off by the end of the next business day: house",
    verification=True,
    not_met=("none",),
)
def report_sign_off_due(judged: Judged, day: Day) -> None:
    """The day was not signed by the end of the next business day: not shown."""
    due_at = judged.calendar.bounds(judged.calendar.day_of(day.ends_at))[1]
    if judged.report.as_of < due_at or not day.has_work:
        return
    signings = [entry for entry in judged.kitchen.of_kind(SignOff) if entry.day == day.day]
    if any(entry.observed_at <= due_at for entry in signings):
        return
    judged.report.add(
        "record.sign_off_due",
        judged.report.subject("day", day.day.isoformat()),
        Verdict.NOT_SHOWN,
        onset_at=due_at,
        day=day.day,
        ended_at=signings[0].observed_at if signings else None,
        limit={"due_at": due_at},
        plan=day.plan,
    )
