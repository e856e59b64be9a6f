"""The daily log as one typed view: everything that stands on the paper, in words, in the order of the paper."""

from dataclasses import dataclass

from app import words
from app.rules.day.shown import Assessment

from ..answers import FindingView
from ..heading import Heading, heading
from ..limits import PlanView, plan_views
from ..lines import Logbook
from ..sections import sections
from .details import Chapter, Jottings, chapters, with_subjects
from .first_page import FirstPage, first_page
from .seal import SealView, seal_view


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperView:
    """All that is printed."""

    heading: Heading
    first_page: FirstPage
    answered: tuple[FindingView, ...]
    """The findings about which somebody wrote something."""
    chapters: tuple[Chapter, ...]
    withdrawn: Jottings
    writers: str
    """Whose the initials beside the entries are."""
    has_recent: bool
    """Whether any entry has the star of a name that was tapped without its PIN."""
    numbers_begin_with: str
    """What is left out of the numbers of entries; empty where they stand in full."""
    plans: tuple[PlanView, ...]
    """Each version of the plan that was in force on the day, in their order."""
    cautions: tuple[str, ...]
    head_seq: int
    head_hash: str
    seal: SealView | None
    """None where nobody signed what is printed."""


def paper_view(assessment: Assessment, *, head: tuple[int, str], certificate: str | None = None) -> PaperView:
    """Put a day's assessment on paper. `head` is the ledger's last entry that it saw: seq and hash.

    `certificate` is the fingerprint of what will sign the log; None for a print that nobody vouches for.
    """
    book = Logbook(assessment)
    front = first_page(book)
    return PaperView(
        heading=heading(book),
        first_page=front,
        answered=tuple(one for one in (*front.findings, *front.cleared) if one.answers),
        chapters=chapters(sections(assessment, book)),
        withdrawn=with_subjects(book.withdrawn()),
        writers=book.writers.legend(),
        has_recent=any(entry.identified == "recent" for entry in assessment.entries),
        numbers_begin_with=book.numbers.begin_with,
        plans=plan_views(assessment.plans, book),
        cautions=words.cautions(),
        head_seq=head[0],
        head_hash=head[1],
        seal=None if certificate is None else seal_view(assessment, head=head, certificate=certificate),
    )
