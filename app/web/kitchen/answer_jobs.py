"""What is still owed in writing: corrective actions in one line, and each that was sent back in a line of its own."""

from collections.abc import Iterator
from datetime import timedelta

from flask import url_for
from flask_babel import gettext as _

from app import ledger, words
from app.kinds import ActionVerified, CorrectiveAction, Entry
from app.rules.day.shown import Assessment
from app.rules.facts import Concern, Finding
from app.server import get_database

from ..signin import identity
from .jobs import Job, Urgency
from .running_day import is_open, sent_back_words

_DAYS_BACK = timedelta(days=7)
"""How long what was sent back of an earlier day stays on the first page; after that it is on the page of its day."""


def owed(assessment: Assessment) -> list[Finding]:
    """Give the findings for which somebody in the kitchen has to record a corrective action."""
    return [one for one in assessment.findings if is_open(one) and one.concerns != Concern.VERIFICATION]


def sent_back_jobs(assessment: Assessment) -> Iterator[Job]:
    """Give a job for each finding whose corrective action was sent back, of this day or of one not long ago."""
    for finding in owed(assessment):
        back = sent_back_words(assessment, finding.key)
        if back:
            yield _job(finding, assessment, back)
    own = {finding.key for finding in assessment.findings} | {one.finding.key for one in assessment.cleared}
    for found in _of_earlier_days([key for key in _sent_back_last(assessment) if key not in own], assessment):
        back = sent_back_words(found.assessment, found.finding.key)
        if back and found.finding.day != assessment.day:
            yield _job(found.finding, found.assessment, back)


def _job(finding: Finding, assessment: Assessment, back: str) -> Job:
    return Job(
        urgency=Urgency.ANSWER,
        at=finding.onset_at,
        verdict=finding.verdict,
        title=words.finding_words(finding, assessment).title,
        says=back,
        when=words.local_time(finding.onset_at, assessment.site.timezone, day=assessment.day),
        when_small=words.status_word(finding.status),
        href=url_for("findings.act", finding=finding.key, day=finding.day),
        label=_("Answer"),
    )


def _sent_back_last(assessment: Assessment) -> list[str]:
    """Give the keys of which the newest answer of the last days is a review that sent something back."""
    since, site = assessment.starts_at - _DAYS_BACK, assessment.site.code
    kinds = (CorrectiveAction, ActionVerified)
    with get_database().reading() as session:
        answers = ledger.entries_since(session, site, *kinds, since=since, as_of=assessment.as_of)
    last = {key: answer for answer in answers for key in _keys(answer)}
    return [key for key, answer in last.items() if isinstance(answer, ActionVerified) and answer.outcome == "sent_back"]


def _keys(answer: Entry) -> tuple[str, ...]:
    return answer.findings if isinstance(answer, CorrectiveAction | ActionVerified) else ()


def _of_earlier_days(keys: list[str], assessment: Assessment) -> Iterator[ledger.Found]:
    if not keys:
        return
    caller = identity.current().caller
    with get_database().reading() as session:
        found = ledger.find_findings(session, assessment.site.code, keys, by=caller, at=assessment.as_of)
    yield from (one for one in found if one is not None)
