"""Trends: sums of the figures of many days, by week, unit, weight of the birds, reason and hour."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from itertools import groupby
from statistics import median
from typing import NamedTuple

from ..facts import Verdict
from .day_figures import MISSED_IN_A_DAY, CookingSum, DayFigures, DiscardFigure, FoundFigure, HoldingSum

_WEEK = timedelta(days=7)


class Week(NamedTuple):
    """An ISO week, as far as it lies in the days that are looked at."""

    number: str
    """ISO 8601: `2026-W16`."""
    first: date
    last: date


class FindingsRow(NamedTuple):
    """How often the records show one verdict on one rule, week by week."""

    rule: str
    verdict: Verdict
    counts: tuple[int, ...]

    @property
    def total(self) -> int:
        """In all weeks together."""
        return sum(self.counts)


class CookingRow(NamedTuple):
    """The spits of one class of weight: how many, and the minutes they took. `weight_unit` is "" for not weighed."""

    weight_unit: str
    weight_from: int
    spits: int
    birds: int
    median: Decimal
    shortest: int
    longest: int


class DiscardRow(NamedTuple):
    """Birds thrown away out of one kind of subject for one reason ("": none given), in quarters."""

    kind: str
    reason: str
    quarters: int


class MissedRow(NamedTuple):
    """Checks missed in one hour of the kitchen's clock, by rule."""

    hour: int
    counts: dict[str, int]

    @property
    def total(self) -> int:
        """Of all rules together."""
        return sum(self.counts.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Trends:
    """What the figures of some days add up to."""

    weeks: tuple[Week, ...]
    findings: tuple[FindingsRow, ...]
    holding: tuple[HoldingSum, ...]
    cooking: tuple[CookingRow, ...]
    discarded: tuple[DiscardRow, ...]
    missed: tuple[MissedRow, ...]
    missed_in_a_day: int
    """Days and cold units with fewer checks than the plan asks for: they have no hour."""


def add_up(days: Sequence[DayFigures], *, first: date, last: date) -> Trends:
    """Add the figures of days up; `first` and `last` say which weeks are told, empty ones too."""
    weeks = weeks_of(first, last)
    return Trends(
        weeks=weeks,
        findings=_by_week(days, weeks),
        holding=add_up_holding(one for day in days for one in day.holding),
        cooking=_by_weight(one for day in days for one in day.cooking),
        discarded=_by_reason(one for day in days for one in day.discarded),
        missed=_by_hour(one for day in days for one in day.found),
        missed_in_a_day=sum(one.rule == MISSED_IN_A_DAY for day in days for one in day.found),
    )


def week_of(day: date) -> str:
    """Give the ISO week of a business day: `2026-W16`; the year is the week's own, which begins on a Monday."""
    year, week, _weekday = day.isocalendar()
    return f"{year:04d}-W{week:02d}"


def weeks_of(first: date, last: date) -> tuple[Week, ...]:
    """Give the ISO weeks from one day to another, the first and last of them cut to these days."""
    monday, weeks = first - timedelta(days=first.weekday()), []
    while monday <= last:
        ends = monday + _WEEK - timedelta(days=1)
        weeks.append(Week(week_of(monday), max(monday, first), min(ends, last)))
        monday += _WEEK
    return tuple(weeks)


def add_up_holding(sums: Iterable[HoldingSum]) -> tuple[HoldingSum, ...]:
    """Put sums of the same unit and scale together; °F and °C are never added to one another."""
    ordered = sorted(sums, key=_unit_and_scale)
    return tuple(_together(list(ones)) for _key, ones in groupby(ordered, key=_unit_and_scale))


def _unit_and_scale(one: HoldingSum) -> tuple[str, str]:
    return one.hot_unit, one.unit


def _together(ones: Sequence[HoldingSum]) -> HoldingSum:
    readings, total, low = (
        sum(values) for values in zip(*((one.readings, one.total, one.low) for one in ones), strict=True)
    )
    return HoldingSum(ones[0].hot_unit, ones[0].unit, readings, total, min(one.lowest for one in ones), low)


def _by_week(days: Iterable[DayFigures], weeks: Sequence[Week]) -> tuple[FindingsRow, ...]:
    counted = Counter((one.rule, one.verdict, week_of(day.day)) for day in days for one in day.found)
    kinds = {(verdict, rule) for rule, verdict, _week in counted}
    rows = (
        FindingsRow(rule, verdict, tuple(counted[rule, verdict, week.number] for week in weeks))
        for verdict, rule in kinds
    )
    return tuple(sorted(rows, key=lambda row: (row.verdict is not Verdict.NOT_MET, -row.total, row.rule)))


def _by_weight(sums: Iterable[CookingSum]) -> tuple[CookingRow, ...]:
    ordered = sorted(sums, key=lambda one: (not one.weight_unit, one.weight_unit, one.weight_from))
    return tuple(_cooking_row(list(ones)) for _key, ones in groupby(ordered, key=lambda one: one[:2]))


def _cooking_row(ones: Sequence[CookingSum]) -> CookingRow:
    minutes = sorted(spit for one in ones for spit in one.minutes)
    birds = sum(one.birds for one in ones)
    return CookingRow(*ones[0][:2], len(minutes), birds, Decimal(median(minutes)), minutes[0], minutes[-1])


def _by_reason(discards: Iterable[DiscardFigure]) -> tuple[DiscardRow, ...]:
    quarters: Counter[tuple[str, str]] = Counter()
    for one in discards:
        quarters[one.source.kind, one.reason] += one.quarters
    rows = (DiscardRow(*key, count) for key, count in quarters.items())
    return tuple(sorted(rows, key=lambda row: (-row.quarters, row.kind, row.reason)))


def _by_hour(found: Iterable[FoundFigure]) -> tuple[MissedRow, ...]:
    counted = Counter((one.hour, one.rule) for one in found if one.hour is not None)
    hours: dict[int, dict[str, int]] = {}
    for (hour, rule), count in sorted(counted.items(), key=lambda item: item[0]):
        hours.setdefault(hour or 0, {})[rule] = count
    return tuple(MissedRow(hour, counts) for hour, counts in hours.items())
