"""What a day's page shows: what is wrong and what is owed first, then the day as the printed log has it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from flask_babel import gettext as _

from app.logs import words
from app.logs.answers import FindingView
from app.logs.view import LogView, log_view
from app.rules.assess import MADE
from app.rules.facts import Answers, Assessment, Blocking, Finding, Person, Status, Verdict

_NOBODY = Answers()


@dataclass(frozen=True, slots=True)
class Owed:
    """A finding of the day by its key, as the log words it. `is_own`: the reader wrote the action that answers it."""

    key: str
    view: FindingView
    status: Status
    is_own: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPage:
    """A day for the person in charge and the inspector. Nothing here decides: `blocking` and the rest come assessed."""

    day: date
    previous: date
    following: date | None
    log: LogView
    to_act: Sequence[Owed]
    to_review: Sequence[Owed]
    acted: Sequence[Owed]
    """Answered, and nothing more is owed; they can still be sent back."""
    running: Sequence[str]
    is_running: bool
    has_entries: bool
    is_ready: bool
    is_signed: bool
    is_stale: bool
    is_maker: bool
    """The reader made entries of the day: a sign-off says so."""
    head: tuple[int, str]

    @property
    def has_answers(self) -> bool:
        """Whether there is any action that a person in charge can accept or send back."""
        return bool(self.to_review or self.acted)


def build_day_page(assessment: Assessment, *, head: tuple[int, str], reader: Person, today: date) -> DayPage:
    """Build the page of a day as one person reads it; `head` is the seq and hash that the assessment saw."""
    log = log_view(assessment, head=head)
    owed = _owed(assessment, log, reader)
    blocking = {one.key for one in assessment.blocking if one.key}
    day, signed = assessment.day, assessment.signed
    return DayPage(
        day=day,
        previous=day - timedelta(days=1),
        following=day + timedelta(days=1) if day < today else None,
        log=log,
        to_act=sorted((one for one in owed if one.key in blocking and one.status is Status.OPEN), key=_worst_first),
        to_review=[one for one in owed if one.key in blocking and one.status is Status.ACTED],
        acted=[one for one in owed if one.key not in blocking and one.status is Status.ACTED],
        running=[_running(one) for one in assessment.blocking if one.kind == "running"],
        is_running=assessment.running,
        has_entries=bool(assessment.entries),
        is_ready=assessment.ready_to_sign,
        is_signed=signed is not None and not signed.stale,
        is_stale=signed is not None and signed.stale,
        is_maker=is_maker(assessment, reader.login),
        head=head,
    )


def is_maker(assessment: Assessment, login: str) -> bool:
    """Whether this person made records of the day's work."""
    return any(
        entry.person == login and entry.kind in MADE and assessment.starts_at <= entry.observed_at < assessment.ends_at
        for entry in assessment.entries
    )


def _owed(assessment: Assessment, log: LogView, reader: Person) -> Sequence[Owed]:
    cleared = [one.finding for one in assessment.cleared]
    menders = {one.finding.key: one.mended_by.person for one in assessment.cleared}
    pairs = [*zip(assessment.findings, log.findings, strict=True), *zip(cleared, log.cleared, strict=True)]
    return [
        Owed(finding.key, view, finding.status, _author(finding, assessment, menders) == reader.login)
        for finding, view in pairs
    ]


def _author(finding: Finding, assessment: Assessment, menders: dict[str, str]) -> str | None:
    """Who wrote the action that stands: the last one; of a finding that was mended away, else the mender."""
    actions = assessment.answers.get(finding.key, _NOBODY).actions
    return actions[-1].person if actions else menders.get(finding.key)


def _worst_first(owed: Owed) -> bool:
    return owed.view.verdict.code != Verdict.NOT_MET


def _running(blocking: Blocking) -> str:
    subject = words.sentence_start(words.subject_words(blocking.subject))
    if blocking.subject.kind == "spit":
        return str(_("%(subject)s still has birds on it", subject=subject))
    if blocking.subject.kind == "tray":
        return str(_("%(subject)s still holds birds", subject=subject))
    return str(_("%(subject)s is not finished", subject=subject))
