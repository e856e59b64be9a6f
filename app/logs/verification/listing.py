"""A chapter as a list with a head: what a page and the paper show alike."""

from dataclasses import dataclass
from datetime import date

from app import words
from app.logs.charts import Chart
from app.rules.day.shown import Assessment
from app.rules.facts import Finding

from ..blocks import VerdictWords, verdict_words

DAYS_OF_A_WEEK = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line. `day`: the day that its first cell names, to which a page leads."""

    cells: tuple[str, ...]
    verdict: VerdictWords | None = None
    day: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """A chapter. `nothing` is said where it has no rows, `foot` below them."""

    name: str
    """What its heading is called in the page's addresses."""
    title: str
    head: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
    nothing: str = ""
    foot: str = ""
    count: str = ""
    """Stands beside the title."""
    charts: tuple[tuple[str, Chart], ...] = ()
    """Probe and its chart."""

    @property
    def is_long(self) -> bool:
        """Whether it has more rows than a week has days: a phone shows its heading first."""
        return len(self.rows) > DAYS_OF_A_WEEK

    @property
    def has_verdicts(self) -> bool:
        """Whether any line has a verdict."""
        return any(row.verdict for row in self.rows)


def counted(rows: tuple[Row, ...]) -> str:
    """Give how many rows there are; empty for none."""
    return str(len(rows)) if rows else ""


def finding_row(day: Assessment, finding: Finding, *more: str) -> Row:
    """Give the row of a finding: its day and title, then its sentence, or what is given instead."""
    said = words.finding_words(finding, day)
    cells = (words.day_words(day.day), said.title, *(more or (said.sentence,)))
    return Row(cells=cells, verdict=verdict_words(finding.verdict), day=day.day)
