"""A year of days as one file for a spreadsheet: every day once, with its own numbers, in memory that does not grow."""

import csv
import io
import tracemalloc
from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest

from app.db import Database
from app.server.spreadsheet import FEW, Span, csv_lines, rows_of
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import Draft, keep

LAST = date(2027, 4, 14)
AFTER = cast.moment("12:00", day=LAST + timedelta(days=1))
YEAR = [LAST - timedelta(days=364 - number) for number in range(365)]
_A_WEEK = 7
"""The kitchen is closed on one day of these: nothing is recorded then."""

SetClock = Callable[[datetime | str], None]


def birds_of(day: date) -> int:
    return 2 + day.toordinal() % 5


def of_a_day(day: date) -> list[Draft]:
    """One load, probed, pulled into a tray and served; nothing where the kitchen is closed."""
    if day.toordinal() % _A_WEEK == 0:
        return []
    birds, load, tray = birds_of(day), {"load": f"A-{day:%y%m%d}"}, {"tray": f"A-{day:%y%m%d}-T"}
    return [
        cast.draft("load_started", at=cast.moment("09:00", day=day), **load),
        cast.draft("spit_loaded", at=cast.moment("09:02", day=day), **load, birds=birds),
        cast.draft("cook_reading", at=cast.moment("10:31", day=day), **load, temperature="171.2"),
        cast.draft("spit_pulled", at=cast.moment("10:36", day=day), **load, **tray, birds=birds),
        cast.draft("tray_out", at=cast.moment("11:40", day=day), **tray, birds=str(birds)),
    ]


@pytest.fixture
def kitchen(database: Database) -> Database:
    """A kitchen after that year, closed one day in seven."""
    for start in range(0, len(YEAR), 50):
        days = YEAR[start : start + 50]
        keep(database, *(draft for day in days for draft in of_a_day(day)), at=cast.moment("23:00", day=days[-1]))
    return database


def test_a_year_has_each_day_once_with_its_own_numbers(
    kitchen: Database, browser: Browser, set_clock: SetClock
) -> None:
    set_clock(AFTER)
    answer = browser.sign_in("pat").client.get(f"/export/days.csv?first={YEAR[0]}&last={YEAR[-1]}")
    rows = list(csv.DictReader(io.StringIO(answer.get_data(as_text=True).removeprefix("\ufeff"))))
    open_days = [day for day in YEAR if day.toordinal() % _A_WEEK]
    told = [(row["business_day"], row["entries"], row["loaded"], row["served"]) for row in rows]
    assert answer.headers["X-Days"] == "365"
    assert told == [(day.isoformat(), "5", str(birds_of(day)), str(birds_of(day))) for day in open_days]


def peak(database: Database, days: int) -> int:
    """Give the most memory that a file of so many days takes while it is made, in bytes."""
    span = Span(code="S1", first=LAST - timedelta(days=days - 1), last=LAST, as_of=AFTER)
    with database.reading() as session:
        tracemalloc.start()
        for _lines in csv_lines(*rows_of(session, "days", span), FEW):
            pass
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    return most


def test_a_year_takes_no_more_memory_than_a_month(kitchen: Database) -> None:
    peak(kitchen, 365)  # what is kept once for all, whoever asks: the code of law, statements, time zones
    assert peak(kitchen, 365) <= 2 * peak(kitchen, 30)
