"""Which reading has a table of what any number in its place would mean."""

import pytest

from app.rules.meaning.any_reading import table_of
from tests.support.cast import entry
from tests.support.story import checked, hot_tray, read, told

STORY = [checked("38", "06:00"), *hot_tray(), read("140", "11:00"), entry("note", at="11:10")]


@pytest.mark.parametrize("kind", ["unit_check", "cook_reading", "hold_reading"])
def test_a_reading_of_the_day_has_its_table_in_either_unit(kind):
    day = told(STORY)
    table = table_of(day, next(one for one in day.entries if one.kind == kind))
    assert table is not None
    assert all(table(unit) for unit in ("F", "C"))


def test_a_reading_of_what_that_day_does_not_have_has_none():
    assert table_of(told(STORY), read("140", "11:00", tray="A-T2")) is None


def test_what_reads_no_temperature_has_none():
    assert table_of(told(STORY), entry("note", at="11:10")) is None
