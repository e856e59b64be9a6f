"""The first page is made once for all who may do the same, and shows what was saved before it was asked for."""

from collections.abc import Callable, Iterator
from datetime import datetime
from unittest.mock import patch

import pytest
from flask import Flask

from app import create_app
from app.db import Database
from app.web.kitchen import made_once, running_day
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, loaded, low_reading, pulled

SetClock = Callable[[datetime | str], None]


@pytest.fixture
def assessed() -> Iterator[list[datetime]]:
    """Notes each time the day is assessed for the first page."""
    times: list[datetime] = []

    def noting() -> object:
        assessment = running_day.assess_today()
        times.append(assessment.as_of)
        return assessment

    with patch.object(made_once, "assess_today", noting):
        yield times


def other_worker(app: Flask) -> Browser:
    """A tablet at another serving process: an app of its own over the same database."""
    config = {name: app.config[name] for name in ("DATABASE_URL", "SECRET_KEY", "WTF_CSRF_ENABLED")}
    return Browser(create_app(config).test_client()).enrol()


def test_an_unchanged_kitchen_is_assessed_once(alone: Browser, assessed: list[datetime]) -> None:
    for path in ("/", "/", "/due", "/"):
        alone.get(path)
    assert len(assessed) == 1


def test_what_is_saved_is_there_in_the_next_page_of_another_worker(
    app: Flask, browser: Browser, database: Database
) -> None:
    here, there = browser.enrol(), other_worker(app)
    assert "Nothing is in the ovens" in here.get("/").words
    assert "Nothing is in the ovens" in there.get("/").words
    keep(database, *loaded())
    for tablet in (there, here):
        words = tablet.get("/").words
        assert "Nothing is in the ovens" not in words
        assert "probe 2 birds" in words


def test_time_goes_on_without_an_entry(alone: Browser, set_clock: SetClock) -> None:
    assert "6 min due 12:06" in alone.get("/").words
    set_clock("12:10")
    assert "overdue 4 min due 12:06" in alone.get("/").words
    set_clock("12:00")  # a clock that was put back
    assert "6 min due 12:06" in alone.get("/").words


def test_what_one_role_may_see_stays_with_it(app: Flask, browser: Browser, database: Database) -> None:
    keep(database, *low_reading())
    lead = Browser(app.test_client()).sign_in("pat")
    assert "Lost a tablet?" in lead.get("/").words
    assert "Lost a tablet?" not in browser.sign_in("cook").get("/").words
    assert "Lost a tablet?" in lead.get("/").words


def test_another_kitchen_gets_its_own(app: Flask, browser: Browser, database: Database) -> None:
    keep(database, *pulled())
    assert "Tray T1" in browser.sign_in("cook").get("/").words
    (stranger, *_others) = sorted(cast.STRANGERS)
    assert "Tray T1" not in Browser(app.test_client()).sign_in(stranger).get("/").words


@pytest.mark.parametrize("path", ["/", "/due"])
def test_a_tablet_that_has_it_already_gets_no_page(alone: Browser, database: Database, path: str) -> None:
    live = {"X-Fragment": "live"}
    first = alone.client.get(path, headers=live)
    known = live | {"If-None-Match": first.headers["ETag"]}
    again = alone.client.get(path, headers=known)
    assert (again.status_code, again.data) == (304, b"")
    assert again.headers["Cache-Control"] == "no-store"
    assert "X-Now" in again.headers
    keep(database, cast.draft("hold_reading", at="12:00", tray="A-T1", temperature="128"))
    changed = alone.client.get(path, headers=known)
    assert changed.status_code == 200
    assert changed.headers["ETag"] != first.headers["ETag"]
