"""The tables: what each is called, its head, and how its rows come about."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from app import ledger
from app.rules.day.register_calendar import RegisterCalendar
from app.rules.day.shown import Assessment
from app.words.marking import N_

from . import days, entries, figures
from .cells import Row

_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """The business days that a table is made of, both included, as the records stand at `as_of`."""

    code: str
    first: date
    last: date
    as_of: datetime


@dataclass(frozen=True, slots=True)
class Table:
    """A table. `is_slow` where every day is assessed for it."""

    title: str
    """As a message to translate."""
    says: str
    head: Row
    rows: Callable[[Session, Span, RegisterCalendar], Iterator[Row]]
    is_slow: bool


def _by_entry(make: Callable[..., Iterator[Row]]) -> Callable[[Session, Span, RegisterCalendar], Iterator[Row]]:
    def rows(session: Session, span: Span, calendar: RegisterCalendar) -> Iterator[Row]:
        starts_at, ends_at = calendar.start_of(span.first), calendar.start_of(span.last + _ONE_DAY)
        until = min(ends_at, span.as_of + timedelta(milliseconds=1))
        return make(session, span.code, calendar, starts_at, until)

    return rows


def _by_day(make: Callable[[Assessment], Iterator[Row]]) -> Callable[[Session, Span, RegisterCalendar], Iterator[Row]]:
    def rows(session: Session, span: Span, calendar: RegisterCalendar) -> Iterator[Row]:
        day = span.first
        while day <= span.last:
            yield from make(ledger.assess_day(session, span.code, day, as_of=span.as_of))
            day += _ONE_DAY

    return rows


def _figures(session: Session, span: Span, calendar: RegisterCalendar) -> Iterator[Row]:
    return figures.rows(session, span.code, span.first, span.last, as_of=span.as_of)


TABLES: Mapping[str, Table] = {
    "days": Table(
        N_("Days"), N_("a row a day: who signed, readings, findings, birds"), days.DAYS, _by_day(days.day_rows), True
    ),
    "loads": Table(
        N_("Loads"), N_("a row a spit: birds, lots, lowest reading, when pulled"), days.LOADS, _by_day(days.loads), True
    ),
    "trays": Table(
        N_("Trays"), N_("a row a tray and day: birds, readings, time out"), days.TRAYS, _by_day(days.trays), True
    ),
    "readings": Table(
        N_("Readings"),
        N_("a row a reading, as it stood on the display"),
        entries.READINGS,
        _by_entry(entries.readings),
        False,
    ),
    "findings": Table(
        N_("Findings"),
        N_("a row a deviation or gap, and how it was answered"),
        days.FINDINGS,
        _by_day(days.findings),
        True,
    ),
    "trends": Table(N_("Trends"), N_("a row a day and figure: what the trends add up"), figures.HEAD, _figures, True),
    "traces": Table(
        N_("Traces"),
        N_("a row a movement of birds: from where, to where"),
        entries.MOVEMENTS,
        _by_entry(entries.movements),
        False,
    ),
}


def rows_of(session: Session, name: str, span: Span) -> tuple[Row, Iterator[Row]]:
    """Give the head and the rows of a table, each row made as it is asked for. Raises KeyError for no such table."""
    found = TABLES[name]
    return found.head, found.rows(session, span, ledger.calendar_of(session, span.code))
