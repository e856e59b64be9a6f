"""When a plan is to be looked at again: at least once a year and after any change that could affect it.

9 CFR 417.4(a)(3), read as the National Meat Association quoted it in January 2000.
"""

from datetime import UTC, datetime, timedelta

import pytest

from app.kinds import PlanReassessed
from app.rules.facts import Equipment
from app.rules.plans.plan import Adopted
from app.rules.plans.reassessment import Occasion, reassessment
from tests.support import cast

ADOPTED_AT = datetime(2026, 1, 1, 12, tzinfo=UTC)
FIRST = Adopted(1, "us_food_code_2022", (), "pat", ADOPTED_AT)
YEAR = timedelta(days=365)


def look(at: datetime, outcome: str = "plan_stands") -> PlanReassessed:
    entry = cast.entry("plan_reassessed", at=at, outcome=outcome)
    assert isinstance(entry, PlanReassessed)
    return entry


def occasions(
    *looks: PlanReassessed,
    after: timedelta,
    plans: tuple[Adopted, ...] = (FIRST,),
    equipment: tuple[Equipment, ...] = (),
) -> tuple[Occasion, ...]:
    return reassessment(plans, looks, equipment, as_of=ADOPTED_AT + after).occasions


@pytest.mark.parametrize(
    ("after", "expected"),
    [(YEAR - timedelta(seconds=1), ()), (YEAR, (Occasion.YEAR,)), (YEAR + timedelta(seconds=1), (Occasion.YEAR,))],
    ids=["a second before a year", "a year", "a second after a year"],
)
def test_a_plan_is_looked_at_again_within_a_year(after: timedelta, expected: tuple[Occasion, ...]) -> None:
    assert occasions(after=after) == expected


def test_a_look_starts_the_year_anew() -> None:
    assert occasions(look(ADOPTED_AT + YEAR), after=YEAR * 2 - timedelta(seconds=1)) == ()
    assert occasions(look(ADOPTED_AT + YEAR), after=YEAR * 2) == (Occasion.YEAR,)


def test_a_new_version_asks_for_a_look() -> None:
    second = Adopted(2, "us_food_code_2022", (), "pat", ADOPTED_AT + timedelta(days=9))
    assert occasions(after=timedelta(days=10), plans=(FIRST, second)) == (Occasion.VERSION,)
    seen = look(ADOPTED_AT + timedelta(days=9, hours=1))
    assert occasions(seen, after=timedelta(days=10), plans=(FIRST, second)) == ()


@pytest.mark.parametrize("kind", ["oven", "hot_unit", "cold_unit"])
def test_a_unit_that_came_or_went_asks_for_a_look(kind: str) -> None:
    came = Equipment("new", kind, since=ADOPTED_AT + timedelta(days=1))
    went = Equipment("old", kind, retired_at=ADOPTED_AT + timedelta(days=1))
    assert occasions(after=timedelta(days=2), equipment=(came,)) == (Occasion.EQUIPMENT,)
    assert occasions(after=timedelta(days=2), equipment=(went,)) == (Occasion.EQUIPMENT,)


def test_a_probe_that_came_asks_for_none() -> None:
    assert occasions(after=timedelta(days=2), equipment=(Equipment("new", "probe", since=ADOPTED_AT + YEAR),)) == ()


def test_a_plan_that_is_to_be_changed_is_asked_for_until_it_is() -> None:
    found = look(ADOPTED_AT + timedelta(days=1), "plan_to_change")
    assert occasions(found, after=timedelta(days=2)) == (Occasion.TO_CHANGE,)
    changed = Adopted(2, "us_food_code_2022", (), "pat", ADOPTED_AT + timedelta(days=3))
    assert occasions(found, after=timedelta(days=4), plans=(FIRST, changed)) == (Occasion.VERSION,)
