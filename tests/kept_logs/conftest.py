"""Signed logs of kitchen S1, at the evening of the example day."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from app import create_app
from app.db import Database
from tests.support import cast
from tests.support.clock import stopped
from tests.support.kept_days import KeptDays


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


@pytest.fixture(scope="module")
def three(two_kitchens_template: Path, tmp_path_factory: pytest.TempPathFactory) -> list[bytes]:
    """The kept logs of three days that follow each other: made once, for nothing here changes the ledger."""
    path = tmp_path_factory.mktemp("three") / "ledger.sqlite3"
    path.write_bytes(two_kitchens_template.read_bytes())
    with stopped(cast.moment("19:00")) as clock:
        app = create_app({"DATABASE_URL": f"sqlite:///{path}", "SECRET_KEY": "x", "SIGNING_PASSPHRASE": "x"})
        with app.app_context():
            found = list(_kept(app, clock.move_to))
        database: Database = app.extensions["database"]
        database.engine.dispose()
    return found


def _kept(app: Flask, move_to: Callable[[Any], None]) -> Iterator[bytes]:
    days = KeptDays(app)
    for day in (cast.DAY + timedelta(days=number) for number in range(3)):
        move_to(cast.moment("19:00", day=day))
        days.write(day)
        move_to(cast.moment("20:00", day=day))
        yield days.keep(days.sign(day), at=cast.moment("20:00", day=day))
