"""Signed logs of kitchen S1, at the evening of the example day."""

from collections.abc import Callable, Iterator
from datetime import datetime

import pytest
from flask import Flask

from app.db import Database


@pytest.fixture
def database(two_kitchens: Database) -> Database:
    """SQLite is enough where nothing depends on the database: the ledger's own tests run on both."""
    return two_kitchens


@pytest.fixture
def house(app: Flask, set_clock: Callable[[datetime | str], None]) -> Iterator[Flask]:
    """Inside the app, at seven in the evening."""
    set_clock("19:00")
    with app.app_context():
        yield app
