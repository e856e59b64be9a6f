"""The time is taken once the site is held: who waited long for others is recorded after them, and is not refused."""

import json
import re
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from threading import Event

import pytest
from flask import Flask

from app import ledger
from app.db import Database
from tests.support import cast
from tests.support.api import Api
from tests.support.browsing import Browser
from tests.support.ledger_kitchen import COOK, Kitchen

SetClock = Callable[[datetime | str], None]
_PATIENCE_S = 60
_FOLDER = Path(__file__).parent.parent / "app"


@pytest.fixture
def kitchen(database: Database) -> Kitchen:
    """Kitchen S1 on each kind of database."""
    with database.writing() as session:
        cast.make_site(session)
        cast.make_other_site(session)
    return Kitchen(database)


@pytest.fixture
def at_the_lock(app: Flask, monkeypatch: pytest.MonkeyPatch) -> Event:
    """Set once a request has come to where it waits: SQLite holds the whole file, PostgreSQL the site's row."""
    reached, served = Event(), app.extensions["database"]

    def told(wait: Callable[..., object]) -> Callable[..., object]:
        def waits(*args: object, **kwargs: object) -> object:
            reached.set()
            return wait(*args, **kwargs)

        return waits

    if served.engine.dialect.name == "postgresql":
        monkeypatch.setattr(ledger, "hold", told(ledger.hold))
    else:
        for name in ("appending", "writing"):
            monkeypatch.setattr(served, name, told(getattr(served, name)))
    return reached


@contextmanager
def held_until(kitchen: Kitchen, clock: str, set_clock: SetClock, at_the_lock: Event) -> Iterator[None]:
    """Hold the kitchen while what runs inside comes to its lock; then let the clock go on, write a note, and let go."""
    with kitchen.database.writing() as session:
        ledger.hold(session, "S1")
        at_the_lock.clear()
        yield
        assert at_the_lock.wait(_PATIENCE_S)
        set_clock(clock)
        ledger.append(session, "S1", [cast.draft("note", at="11:00")], by=COOK, at=cast.moment(clock))


def recorded(kitchen: Kitchen) -> list[str]:
    return [json.loads(line)["recorded_at"][11:19] for line in kitchen.lines()]


def test_a_post_that_waited_is_recorded_after_what_it_waited_for(
    kitchen: Kitchen, app: Flask, set_clock: SetClock, at_the_lock: Event
) -> None:
    api = Api(app.test_client())
    with ThreadPoolExecutor(1) as other:
        with held_until(kitchen, "12:00:10", set_clock, at_the_lock):
            posted: Future[object] = other.submit(api.keep, cast.draft("note", at="11:30"))
        posted.result(_PATIENCE_S)
    assert recorded(kitchen) == ["17:00:10", "17:00:10"]
    assert kitchen.verify() is None


def test_a_form_that_waited_is_recorded_after_what_it_waited_for(
    kitchen: Kitchen, app: Flask, set_clock: SetClock, at_the_lock: Event
) -> None:
    page = Browser(app.test_client()).sign_in("cook").get("/write/note")
    with ThreadPoolExecutor(1) as other:
        with held_until(kitchen, "12:00:10", set_clock, at_the_lock):
            sent = other.submit(lambda: page.send(text="Quiet morning."))
        assert sent.result(_PATIENCE_S).status == 200
    assert recorded(kitchen) == ["17:00:10", "17:00:10"]


WITHOUT_A_SITE = {
    "api/access.py": "how often a token was used or guessed",
    "cli/copies.py": "a database that nobody else has yet",
    "cli/records.py": "making anew what is kept beside the ledger",
    "cli/setting_up.py": "a new site; an upgrade holds every site itself",
    "web/review/at_the_door.py": "that a link was opened, and how often one was guessed",
    "web/review/bird_cost.py": "a figure of the kitchen's own that is in no entry",
    "web/review/check_log.py": "how often a log was checked",
    "web/parts/standings.py": "kept figures",
    "web/review/trend_days.py": "kept figures",
    "web/setup/begin.py": "the link that opens the set-up, used once",
    "web/setup/first_day.py": "what was skipped of a list, which is in no entry",
    "web/setup/phrases.py": "phrases, which are in no entry",
    "web/setup/mail.py": "who gets mail, which is in no entry",
    "web/setup/reassessing.py": "that the plan's document is asked for",
    "web/signin/access_changes.py": "up to when somebody was told what others changed",
    "web/signin/checking.py": "how often somebody guessed",
    "web/signin/password_again.py": "when the password was typed last",
    "web/signin/sign_in.py": "how often somebody guessed",
    "web/signin/sign_ins.py": "sign-ins",
}
"""Who opens a writing transaction without a site's lock, and for what that is no entry."""


def test_whoever_writes_entries_holds_the_site_before_the_time_is_taken() -> None:
    found = {
        str(path.relative_to(_FOLDER))
        for package in ("web", "api", "cli")
        for path in (_FOLDER / package).rglob("*.py")
        if re.search(r"\.(writing|appending)\(", path.read_text("utf-8"))
    }
    assert found == set(WITHOUT_A_SITE)
