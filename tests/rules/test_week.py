"""What a week says of those who worked in it, and of a hot-holding unit."""

from dataclasses import replace
from datetime import date

import pytest

from app.rules.figures.week import find_untrained, unit_week
from tests.support.cast import DAY, EQUIPMENT, entry, moment
from tests.support.story import hot_tray, read, told

SUNDAY = date(2026, 4, 19)


def training(until):
    dated = entry("training", at="05:00", whom="cook", until=until or "2026-04-14")
    return dated if until else replace(dated, until=None)


@pytest.mark.parametrize(
    ("trainings", "lacking"),
    [
        ([], [None]),
        ([None], []),
        (["2026-04-20"], []),
        (["2026-04-19"], []),
        (["2026-04-18"], [date(2026, 4, 18)]),
        (["2026-04-18", "2026-04-01"], [date(2026, 4, 18)]),
        (["2026-04-18", "2027-04-14"], []),
    ],
    ids=["none", "for good", "to after it", "to that day", "ran out", "two ran out", "one of two holds"],
)
def test_who_worked_without_a_training_that_holds_is_named_with_when_it_ran_out(trainings, lacking):
    """A training holds to the end of its last day: its entry says so."""
    day = told(hot_tray())
    found = find_untrained([day], [training(until) for until in trainings], on=SUNDAY)
    assert [(one.person.login, one.until) for one in found] == [("cook", until) for until in lacking]


def test_readings_of_a_tray_count_for_the_hot_unit_that_it_stands_in_and_for_no_other():
    day = told([*hot_tray(), read("140", "11:00"), read("128", "11:30")])
    (code,) = {one.hot_unit for tray in day.trays for one in tray.held}
    units = [unit for unit in EQUIPMENT.values() if unit.kind == "hot_unit"]
    weeks = [unit_week(unit, [], [day, day], plan=day.plan, since=moment("04:00", day=DAY)) for unit in units]
    assert [(one.held, one.low) for one in weeks if one.code == code] == [(2, 1)]
    assert {(one.held, one.low) for one in weeks if one.code != code} == {(0, 0)}
