"""What is still owed in writing: corrective actions in one line, and each that was sent back in a line of its own."""

from collections.abc import Iterator

from flask import url_for
from flask_babel import gettext as _

from app import words
from app.rules.day.shown import Assessment
from app.rules.facts import Concern, Finding

from .jobs import Job, Urgency
from .running_day import is_open, sent_back_words


def owed(assessment: Assessment) -> list[Finding]:
    """Give the findings for which somebody in the kitchen has to record a corrective action."""
    return [one for one in assessment.findings if is_open(one) and one.concerns != Concern.VERIFICATION]


def sent_back_jobs(assessment: Assessment) -> Iterator[Job]:
    """Give a job for each finding whose corrective action was sent back."""
    for finding in owed(assessment):
        back = sent_back_words(assessment, finding.key)
        if back:
            yield Job(
                urgency=Urgency.ANSWER,
                at=finding.onset_at,
                verdict=finding.verdict,
                title=words.finding_words(finding, assessment).title,
                says=back,
                when=words.local_time(finding.onset_at, assessment.site.timezone, day=assessment.day),
                when_small=words.status_word(finding.status),
                href=url_for("findings.act", finding=finding.key),
                label=_("Answer"),
            )
