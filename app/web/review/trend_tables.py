"""Trends as tables of figures, each figure with the address of the list that says what is behind it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any

from flask import url_for
from flask_babel import gettext as _

from app import words
from app.register import BirdCost
from app.rules.facts import Verdict
from app.rules.figures.day_figures import CLASS_STEP, MISSED_AT_AN_HOUR, MISSED_IN_A_DAY, HoldingSum
from app.rules.figures.trends import DiscardRow, FindingsRow, Trends, Week

from .trend_days import Range

_MOST_COLUMNS = 14
_WEEKS_TOGETHER = 4


@dataclass(frozen=True, slots=True)
class Cell:
    """A figure and where its list is; without an address it stands for nothing."""

    text: str
    href: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """A row of a table: what it is about, and its figures."""

    label: str
    cells: Sequence[Cell]


@dataclass(frozen=True, slots=True)
class Figures:
    """A table of figures; `head` names the columns, the first one that of the labels."""

    head: Sequence[str]
    lines: Sequence[Line]


def findings_table(trends: Trends, days: Range, verdict: Verdict) -> Figures:
    """Findings of one verdict by rule and week; where there are many weeks, four of them together."""
    blocks = _blocks(trends.weeks)
    rows = [row for row in trends.findings if row.verdict is verdict]
    lines = [_findings_line(row, blocks, days) for row in rows]
    return Figures([_("Rule"), _("All"), *(_block_words(block) for block in blocks)], lines)


def is_in_fours(trends: Trends) -> bool:
    """Whether the columns of the findings are four weeks each."""
    return len(trends.weeks) > _MOST_COLUMNS


def _blocks(weeks: Sequence[Week]) -> list[Sequence[Week]]:
    size = _WEEKS_TOGETHER if len(weeks) > _MOST_COLUMNS else 1
    return [weeks[start : start + size] for start in range(0, len(weeks), size)]


def _block_words(block: Sequence[Week]) -> str:
    return words.short_day(block[0].first)


def _findings_line(row: FindingsRow, blocks: Sequence[Sequence[Week]], days: Range) -> Line:
    about = {"rule": row.rule, "verdict": row.verdict.value}
    cells, start = [], 0
    for block in blocks:
        count = sum(row.counts[start : start + len(block)])
        start += len(block)
        cells.append(_count(count, "findings", Range(block[0].first, block[-1].last), **about))
    return Line(words.sentence_start(words.rule_word(row.rule)), [_count(row.total, "findings", days, **about), *cells])


def _count(count: int, page: str, days: Range, **about: Any) -> Cell:
    return Cell(str(count), list_address(page, days, **about)) if count else Cell("")


def list_address(page: str, days: Range, **about: Any) -> str:
    """Give the address of a list of what is behind a figure."""
    return url_for(f"trend_lists.{page}", **days.query, **about)


def holding_table(sums: Iterable[HoldingSum], days: Range) -> Figures:
    """Hot-hold readings by unit and scale."""
    head = [_("Unit"), _("Readings"), _("Mean"), _("Lowest"), _("Under the limit")]
    return Figures(head, [Line(_unit_words(one), holding_cells(one, days)) for one in sums])


def _unit_words(one: HoldingSum) -> str:
    name = one.hot_unit or _("no unit recorded")
    return str(_("%(unit)s, read in °%(scale)s", unit=name, scale=one.unit))


def holding_cells(one: HoldingSum, days: Range) -> list[Cell]:
    """Give the figures of one unit on one scale, each with its address."""
    about = {"hot_unit": one.hot_unit, "unit": one.unit}
    address = list_address("holding", days, **about)
    mean = round(Decimal(one.total) / one.readings / 100, 1)
    return [
        Cell(str(one.readings), address),
        Cell(words.degrees(mean, one.unit), address),
        Cell(words.degrees(Decimal(one.lowest) / 100, one.unit), address),
        Cell(str(one.low), list_address("holding", days, low="1", **about) if one.low else ""),
    ]


def cooking_table(trends: Trends, days: Range) -> Figures:
    """Cook times by the weight of the birds."""
    head = [_("Mean weight of a bird"), _("Spits"), _("Birds"), _("Median"), _("Shortest"), _("Longest")]
    lines = []
    for row in trends.cooking:
        address = list_address("cooking", days, weight_unit=row.weight_unit, weight_from=row.weight_from)
        times = (row.median, row.shortest, row.longest)
        figures = [str(row.spits), str(row.birds), *(words.minutes(int(time)) for time in times)]
        lines.append(Line(weight_words(row.weight_unit, row.weight_from), [Cell(text, address) for text in figures]))
    return Figures(head, lines)


def weight_words(unit: str, start: int) -> str:
    """Give a class of weight: `3 to under 3.5 lb`."""
    if not unit:
        return str(_("not recorded"))
    low, high = (words.number(Decimal(edge) / 100) for edge in (start, start + CLASS_STEP[unit]))
    return str(_("%(low)s to under %(high)s %(unit)s", low=low, high=high, unit=unit))


def discarded_table(trends: Trends, days: Range, cost: BirdCost | None) -> Figures:
    """Birds thrown away by where they were taken out of and why."""
    head = [_("Out of, and why"), _("Birds"), *([_("Cost")] if cost else [])]
    lines = [_discarded_line(row, days, cost) for row in trends.discarded]
    quarters = sum(row.quarters for row in trends.discarded)
    if len(lines) > 1:
        lines.append(Line(_("All"), _discarded_cells(quarters, list_address("discarded", days), cost)))
    return Figures(head, lines)


def _discarded_line(row: DiscardRow, days: Range, cost: BirdCost | None) -> Line:
    address = list_address("discarded", days, kind=row.kind, reason=row.reason)
    # Only a tray's birds are asked for a reason.
    source = source_word(row.kind)
    known = row.reason or row.kind == "tray"
    label = _("%(source)s: %(reason)s", source=source, reason=reason_words(row.reason)) if known else source
    return Line(label, _discarded_cells(row.quarters, address, cost))


def _discarded_cells(quarters: int, address: str, cost: BirdCost | None) -> list[Cell]:
    cells = [Cell(words.bird_count(Decimal(quarters) / 4), address)]
    return [*cells, Cell(cost_words(quarters, cost), address)] if cost else cells


def cost_words(quarters: int, cost: BirdCost) -> str:
    """Give what so many quarters of birds cost."""
    return words.money(cost.amount * quarters / 4, cost.currency)


def source_word(kind: str) -> str:
    """Give the word for what birds were thrown away out of."""
    return str({"spit": _("Spit"), "tray": _("Tray"), "batch": _("Batch"), "reheat": _("Reheat")}[kind])


def reason_words(reason: str) -> str:
    """Give the reason of a discard, or that none was recorded."""
    return words.reason_word(reason) if reason else str(_("no reason recorded"))


def missed_table(trends: Trends, days: Range) -> Figures:
    """Checks missed by the hour in which they were due or went without."""
    head = [_("Hour"), *(words.missed_word(rule) for rule in MISSED_AT_AN_HOUR), _("All")]
    lines = []
    for row in trends.missed:
        cells = [
            _count(row.counts.get(rule, 0), "missed", days, hour=row.hour, rule=rule) for rule in MISSED_AT_AN_HOUR
        ]
        lines.append(Line(words.hour_words(row.hour), [*cells, _count(row.total, "missed", days, hour=row.hour)]))
    return Figures(head, lines)


def missed_in_a_day(trends: Trends, days: Range) -> Cell:
    """Give the checks of cold units that a day lacks: they have no hour."""
    return _count(trends.missed_in_a_day, "missed", days, rule=MISSED_IN_A_DAY)


def is_one_week(days: Range) -> bool:
    """Whether a range lies within one week, so that weeks tell nothing more."""
    return days.last - days.first < timedelta(days=7)
