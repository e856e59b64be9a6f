"""While nothing can be written, whoever only reads is not stopped: every page that shows something is there."""

import shutil
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path

import pytest
from flask import Flask

from app.db import Database
from app.server import plan_counting
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import evening, keep, low_reading, ordinary_day
from tests.support.plan_pages import change
from tests.support.reading_pdf import pages
from tests.support.routes import path_of, things, walk
from tests.support.small_disk import SmallDisk, mounted

ReadOnly = Callable[[], AbstractContextManager[None]]

_WRITES_DOWN_WHO_LOOKED = ("at_the_door.link_days", "at_the_door.link_plan", "at_the_door.link_probes")
_WRITES_DOWN_WHO_LOOKED += ("at_the_door.link_log",)
"""A link for an inspector opens only where it can be kept that it was used."""
_ANSWERS_503 = ("healthz",)


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[SmallDisk]:
    """A disk of 8 megabytes."""
    with mounted(tmp_path / "disk", megabytes=8) as small:
        yield small


@pytest.fixture
def database(disk: SmallDisk, two_kitchens_template: Path) -> Iterator[Database]:
    """Two kitchens on that disk."""
    shutil.copyfile(two_kitchens_template, disk.folder / "ledger.db")
    database = Database(f"sqlite:///{disk.folder / 'ledger.db'}")
    yield database
    database.engine.dispose()


@pytest.fixture
def read_only(app: Flask, database: Database, disk: SmallDisk) -> ReadOnly:
    """Make that disk read-only for a while: what is open on it would still be written to."""

    @contextmanager
    def made() -> Iterator[None]:
        engines = (database.engine, app.extensions["database"].engine)
        for engine in engines:
            engine.dispose()
        with disk.read_only():
            try:
                yield
            finally:
                for engine in engines:
                    engine.dispose()

    return made


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in while all was well."""
    return browser.sign_in("pat")


def test_every_page_that_shows_something_is_there(
    app: Flask, database: Database, pat: Browser, read_only: ReadOnly
) -> None:
    ids = things(database)
    change(pat, "hot_holding", "140F/60C")
    shown = [rule for (method, _), rule in walk(app) if method == "GET"]
    shown = [rule for rule in shown if rule.endpoint not in _WRITES_DOWN_WHO_LOOKED + _ANSWERS_503]
    with read_only():
        statuses = {rule.endpoint: pat.client.get(path_of(app, rule, ids)).status_code for rule in shown}
    assert [endpoint for endpoint, status in statuses.items() if status >= 500] == []
    assert sum(status == 200 for status in statuses.values()) > 90


def test_the_effect_of_a_change_is_counted_to_its_end(
    database: Database, pat: Browser, read_only: ReadOnly, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A day a request: how far it is stays in the memory of the process."""
    keep(database, *low_reading()[:-1])
    change(pat, "hot_holding", "140F/60C")
    monkeypatch.setattr(plan_counting, "_STEP_S", 0)
    with read_only():
        assert "1 of 28 days so far" in pat.get("/setup/plan/effect").words
        for _ in range(26):
            pat.client.get("/setup/plan/effect")
        assert "28 of 28 days counted." in pat.get("/setup/plan/effect").words


def test_a_count_that_cannot_be_kept_is_of_its_own_change(
    database: Database, pat: Browser, read_only: ReadOnly
) -> None:
    keep(database, *low_reading()[:-1])
    change(pat, "hot_holding", "120F/48C", variance="V-9")
    with read_only():
        assert "Hot-holding temperature 1 gone" in pat.get("/setup/plan/effect").words
    change(pat, "hot_holding", "135F/57C")
    with read_only():
        assert "In these days no finding would be different." in pat.get("/setup/plan/effect").words


def test_figures_of_past_days_are_shown_though_they_cannot_be_kept(
    database: Database, pat: Browser, read_only: ReadOnly, set_clock: Callable[[object], None]
) -> None:
    keep(database, *low_reading())
    set_clock(cast.moment("09:00", day=cast.DAY.replace(day=16)))
    pat.sign_in("pat")
    with read_only():
        for path in ("/days", "/calendar", "/trends", "/weeks"):
            assert pat.get(path).status == 200


def test_the_log_of_a_day_that_was_just_signed_is_printed_though_it_cannot_be_kept(
    database: Database, pat: Browser, read_only: ReadOnly, set_clock: Callable[[object], None]
) -> None:
    day = f"/day/{cast.DAY}"
    keep(database, *ordinary_day(), *evening(), at="20:02")
    set_clock("21:00")
    assert "The day is signed." in pat.sign_in("pat").get(day).send("/sign", password=cast.PASSWORD).words
    with read_only():
        answer = pat.client.get(f"{day}/log.pdf")
    assert answer.status_code == 200
    assert "signed by Pat Porter" in pages(answer.data)[0]
