"""What the tests of the words and of the printed log share: an app on one kind of database, since none is read."""

from collections.abc import Iterator
from functools import cache

import pytest
from flask import Flask

from app import logs
from app.db import Database
from tests.support import printed_day


@pytest.fixture
def database(sqlite_database: Database) -> Database:
    """One kind of database is enough: the log is made from an assessment."""
    return sqlite_database


@pytest.fixture
def paper(app: Flask) -> Iterator[None]:
    """Where a log can be printed: inside the app, without a request."""
    with app.app_context():
        yield


@pytest.fixture
def day_pdf(paper: None) -> bytes:
    """The log of the full day, as PDF; it is the same each time, and so made once."""
    return _print_day()


@cache
def _print_day() -> bytes:
    return logs.write_log(printed_day.assessment(), head=printed_day.HEAD, records=printed_day.RECORDS)
