"""Findings as the log prints them: what the records show, against which limit, and what people did about it."""

from dataclasses import dataclass

from app import words
from app.kinds import Entry
from app.rules.facts import Answers, Cleared, Finding
from app.words.marking import gettext as _

from .blocks import VerdictWords, verdict_words
from .lines import Logbook

_NOBODY = Answers()


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """A finding with its number on this log; `answers` are the actions and reviews, one sentence each, in order."""

    number: str
    verdict: VerdictWords
    title: str
    sentence: str
    when: str
    source: str
    concerns: str
    status: str
    answers: tuple[str, ...]


def finding_views(book: Logbook) -> tuple[FindingView, ...]:
    """Give the day's findings, numbered as its lines refer to them."""
    findings = book.assessment.findings
    return tuple(_view(str(number), finding, book) for number, finding in enumerate(findings, start=1))


def cleared_views(book: Logbook) -> tuple[FindingView, ...]:
    """Give the findings that a mending made go away; they are lettered, to be told from those that stand."""
    cleared = book.assessment.cleared
    return tuple(_cleared(mended_number(number), one, book) for number, one in enumerate(cleared, start=1))


def mended_number(number: int) -> str:
    """Give the number of a finding that a mending made go away."""
    return _("M%(number)s", number=number)


def _view(number: str, finding: Finding, book: Logbook, *, mended: str = "") -> FindingView:
    said = words.finding_words(finding, book.assessment)
    answers = book.assessment.answers.get(finding.key, _NOBODY)
    return FindingView(
        number=number,
        verdict=verdict_words(finding.verdict),
        title=said.title,
        sentence=said.sentence,
        when=_when(finding, book),
        source=finding.source,
        concerns=words.concern_word(finding.concerns),
        status=words.status_word(finding.status),
        answers=(*((mended,) if mended else ()), *_answers(answers, book)),
    )


def _cleared(number: str, cleared: Cleared, book: Logbook) -> FindingView:
    entry = cleared.mended_by
    mended = _(
        "Gone since it was mended (%(entry)s): %(reason)s",
        entry=book.reference(entry),
        reason=entry.amend_reason or "",
    )
    return _view(number, cleared.finding, book, mended=mended)


def _when(finding: Finding, book: Logbook) -> str:
    if finding.ended_at is None:
        return book.time(finding.onset_at)
    return _("%(start)s to %(end)s", start=book.time(finding.onset_at), end=book.time(finding.ended_at))


def _answers(answers: Answers, book: Logbook) -> list[str]:
    entries = sorted(
        (*answers.actions, *answers.verifications, *answers.releases),
        key=lambda entry: (entry.observed_at, entry.root_seq),
    )
    return [_answer(entry, answers, book) for entry in entries]


def _answer(entry: Entry, answers: Answers, book: Logbook) -> str:
    said = words.entry_words(entry, book.assessment.site.timezone)
    sentence = _(
        "%(kind)s (%(entry)s). %(what)s",
        kind=words.kind_word(entry.kind),
        entry=book.reference(entry),
        what=words.sentence_start(said.what),
    )
    is_own = answers.by_author and answers.verified_by is not None and answers.verified_by.id == entry.id
    if not is_own:
        return sentence
    own = _("reviewed by its own author: nobody else in charge made an entry that day")
    return f"{sentence} ({own})"
