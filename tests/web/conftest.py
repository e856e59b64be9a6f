"""Two kitchens behind the pages, at noon of the example day."""

from collections.abc import Callable, Iterator
from datetime import datetime

import pytest
from flask import Flask

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, pulled
from tests.support.kept_days import KeptDays
from tests.support.mail_server import MailServer, mail_server


@pytest.fixture
def database(two_kitchens: Database) -> Database:
    """SQLite is enough here: the ledger's and the register's own tests run on both."""
    return two_kitchens


@pytest.fixture
def browser(app: Flask, set_clock: Callable[[datetime | str], None]) -> Browser:
    """A browser in which nobody is signed in, at noon."""
    set_clock("12:00")
    return Browser(app.test_client())


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
def log(app: Flask, browser: Browser, set_clock: Callable[[datetime | str], None]) -> bytes:
    """The kept log of the example day."""
    set_clock("19:00")
    with app.app_context():
        days = KeptDays(app)
        days.write(cast.DAY)
        set_clock("20:00")
        return days.keep(days.sign(cast.DAY), at=cast.moment("20:00"))
