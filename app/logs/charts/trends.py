"""Trends as bars: findings week by week, and missed checks over the hours of the day."""

from collections.abc import Sequence

from app import words
from app.rules.facts import Verdict
from app.rules.figures.day_figures import MISSED_AT_AN_HOUR
from app.rules.figures.trends import Trends
from app.words.marking import gettext as _

from .chart import Chart, Table
from .drawing import INK, Board, draw

_HATCHES = ("", "////")
_WIDTH = 0.8
_MOST_LABELS = 13


def weeks_chart(trends: Trends) -> Chart:
    """Draw how many deviations and gaps there were in each week."""
    labels = [words.short_day(week.first) for week in trends.weeks]
    stacks = [
        (words.sentence_start(words.verdict_word(verdict)), _by_week(trends, verdict))
        for verdict in (Verdict.NOT_MET, Verdict.NOT_SHOWN)
    ]
    deviations, gaps = (sum(counts) for _label, counts in stacks)
    title = _(
        "Findings by week, in %(weeks)s weeks: %(deviations)s not met, %(gaps)s not recorded.",
        weeks=len(labels),
        deviations=deviations,
        gaps=gaps,
    )
    return _bars(title, "trends-weeks", _("Week from"), labels, stacks)


def hours_chart(trends: Trends) -> Chart:
    """Draw how many checks were missed in each hour of the kitchen's clock."""
    missed = {row.hour: row.counts for row in trends.missed}
    stacks = [
        (words.missed_word(rule), [missed.get(hour, {}).get(rule, 0) for hour in range(24)])
        for rule in MISSED_AT_AN_HOUR
    ]
    count = sum(row.total for row in trends.missed)
    title = _("Checks missed by hour of the day: %(count)s.", count=count)
    return _bars(title, "trends-hours", _("Hour"), [f"{hour:02d}" for hour in range(24)], stacks)


def _by_week(trends: Trends, verdict: Verdict) -> list[int]:
    rows = [row.counts for row in trends.findings if row.verdict is verdict]
    return [sum(counts[place] for counts in rows) for place in range(len(trends.weeks))]


def _bars(title: str, name: str, first: str, labels: Sequence[str], stacks: Sequence[tuple[str, list[int]]]) -> Chart:
    def paint(board: Board) -> None:
        below = [0] * len(labels)
        for (label, counts), hatch in zip(stacks, _HATCHES, strict=True):
            if some := [place for place, count in enumerate(counts) if count]:
                heights, feet = [counts[place] for place in some], [below[place] for place in some]
                board.top.bar(some, heights, _WIDTH, feet, label=label, color="none", edgecolor=INK, hatch=hatch)
            below = [low + count for low, count in zip(below, counts, strict=True)]
        step = -(-len(labels) // _MOST_LABELS)
        board.show_below(range(0, len(labels), step), labels[::step])
        board.top.set_xlim(-0.6, len(labels) - 0.4)
        board.top.set_ylim(0, max(*below, 1) * 1.05)
        board.top.locator_params(axis="y", integer=True)
        board.show_legend()

    rows = tuple((label, *(str(counts[place]) for _label, counts in stacks)) for place, label in enumerate(labels))
    head = (first, *(label for label, _counts in stacks))
    return Chart(title, lambda shape: draw(paint, shape, name=name, title=title), lambda: Table(head, rows))
