"""The figures of past days as a table: what the trends add up, one row a day and figure."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from decimal import Decimal

from sqlalchemy.orm import Session

from app import ledger
from app.rules.figures.day_figures import CookingSum, DayFigures, DiscardFigure, HoldingSum

from .cells import Row

HEAD: Row = (
    *("business_day", "figure", "of", "verdict", "count", "birds", "under_limit"),
    *("mean_F", "lowest_F", "mean_C", "lowest_C", "mean_min"),
)
_AT_A_TIME = 20
_HUNDREDTH = Decimal("0.01")


def rows(session: Session, code: str, first: date, last: date, *, as_of: datetime) -> Iterator[Row]:
    """Give the figures of the days that are over; those that are not kept are made anew, twenty at a time."""
    while first <= last:
        until = min(last, first + timedelta(days=_AT_A_TIME - 1))
        for day in ledger.past_days(session, code, first, until, as_of=as_of, at_most=_AT_A_TIME).days:
            yield from _of_day(day)
        first = until + timedelta(days=1)


def _of_day(day: DayFigures) -> Iterator[Row]:
    name = day.day.isoformat()
    counts: dict[tuple[str, str], int] = {}
    for one in day.found:
        counts[one.rule, one.verdict.value] = counts.get((one.rule, one.verdict.value), 0) + 1
    for (rule, verdict), count in sorted(counts.items()):
        yield (name, "findings", rule, verdict, count, *(None,) * 7)
    for held in day.holding:
        yield (name, "hot_holding", *_held(held))
    for cooked in day.cooking:
        yield (name, "cook_time", *_cooked(cooked))
    for thrown in day.discarded:
        yield (name, "discarded", *_thrown(thrown))


def _held(one: HoldingSum) -> Row:
    mean = (Decimal(one.total) / one.readings / 100).quantize(_HUNDREDTH)
    read = (mean, Decimal(one.lowest) / 100)
    temperatures = (*read, None, None) if one.unit == "F" else (None, None, *read)
    return (one.hot_unit, None, one.readings, None, one.low, *temperatures, None)


def _cooked(one: CookingSum) -> Row:
    weight = f"{Decimal(one.weight_from) / 100} {one.weight_unit}" if one.weight_unit else None
    mean = (Decimal(sum(one.minutes)) / len(one.minutes)).quantize(_HUNDREDTH)
    return (weight, None, len(one.minutes), one.birds, *(None,) * 5, mean)


def _thrown(one: DiscardFigure) -> Row:
    return (one.reason or None, None, None, Decimal(one.quarters) / 4, *(None,) * 6)
