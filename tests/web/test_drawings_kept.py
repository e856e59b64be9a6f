"""Whether a browser's drawing still holds: it does not once anything that it rests on is another."""

from collections.abc import Callable
from datetime import datetime, timedelta
from decimal import Decimal

import pytest

from app import register
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, ordinary_day

PROBE = "/charts/probe/blue/drawing.svg?day=2026-04-14"
NEXT_NOON = cast.moment("12:00", day=cast.DAY + timedelta(days=1))
SetClock = Callable[[datetime | str], None]


@pytest.fixture
def cook(database: Database, browser: Browser, set_clock: SetClock) -> Browser:
    """The cook on the day after an ordinary one: nothing but an entry changes its drawings any more."""
    keep(database, *ordinary_day())
    set_clock(NEXT_NOON)
    return browser.sign_in("cook")


def status(browser: Browser, tag: str, **headers: str) -> int:
    return browser.client.get(PROBE, headers={"If-None-Match": tag, **headers}).status_code


def tag_of(browser: Browser) -> str:
    return browser.client.get(PROBE).headers["ETag"]


def test_a_drawing_of_a_day_that_is_settled_holds_on(cook: Browser, set_clock: SetClock) -> None:
    tag = tag_of(cook)
    set_clock(NEXT_NOON + timedelta(minutes=20))
    assert status(cook, tag) == 304


def test_a_drawing_rests_on_the_height_of_the_kitchen(cook: Browser, database: Database) -> None:
    """The height tells what water boils at: a check at the boiling point is another one then."""
    tag = tag_of(cook)
    with database.writing() as session:
        register.change_site(session, register.get_site(session, "S1"), altitude_m=Decimal(1600), at=NEXT_NOON)
    assert status(cook, tag) == 200


def test_a_drawing_rests_on_what_is_set_up(cook: Browser, database: Database) -> None:
    tag = tag_of(cook)
    with database.writing() as session:
        site = register.get_site(session, "S1")
        register.retire_equipment(session, site, "blue", at=NEXT_NOON)
    assert status(cook, tag) == 200


def test_a_drawing_rests_on_the_plan(cook: Browser, database: Database) -> None:
    tag = tag_of(cook)
    with database.writing() as session:
        cast.add_plan(session, register.get_site(session, "S1"), 2, adopted_at=NEXT_NOON)
    assert status(cook, tag) == 200


def test_another_version_of_the_program_draws_anew(cook: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    tag = tag_of(cook)
    monkeypatch.setattr("app.web.charts.program_digest", lambda: "another")
    assert status(cook, tag) == 200


@pytest.fixture
def slow_cooling(database: Database) -> None:
    """A plan that gives days to cool, adopted before anything was written down."""
    with database.writing() as session:
        site = register.get_site(session, "S1")
        cast.add_plan(session, site, 2, settings={"cool_total_min": "4000"}, variance="V-17")


@pytest.mark.usefixtures("slow_cooling")
def test_a_drawing_waits_for_what_a_plan_gives_days_to_cool(cook: Browser, set_clock: SetClock) -> None:
    tag = tag_of(cook)
    set_clock(NEXT_NOON + timedelta(minutes=20))
    assert status(cook, tag) == 200


def test_a_weakened_tag_is_known_again_without_drawing(cook: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    """A proxy that compresses marks a tag as weak."""
    tag = f"W/{tag_of(cook)}"
    monkeypatch.setattr("matplotlib.figure.Figure", None)
    assert status(cook, tag) == 304


def test_no_answer_says_that_all_is_well_and_holds_no_drawing(cook: Browser) -> None:
    tag = tag_of(cook)
    answer = cook.client.get(PROBE, headers={"If-None-Match": tag, "If-Match": tag})
    assert answer.status_code != 200 or answer.data


@pytest.mark.parametrize("zone", [cast.TIMEZONE, "Australia/Sydney"])
@pytest.mark.parametrize("day", ["0001-01-01", "0001-01-02", "1989-12-31", "9999-12-31", "2026-02-30", "2026-W16-2"])
@pytest.mark.parametrize("path", ["load/A-L1", "probe/blue", "unit/walk-in"])
def test_a_day_that_cannot_be_has_no_drawing(cook: Browser, database: Database, path: str, day: str, zone: str) -> None:
    with database.writing() as session:
        register.change_site(session, register.get_site(session, "S1"), timezone=zone, at=NEXT_NOON)
    for page in ("", "/drawing.svg"):
        assert cook.client.get(f"/charts/{path}{page}?day={day}").status_code == 404
