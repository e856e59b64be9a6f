"""Numbers as a cook reads them."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from app import words
from app.kinds import Temperature
from app.rules.plans.limits import TemperatureLimit

CHICAGO = ZoneInfo("America/Chicago")


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        ("164.9", "F", "164.9\u00a0°F"),
        ("165", "F", "165\u00a0°F"),
        ("160", "F", "160\u00a0°F"),
        ("-3.5", "C", "−3.5\u00a0°C"),
    ],
)
def test_a_temperature_is_shown_as_it_was_read(value: str, unit: str, shown: str) -> None:
    assert words.measured(Temperature(Decimal(value), unit)) == shown


def test_a_limit_is_shown_as_its_source_prints_it() -> None:
    limit = TemperatureLimit(Decimal(165), Decimal(74))
    assert words.limit(limit) == "165\u00a0°F / 74\u00a0°C"
    assert words.limit(limit, "C") == "74\u00a0°C"


@pytest.mark.parametrize(
    ("birds", "shown"),
    [
        ("5", "5 birds"),
        ("1", "1 bird"),
        ("0.5", "½ bird"),
        ("2.25", "2¼ birds"),
        ("0", "0 birds"),
        ("1.75", "1¾ birds"),
    ],
)
def test_birds_are_counted_in_quarters(birds: str, shown: str) -> None:
    assert words.birds(Decimal(birds)) == shown


@pytest.mark.parametrize(
    ("length", "shown"),
    [
        (timedelta(minutes=105), "1 h 45 min"),
        (timedelta(hours=2), "2 h"),
        (timedelta(seconds=15), "15 s"),
        (timedelta(minutes=1, seconds=30), "1 min 30 s"),
        (timedelta(hours=4, seconds=20), "4 h"),
        (0, "0 s"),
    ],
)
def test_a_length_of_time_is_told_in_hours_and_minutes(length: timedelta | int, shown: str) -> None:
    assert words.duration(length) == shown


def test_a_time_is_the_kitchens_and_says_the_date_where_it_is_another() -> None:
    at = datetime(2026, 4, 15, 5, 20, tzinfo=UTC)
    assert words.local_time(at, CHICAGO) == "00:20"
    assert words.local_time(at, CHICAGO, day=date(2026, 4, 15)) == "00:20"
    assert words.local_time(at, CHICAGO, day=date(2026, 4, 14)) == "Wed 15 Apr, 00:20"


@pytest.mark.parametrize(("hour", "shown"), [(6, "01:30 CDT"), (7, "01:30 CST")])
def test_the_hour_that_comes_twice_says_which_of_the_two_it_is(hour: int, shown: str) -> None:
    """The clocks go back on 1 November 2026 at 02:00 (15 U.S.C. 260a: first Sunday of November)."""
    assert words.local_time(datetime(2026, 11, 1, hour, 30, tzinfo=UTC), CHICAGO) == shown


def test_a_date_and_time_in_full_names_the_zone() -> None:
    at = datetime(2026, 4, 14, 17, 14, tzinfo=UTC)
    assert words.local_date_time(at, CHICAGO) == "Tue 14 April 2026, 12:14 CDT"


@pytest.mark.parametrize(("parts", "shown"), [([], ""), (["1"], "1"), (["1", "2", "3"], "1, 2 and 3")])
def test_a_list_is_read_out(parts: list[str], shown: str) -> None:
    assert words.joined(parts) == shown
