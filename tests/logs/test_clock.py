"""Times of day in words, by the clock that a kitchen reads, on screens, in charts and on paper."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from app import logs, words
from tests.support import cast, printed_day

CHICAGO = ZoneInfo(cast.TIMEZONE)


@pytest.fixture
def twelve() -> Iterator[None]:
    """The clock of 12 hours."""
    with words.by_clock(12):
        yield


@pytest.mark.parametrize(
    ("at", "said"),
    [
        (time(0, 0), "12:00 am"),  # U.S. Government Publishing Office Style Manual (2016) 12.9: midnight is 12 a.m.
        (time(0, 5), "12:05 am"),
        (time(1, 30), "1:30 am"),
        (time(11, 59), "11:59 am"),
        (time(12, 0), "12:00 pm"),  # as above: noon is 12 p.m.
        (time(15, 39), "3:39 pm"),
        (time(23, 59), "11:59 pm"),
    ],
)
def test_a_time_by_the_12_hour_clock(twelve: None, at: time, said: str) -> None:
    assert words.time_of_day(at) == said.replace(" ", "\N{NO-BREAK SPACE}")


@pytest.mark.parametrize(("at", "said"), [(time(0, 0), "00:00"), (time(9, 5), "09:05"), (time(15, 39), "15:39")])
def test_a_time_by_the_24_hour_clock(at: time, said: str) -> None:
    assert words.time_of_day(at) == said


def test_a_time_that_came_twice_says_its_zone(twelve: None) -> None:
    twice = datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    assert words.local_time(twice, CHICAGO) == "1:30\N{NO-BREAK SPACE}am CDT"


def test_a_time_of_another_day_says_its_date(twelve: None) -> None:
    at = datetime(2026, 4, 15, 5, 20, tzinfo=UTC)
    assert words.local_time(at, CHICAGO, day=date(2026, 4, 14)) == "Wed 15 Apr, 12:20\N{NO-BREAK SPACE}am"


def test_under_a_line_of_time_full_hours_are_short(twelve: None) -> None:
    at = datetime(2026, 4, 14, 20, 0, tzinfo=UTC)
    assert words.tick_time(at, CHICAGO) == "3\N{NO-BREAK SPACE}pm"


def test_hours_of_trends(twelve: None) -> None:
    assert words.hour_words(14) == "2:00\N{NO-BREAK SPACE}pm–2:59\N{NO-BREAK SPACE}pm"


def test_the_clock_is_the_usual_one_again_afterwards() -> None:
    with words.by_clock(12):
        pass
    assert words.clock_hours() == 24


def test_the_log_says_its_times_by_the_clock_of_its_kitchen(paper: None) -> None:
    day = printed_day.assessment()
    text = re.sub(r"<[^>]*>", " ", logs.log_html(replace(day, site=replace(day.site, clock=12)), head=printed_day.HEAD))
    assert re.search(r"\d:\d\d\N{NO-BREAK SPACE}pm", text)
    assert re.findall(r"\b\d\d?:\d\d(?!\N{NO-BREAK SPACE}[ap]m|:?\d)", text) == []
