"""What a day's page shows: what is wrong and what is owed first, then the day as the printed log has it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from flask_babel import gettext as _

from app import words
from app.kinds import ActionVerified, CorrectiveAction, Entry, Subject
from app.logs.answers import FindingView
from app.logs.lines import Line, Logbook
from app.logs.view import LogView, log_view
from app.rules.day.shown import Assessment, Blocking
from app.rules.facts import Answers, Finding, Person, Status, Verdict
from app.server.kept_logs import Kept

from ..parts.owed_days import OwedDay

_NOBODY = Answers()
_ANSWERS = (CorrectiveAction, ActionVerified)


@dataclass(frozen=True, slots=True)
class Owed:
    """A finding of the day by its key, as the log words it.

    `is_own`: the reader wrote the action that answers it. `changed`: what a mending that cleared it changed.
    """

    key: str
    view: FindingView
    status: Status
    is_own: bool
    changed: str


@dataclass(frozen=True, slots=True)
class Running:
    """What still holds birds, and the page on which that is ended: endpoint and what it is called with."""

    says: str
    endpoint: str
    called: Mapping[str, object]


_ENDED_ON = {
    "spit": ("cooking.load_page", "load"),
    "tray": ("holding.tray_page", "tray"),
    "batch": ("cooling.batch_page", "batch"),
    "reheat": ("reheating.reheat_page", "reheat"),
}


@dataclass(frozen=True, slots=True)
class SecondLook:
    """Something that a reviewer would want to look at twice, with the entries that take part in it."""

    sentence: str
    lines: Sequence[Line]


@dataclass(frozen=True, slots=True)
class NotFinished:
    """What went wrong since a day was signed: its log is not written, or its head not stamped; why, where that is for
    the reader, and when it is tried again."""

    is_log: bool
    why: str
    next_try: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPage:
    """A day for the person in charge and the inspector. Nothing here decides: `blocking` and the rest come assessed."""

    day: date
    state: str
    """How the day stands, in a sentence or two."""
    previous: date
    following: date | None
    log: LogView
    to_act: Sequence[Owed]
    to_review: Sequence[Owed]
    acted: Sequence[Owed]
    """Answered, and nothing more is owed; they can still be sent back."""
    running: Sequence[Running]
    second_looks: Sequence[SecondLook]
    is_running: bool
    is_in_charge: bool
    """Whether the reader is who took charge last."""
    has_entries: bool
    is_ready: bool
    is_signed: bool
    is_stale: bool
    since_signed: Sequence[Line]
    """What was written about the day after it was signed."""
    is_maker: bool
    """The reader made entries of the day: a sign-off says so."""
    head: tuple[int, str]
    earlier: Sequence[OwedDay] = ()
    """Of the running day, for who signs days: those before it that ask for something."""
    kept: Sequence[Kept] = ()
    """The logs that were written when the day was signed, the newest first."""
    unfinished: Sequence[NotFinished] = ()

    @property
    def has_answers(self) -> bool:
        """Whether there is any action that a person in charge can accept or send back."""
        return bool(self.to_review or self.acted)

    @property
    def asks(self) -> bool:
        """Whether something is asked of the reader above the findings."""
        return bool(self.to_act or self.running or self.has_answers)


def build_day_page(assessment: Assessment, *, head: tuple[int, str], reader: Person, today: date) -> DayPage:
    """Build the page of a day as one person reads it; `head` is the seq and hash that the assessment saw."""
    log = log_view(assessment)
    owed = _owed(assessment, log, reader)
    blocking = {one.key for one in assessment.blocking if one.key}
    day, signed = assessment.day, assessment.signed
    to_act = sorted((one for one in owed if one.key in blocking and one.status is Status.OPEN), key=_worst_first)
    to_review = [one for one in owed if one.key in blocking and one.status is Status.ACTED]
    running = [_running(one) for one in assessment.blocking if one.kind == "running"]
    return DayPage(
        day=day,
        state=_state(assessment, to_answer=len(to_act), to_review=len(to_review), running=len(running)),
        previous=day - timedelta(days=1),
        following=day + timedelta(days=1) if day < today else None,
        log=log,
        to_act=to_act,
        to_review=to_review,
        acted=[one for one in owed if one.key not in blocking and one.status is Status.ACTED],
        running=running,
        second_looks=_second_looks(assessment),
        is_running=assessment.running,
        is_in_charge=assessment.in_charge == reader.login,
        has_entries=bool(assessment.entries),
        is_ready=assessment.ready_to_sign,
        is_signed=signed is not None and not signed.stale,
        is_stale=signed is not None and signed.stale,
        since_signed=_since_signed(assessment),
        is_maker=is_maker(assessment, reader.login),
        head=head,
    )


def _state(assessment: Assessment, *, to_answer: int, to_review: int, running: int) -> str:
    signed = assessment.signed
    state = words.DayState(
        to_answer=to_answer,
        to_review=to_review,
        running=running,
        aside=tuple(_set_aside(assessment)),
        is_ready=assessment.ready_to_sign,
        is_signed=signed is not None and not signed.stale,
        is_stale=signed is not None and signed.stale,
    )
    return words.day_state_words(state)


def _set_aside(assessment: Assessment) -> Iterator[Subject]:
    for load in assessment.loads:
        yield from (Subject("spit", load.load, spit.spit) for spit in load.spits if spit.set_aside)
    yield from (Subject("tray", one.tray) for one in assessment.trays if one.set_aside)
    yield from (Subject("batch", one.batch) for one in assessment.batches if one.set_aside)
    yield from (Subject("reheat", one.reheat) for one in assessment.reheats if one.set_aside)


def is_maker(assessment: Assessment, login: str) -> bool:
    """Whether this person made records of the day's work."""
    return any(
        entry.person == login and entry.IS_WORK and assessment.starts_at <= entry.observed_at < assessment.ends_at
        for entry in assessment.entries
    )


def _owed(assessment: Assessment, log: LogView, reader: Person) -> Sequence[Owed]:
    mended = {one.finding.key: one.mended_by for one in assessment.cleared}
    findings = {one.key: one for one in (*assessment.findings, *(one.finding for one in assessment.cleared))}
    return [
        Owed(
            key=view.key,
            view=view,
            status=findings[view.key].status,
            is_own=_author(findings[view.key], assessment, mended.get(view.key)) == reader.login,
            changed=_changed(assessment, mended.get(view.key)),
        )
        for view in (*log.findings, *log.cleared)
    ]


def _author(finding: Finding, assessment: Assessment, mended_by: Entry | None) -> str | None:
    """Who wrote the action that stands: the last one; of a finding that was mended away, else the mender."""
    actions = assessment.answers.get(finding.key, _NOBODY).actions
    if actions:
        return actions[-1].person
    return mended_by.person if mended_by else None


def _changed(assessment: Assessment, mended_by: Entry | None) -> str:
    before = next((entry for entry in assessment.entries if mended_by and entry.id == mended_by.amends), None)
    if before is None or mended_by is None:
        return ""
    zone = assessment.site.timezone
    old, new = words.entry_words(before, zone), words.entry_words(mended_by, zone)
    if mended_by.withdrawn or (old.value, old.what) == (new.value, new.what):
        return ""
    said = (old.value, new.value) if old.value != new.value else (old.what, new.what)
    return str(_("It said %(before)s; it now says %(after)s.", before=said[0], after=said[1]))


def _second_looks(assessment: Assessment) -> Sequence[SecondLook]:
    book = Logbook(assessment)
    return [SecondLook(words.pattern_words(one), book.lines(one.entries)) for one in assessment.patterns]


def _since_signed(assessment: Assessment) -> Sequence[Line]:
    signed = assessment.signed
    if signed is None or not signed.stale:
        return ()
    touching = [
        entry
        for entry in assessment.entries
        if entry.seq > signed.covers_seq
        and not entry.IS_SIGNATURE
        and (_is_answer(entry) or entry.amends or assessment.starts_at <= entry.observed_at < assessment.ends_at)
    ]
    return Logbook(assessment).lines(entry for entry in touching if not entry.withdrawn)


def _is_answer(entry: Entry) -> bool:
    return isinstance(entry, _ANSWERS)


def _worst_first(owed: Owed) -> bool:
    return owed.view.verdict.code != Verdict.NOT_MET


def _running(blocking: Blocking) -> Running:
    endpoint, name = _ENDED_ON[blocking.subject.kind]
    return Running(_running_words(blocking), endpoint, {name: blocking.subject.name})


def _running_words(blocking: Blocking) -> str:
    subject = words.sentence_start(words.subject_words(blocking.subject))
    if blocking.subject.kind == "spit":
        return str(_("%(subject)s still has birds on it", subject=subject))
    if blocking.subject.kind == "tray":
        return str(_("%(subject)s still holds birds", subject=subject))
    return str(_("%(subject)s is not finished", subject=subject))
