"""Trends: what the findings, readings, cook times and discards of past days add up to, for the person in charge."""

from collections.abc import Callable
from dataclasses import dataclass

from flask import Blueprint
from flask.typing import ResponseReturnValue

from app.kinds.permissions import Permission
from app.logs.charts import Chart, hours_chart, weeks_chart
from app.rules.facts import Verdict
from app.rules.figures import trends

from ..parts.pages import page
from ..signin.identity import requires
from .trend_days import Range, RangeForm, asked_range, find_bird_cost, read_days, with_refresh
from .trend_tables import (
    Cell,
    Figures,
    cooking_table,
    cost_words,
    discarded_table,
    findings_table,
    holding_table,
    is_in_fours,
    missed_in_a_day,
    missed_table,
)

blueprint = Blueprint("trends", __name__, url_prefix="/trends")

_ONE_BIRD = 4
"""Quarters."""


@dataclass(frozen=True, slots=True)
class TrendsPage:
    """A range of days in figures; `missing` are its days that are still to be added up."""

    days: Range
    counted: int
    missing: int
    in_fours: bool
    deviations: Figures
    gaps: Figures
    holding: Figures
    cooking: Figures
    discarded: Figures
    cost: str
    """Of one bird; empty where none is set."""
    missed: Figures
    missed_in_a_day: Cell


@dataclass(frozen=True, slots=True)
class TrendChartPage:
    """A chart of trends, and the days that it shows."""

    chart: Chart
    days: Range
    missing: int


@blueprint.get("")
@requires(Permission.READ_TRENDS)
def index() -> ResponseReturnValue:
    """Show the trends of a range of days."""
    form, days = asked_range()
    if days is None:
        return _index(form, None, 422)
    view = _read(days)
    return with_refresh(_index(form, view), view.missing)


def _index(form: RangeForm, view: TrendsPage | None, status: int = 200) -> ResponseReturnValue:
    return page("trends/index.html", status, form=form, view=view)


def _read(days: Range) -> TrendsPage:
    read, cost = read_days(days), find_bird_cost()
    days = read.range
    found = trends.add_up(read.days, first=days.first, last=days.last)
    return TrendsPage(
        days=days,
        counted=len(read.days),
        missing=read.missing,
        in_fours=is_in_fours(found),
        deviations=findings_table(found, days, Verdict.NOT_MET),
        gaps=findings_table(found, days, Verdict.NOT_SHOWN),
        holding=holding_table(found.holding, days),
        cooking=cooking_table(found, days),
        discarded=discarded_table(found, days, cost),
        cost=cost_words(_ONE_BIRD, cost) if cost else "",
        missed=missed_table(found, days),
        missed_in_a_day=missed_in_a_day(found, days),
    )


@blueprint.get("/chart/weeks")
@requires(Permission.READ_TRENDS)
def weeks() -> ResponseReturnValue:
    """Draw findings by week; a page of its own, so that the words need not wait for it."""
    return _drawn(weeks_chart)


@blueprint.get("/chart/hours")
@requires(Permission.READ_TRENDS)
def hours() -> ResponseReturnValue:
    """Draw missed checks by hour of the day."""
    return _drawn(hours_chart)


def _drawn(draw: Callable[[trends.Trends], Chart]) -> ResponseReturnValue:
    form, days = asked_range()
    if days is None:
        return _index(form, None, 422)
    read = read_days(days)
    drawn = draw(trends.add_up(read.days, first=read.range.first, last=read.range.last))
    answer = page("trends/chart.html", view=TrendChartPage(drawn, read.range, read.missing))
    return with_refresh(answer, read.missing)
