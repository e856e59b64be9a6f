"""Findings as the log prints them: what the records show, against which limit, and what people did about it."""

from dataclasses import dataclass

from app import words
from app.kinds import ActionVerified, CorrectiveAction, Release
from app.rules.facts import Answers, Cleared, Finding
from app.words.marking import gettext as _

from .blocks import VerdictWords, verdict_words
from .lines import Logbook

_NOBODY = Answers()
Answer = CorrectiveAction | ActionVerified | Release


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """A finding with its number on this log; `answers` are the actions and reviews, one sentence each, in order."""

    key: str
    number: str
    verdict: VerdictWords
    title: str
    sentence: str
    when: str
    source: str
    concerns: str
    status: str
    answers: tuple[str, ...]
    checked: tuple[str, ...]
    """Who answered and who checked that, and when it was seen and written: a few words each, in order."""


def finding_views(book: Logbook) -> tuple[FindingView, ...]:
    """Give the day's findings, worst first, numbered as its lines refer to them."""
    return tuple(_view(str(number), finding, book) for number, finding in enumerate(book.findings, start=1))


def cleared_views(book: Logbook) -> tuple[FindingView, ...]:
    """Give the findings that a mending made go away; they are lettered, to be told from those that stand."""
    cleared = book.assessment.cleared
    return tuple(_cleared(mended_number(number), one, book) for number, one in enumerate(cleared, start=1))


def mended_number(number: int) -> str:
    """Give the number of a finding that a mending made go away."""
    return _("M%(number)s", number=number)


def finding_numbers(book: Logbook) -> dict[str, str]:
    """Give the number of every finding on this log by its key, of those that a mending made go away, too."""
    numbers = {finding.key: str(number) for number, finding in enumerate(book.findings, start=1)}
    cleared = enumerate(book.assessment.cleared, start=1)
    return numbers | {one.finding.key: mended_number(number) for number, one in cleared}


def _view(number: str, finding: Finding, book: Logbook, *, mended: str = "") -> FindingView:
    said = words.finding_words(finding, book.assessment)
    answers = book.assessment.answers.get(finding.key, _NOBODY)
    given = _in_order(answers)
    return FindingView(
        key=finding.key,
        number=number,
        verdict=verdict_words(finding.verdict),
        title=said.title,
        sentence=said.sentence,
        when=_when(finding, book),
        source=finding.source,
        concerns=words.concern_word(finding.concerns),
        status=words.status_word("sent_back") if answers.sent_back else words.finding_status_word(finding),
        answers=(*((mended,) if mended else ()), *(_answer(entry, finding, book) for entry in given)),
        checked=tuple(_in_short(entry, finding, book) for entry in given),
    )


def _cleared(number: str, cleared: Cleared, book: Logbook) -> FindingView:
    entry = cleared.mended_by
    mended = _(
        "Gone since it was corrected (%(entry)s): %(reason)s",
        entry=book.reference(entry),
        reason=entry.amend_reason or "",
    )
    return _view(number, cleared.finding, book, mended=mended)


def _when(finding: Finding, book: Logbook) -> str:
    if finding.ended_at is None:
        return book.time(finding.onset_at)
    return _("%(start)s to %(end)s", start=book.time(finding.onset_at), end=book.time(finding.ended_at))


def _in_order(answers: Answers) -> list[Answer]:
    given: tuple[Answer, ...] = (*answers.actions, *answers.verifications, *answers.releases)
    return sorted(given, key=lambda entry: (entry.observed_at, entry.root_seq))


def _answer(entry: Answer, finding: Finding, book: Logbook) -> str:
    said = words.entry_words(entry, book.assessment.site.timezone)
    sentence = _(
        "%(kind)s (%(entry)s). %(what)s",
        kind=words.kind_word(entry.kind),
        entry=book.reference(entry),
        what=words.sentence_start(said.what),
    )
    if isinstance(entry, Release) and not _frees(entry, finding, book):
        without = _("it has no effect: by the records as they are now, there was no food to release")
        return f"{sentence} ({without})"
    answers = book.assessment.answers[finding.key]
    is_own = answers.by_author and answers.verified_by is not None and answers.verified_by.id == entry.id
    if not is_own:
        return sentence
    own = _("reviewed by its own author: nobody else in charge made an entry that day")
    return f"{sentence} ({own})"


def _frees(release: Release, finding: Finding, book: Logbook) -> bool:
    """Whether a release let go of any food: a later entry may show that the finding could not be released by then."""
    food = book.assessment.food.get(finding.key)
    return food is not None and any(one.root == release.root for one in food.released)


def _in_short(entry: Answer, finding: Finding, book: Logbook) -> str:
    who = {"by": book.by(entry), "at": book.seen_and_written(entry)}
    if isinstance(entry, CorrectiveAction):
        disposition = words.disposition_word(entry.disposition)
        return _("Corrective action (%(disposition)s): %(by)s, %(at)s", disposition=disposition, **who)
    if isinstance(entry, ActionVerified):
        return _("%(outcome)s: %(by)s, %(at)s", outcome=words.sentence_start(words.outcome_word(entry.outcome)), **who)
    if not _frees(entry, finding, book):
        return _("Release without effect: %(by)s, %(at)s", **who)
    return _("Released: %(by)s, %(at)s", **who)
