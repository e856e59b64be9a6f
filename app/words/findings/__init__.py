"""What a finding says: a title and one sentence, made from its rule, what was measured, the limit and the subject.

A module a subject, named like those of `app.rules.subjects`. A rule declares its words with `says`.
"""

from dataclasses import dataclass

from app.rules.day.shown import Assessment
from app.rules.facts import Finding

from .. import names
from ..marking import gettext as _
from ..subjects import sentence_start, subject_words
from . import cooking, cooling, holding, records, storage
from .context import FindingContext
from .saying import WORDS

__all__ = ["FindingWords", "cooking", "cooling", "finding_words", "holding", "records", "rule_word", "storage"]


@dataclass(frozen=True, slots=True)
class FindingWords:
    """How a finding is put to people: what it is about and how it came out, then one sentence on why."""

    title: str
    sentence: str


def rule_word(rule: str) -> str:
    """Give the name of a rule; of one that this edition does not have, its code."""
    return _(WORDS[rule].name) if rule in WORDS else rule


def finding_words(finding: Finding, assessment: Assessment) -> FindingWords:
    """Put a finding into words. `assessment` is the one it stands in: it gives the clock's zone and the entries."""
    title = _(
        "%(subject)s, %(rule)s: %(verdict)s",
        subject=sentence_start(subject_words(finding.subject)),
        rule=rule_word(finding.rule),
        verdict=names.verdict_word(finding.verdict),
    )
    return FindingWords(title, WORDS[finding.rule].sentence(FindingContext(finding, assessment)))
