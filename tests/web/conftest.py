"""Two kitchens behind the pages, at noon of the example day."""

import shutil
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from pathlib import Path

import pytest
from flask import Flask

from app import create_app
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.clock import stopped
from tests.support.drafts import keep, pulled
from tests.support.kept_days import KeptDays
from tests.support.mail_server import MailServer, mail_server
from tests.support.routes import things


@pytest.fixture
def database(request: pytest.FixtureRequest) -> Database:
    """Two kitchens; where a test asks for the log of the example day, those that keep it.

    SQLite is enough here: the ledger's and the register's own tests run on both.
    """
    chosen: Database = request.getfixturevalue("kept_kitchen" if "log" in request.fixturenames else "two_kitchens")
    return chosen


@pytest.fixture(scope="session")
def kept_day(two_kitchens_template: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, bytes]:
    """The SQLite file of the kitchens once the example day is signed and its log kept, and that log."""
    path = tmp_path_factory.mktemp("kept") / "kitchens.sqlite3"
    shutil.copyfile(two_kitchens_template, path)
    secrets = dict.fromkeys(("SECRET_KEY", "SIGNING_PASSPHRASE"), "only for tests")
    app = create_app({"DATABASE_URL": f"sqlite:///{path}", **secrets})
    with stopped(cast.moment("19:00")) as clock, app.app_context():
        days = KeptDays(app)
        days.write(cast.DAY)
        clock.move_to(cast.moment("20:00"))
        log = days.keep(days.sign(cast.DAY), at=cast.moment("20:00"))
    app.extensions["database"].engine.dispose()
    return path, log


@pytest.fixture
def kept_kitchen(kept_day: tuple[Path, bytes], tmp_path: Path) -> Iterator[Database]:
    """The kitchens at eight in the evening of the example day, whose log is kept."""
    database = Database(f"sqlite:///{shutil.copyfile(kept_day[0], tmp_path / 'kept.sqlite3')}")
    yield database
    database.engine.dispose()


@pytest.fixture
def browser(app: Flask, set_clock: Callable[[datetime | str], None]) -> Browser:
    """A browser in which nobody is signed in, at noon."""
    set_clock("12:00")
    return Browser(app.test_client())


@pytest.fixture
def no_csrf(app: Flask) -> None:
    """A post needs no token against forgery: for tests that are about who asks, and where an answer leads."""
    app.config["WTF_CSRF_ENABLED"] = False


@pytest.fixture
def ids(database: Database) -> Mapping[str, object]:
    """What the places of a route are filled with: things of kitchen S1 that no walk of the routes needs."""
    return things(database)


@pytest.fixture
def cook(browser: Browser) -> Browser:
    """The cook, signed in with a password."""
    return browser.sign_in("cook")


@pytest.fixture
def tablet(browser: Browser) -> Browser:
    """Tablet A with the cook at it."""
    return browser.be_at_tablet("cook")


@pytest.fixture
def alone(browser: Browser, database: Database) -> Browser:
    """Tablet A with nobody at it; a spit of load A-L1 was pulled into tray A-T1."""
    keep(database, *pulled())
    return browser.enrol()


@pytest.fixture
def server(app: Flask) -> Iterator[MailServer]:
    """A mail server that the app knows."""
    with mail_server() as running:
        app.config.update(MAIL_SERVER=running.url, MAIL_FROM="log@kitchen.example")
        yield running


@pytest.fixture
def log(browser: Browser, kept_day: tuple[Path, bytes], set_clock: Callable[[datetime | str], None]) -> bytes:
    """The kept log of the example day, as soon as it is kept."""
    set_clock("20:00")
    return kept_day[1]
