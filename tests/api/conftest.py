"""Two kitchens behind the API, at noon of the example day."""

from collections.abc import Callable
from datetime import datetime

import pytest
from flask import Flask

from app.db import Database
from tests.support.api import Api


@pytest.fixture
def database(two_kitchens: Database) -> Database:
    """SQLite is enough here: the ledger's and the register's own tests run on both."""
    return two_kitchens


@pytest.fixture
def api(app: Flask, set_clock: Callable[[datetime | str], None]) -> Api:
    """The API, at noon."""
    set_clock("12:00")
    return Api(app.test_client())
