"""What a change would have changed in four weeks: past days judged by it as well, findings counted, bounded in time."""

import pytest

from app import register
from app.db import Database
from app.server.plan_effect import DAYS, Effect, effect_of
from tests.support import cast
from tests.support.drafts import keep, low_reading, ordinary_day

NOON = cast.moment("12:00")


def effect(database: Database, *, longest_s: float = 60, code: str | None = None, **settings: str) -> Effect:
    with database.reading() as session:
        site = register.get_site(session, "S1")
        change = register.next_version(session, site, code=code, settings=settings, variance="V-1", at=NOON)
        return effect_of(session, "S1", change, as_of=NOON, longest_s=longest_s)


def test_nothing_changed_changes_no_finding(database: Database) -> None:
    keep(database, *low_reading()[:-1])
    assert effect(database) == Effect(DAYS, DAYS, {}, {})


@pytest.mark.parametrize(
    ("hot_holding", "gone", "new"),
    [("150F/65.6C", {}, {}), ("150.1F/65.7C", {}, {"hold.temperature": 1}), ("128F/53.4C", {}, {})],
    ids=["at the reading", "above it", "below it"],
)
def test_a_stricter_limit_finds_what_was_met(
    database: Database, hot_holding: str, gone: dict[str, int], new: dict[str, int]
) -> None:
    keep(database, *ordinary_day()[:-1])  # the tray was read at 150 °F
    found = effect(database, hot_holding=hot_holding)
    assert (found.gone, found.new) == (gone, new)


def test_a_looser_limit_lets_a_finding_go(database: Database) -> None:
    keep(database, *low_reading()[:-1])  # the tray was read at 128 °F
    assert effect(database, hot_holding="128F/53.4C").gone == {"hold.temperature": 1}
    assert effect(database, hot_holding="128.1F/53.5C").gone == {}


def test_another_code_is_judged_by_all_its_values(database: Database) -> None:
    keep(database, *ordinary_day()[:-1])  # 171.2 °F and 166 °F in the birds, not held
    found = effect(database, code="us_food_code_2013")  # 165 °F for 15 s: 3-401.11(A)(3)
    assert found.new == {"cook.core_temperature": 1}


def test_nobody_waits_longer_than_said(database: Database) -> None:
    found = effect(database, longest_s=-1)
    assert (found.days, found.is_whole) == (0, False)
