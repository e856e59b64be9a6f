"""A day's records as one typed view for the page of the day: the same words, numbers and order as on paper."""

from dataclasses import dataclass

from app.rules.day.shown import Assessment

from .answers import FindingView, cleared_views, finding_views
from .balance import birds_moved, carried_words
from .blocks import VerdictWords, counts
from .heading import Heading, heading
from .limits import PlanView, plan_views
from .lines import Line, Logbook
from .promptness import promptness, second_looks
from .sections import Section, sections
from .signatures import Signature, signatures


@dataclass(frozen=True, slots=True, kw_only=True)
class LogView:
    """All that a day's page shows of the records."""

    heading: Heading
    counts: tuple[tuple[VerdictWords, str], ...]
    plans: tuple[PlanView, ...]
    """Each version of the plan that was in force on the day, in their order."""
    findings: tuple[FindingView, ...]
    cleared: tuple[FindingView, ...]
    sections: tuple[Section, ...]
    withdrawn: tuple[Line, ...]
    birds: tuple[tuple[str, str], ...]
    carried_in: tuple[str, ...]
    carried_out: tuple[str, ...]
    signatures: tuple[Signature, ...]
    promptness: tuple[tuple[str, str], ...]
    """What was written late or corrected, with who did."""
    second_looks: tuple[str, ...]
    """What a reviewer would want to look at twice; no verdict."""


def log_view(assessment: Assessment) -> LogView:
    """Put a day's assessment into words for its page."""
    book = Logbook(assessment)
    return LogView(
        heading=heading(book),
        counts=counts(assessment),
        plans=plan_views(assessment.plans, book),
        findings=finding_views(book),
        cleared=cleared_views(book),
        sections=sections(assessment, book),
        withdrawn=book.withdrawn(),
        birds=birds_moved(assessment),
        carried_in=carried_words(assessment.carried_in),
        carried_out=carried_words(assessment.carried_out),
        signatures=signatures(book),
        promptness=promptness(book),
        second_looks=second_looks(book),
    )
