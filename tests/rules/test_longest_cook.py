"""When a load without a forecast is pressing: over the longest of its oven by the records, else over a house value."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from app.kinds import Temperature
from app.rules.forecasts import roasting
from app.rules.forecasts.cook_time import SpitRecord
from app.rules.forecasts.longest import HOUSE, HOUSE_SOURCE, Longest, ShownBy, longest_cook
from tests.support.cast import entry
from tests.support.story import loaded, probed, told

START = datetime(2026, 4, 1, 15, 0, tzinfo=UTC)


def cooked(load, *, pulled, reading="171", oven="east", birds=5, taken=5):
    """A load started at 05:00, its spit probed and pulled at a time."""
    of = {"load": load}
    started = [
        entry("load_started", at="05:00", load=load, oven=oven),
        entry("spit_loaded", at="05:00", load=load, birds=birds),
    ]
    return [
        *started,
        *probed(reading, reading, at=pulled, **of),
        entry("spit_pulled", at=pulled, birds=taken, tray=f"A-T{load[-1]}", **of),
    ]


def longest(*others, earlier=None):
    day = told([*(one for other in others for one in other), *loaded()], as_of="13:00")
    load = next(one for one in day.loads if one.load == "A-L1")
    return longest_cook(load, day.loads, earlier or {})


def test_without_any_record_the_house_value_counts_beside_its_source():
    assert longest() == Longest(HOUSE, ShownBy.HOUSE, HOUSE_SOURCE)
    assert HOUSE_SOURCE.startswith("house")


def test_the_longest_of_the_same_oven_today_counts():
    found = longest(
        cooked("A-L2", pulled="06:20"), cooked("A-L3", pulled="06:35"), earlier={"east": timedelta(hours=3)}
    )
    assert found == Longest(timedelta(minutes=95), ShownBy.TODAY)


def test_another_oven_does_not_count():
    assert longest(cooked("A-L2", pulled="06:35", oven="west"), earlier={"west": HOUSE}).shown_by is ShownBy.HOUSE


def test_before_the_first_pull_of_the_day_the_earlier_days_count():
    assert longest(earlier={"east": timedelta(minutes=88)}) == Longest(timedelta(minutes=88), ShownBy.EARLIER)


@pytest.mark.parametrize("other", [{"reading": "150"}, {"taken": 3}], ids=["under the limit", "birds left on it"])
def test_a_spit_that_is_not_done_does_not_count(other):
    assert longest(cooked("A-L2", pulled="06:20", **other)).shown_by is ShownBy.HOUSE


def past(minutes, *, value="171", oven="east", pulled=True):
    at = START + timedelta(minutes=minutes)
    read = [(at, Temperature(Decimal(value), "F"))]
    return SpitRecord(started_at=START, readings=read, oven=oven, pulled_at=at if pulled else None)


def test_earlier_days_tell_the_longest_of_each_oven_at_the_limit():
    spits = [past(80), past(92), past(70, oven="west"), past(300, value="150"), past(400, pulled=False)]
    known = roasting.learn(spits, limit=Temperature(Decimal(165), "F"))
    assert known.longest == {"east": timedelta(minutes=92), "west": timedelta(minutes=70)}
