"""When the time out of temperature of birds of one origin reaches a limit."""

from datetime import timedelta

import pytest

from app.kinds import Subject
from app.rules.history.holders import Tray
from app.rules.history.parts import Part
from app.rules.history.tray_exposure import TrayExposure
from app.rules.plans.plan import resolve
from tests.support.cast import ADOPTED, DAY, entry, moment

LIMIT = timedelta(hours=4)
NOON = moment("12:00")


@pytest.mark.parametrize("counts", [True, False], ids=["runs", "stands"])
@pytest.mark.parametrize("over", [timedelta(0), timedelta(minutes=1), timedelta(hours=3)])
def test_a_limit_that_was_reached_before_is_reached_at_once(over, counts):
    """Also by birds that are hot again, or that came with more than the limit: no rule gives time back."""
    assert part(LIMIT + over, counts=counts).reaches(LIMIT, since=NOON) == NOON


@pytest.mark.parametrize(("counts", "expected"), [(True, moment("12:01")), (False, None)], ids=["runs", "stands"])
def test_a_limit_that_was_not_is_reached_only_while_time_runs(counts, expected):
    assert part(LIMIT - timedelta(minutes=1), counts=counts).reaches(LIMIT, since=NOON) == expected


def test_a_tray_that_nothing_is_in_yet_was_out_for_no_time():
    tray = Tray(Subject("tray", "A-T1"), resolve(ADOPTED, DAY))
    assert TrayExposure(tray).out_for(NOON) == timedelta(0)


def part(before, *, counts):
    fill = entry("spit_pulled", at=NOON)
    return Part(before, NOON, counts, known=not counts, cooked_at=NOON, fill=fill, was_low=True)
