"""What all tests share: databases made by the migrations once, and copied for each test."""

import shutil
import signal
from collections.abc import Callable, Iterator
from datetime import datetime
from itertools import count
from pathlib import Path

import pytest
from flask import Flask
from hypothesis import settings
from sqlalchemy import create_engine, text

from app import create_app, schema
from app.db import Database
from tests.support import cast, postgres
from tests.support.clock import stopped

# Examples may take as long as a busy machine needs; in CI, Hypothesis itself makes them the same each time.
settings.register_profile("kitchen", parent=settings.default, deadline=None)
settings.register_profile(
    "long", parent=settings.get_profile("kitchen"), max_examples=5000
)  # --hypothesis-profile=long
settings.load_profile("kitchen")

# Whoever ends the run from outside, e.g. with timeout, ends the database server too, as with Ctrl-C.
signal.signal(signal.SIGTERM, signal.default_int_handler)

_numbers = count(1)


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request: pytest.FixtureRequest) -> Database:
    """A fresh migrated database; the test runs once on each kind.

    A folder whose tests need only one kind says so in its conftest.py by a `database` fixture of its own.
    """
    chosen: Database = request.getfixturevalue(f"{request.param}_database")
    return chosen


@pytest.fixture
def sqlite_database(sqlite_template: Path, tmp_path: Path) -> Iterator[Database]:
    """A fresh migrated SQLite file."""
    path = tmp_path / "ledger.sqlite3"
    shutil.copyfile(sqlite_template, path)
    yield from _opened(f"sqlite:///{path}")


@pytest.fixture
def postgresql_database(postgresql_template: str) -> Iterator[Database]:
    """A fresh migrated database on a real PostgreSQL server."""
    name = f"test_{next(_numbers)}"
    _administer(postgresql_template, f"CREATE DATABASE {name} TEMPLATE template_ledger STRATEGY file_copy")
    yield from _opened(postgresql_template.format(name))
    _administer(postgresql_template, f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The migrated SQLite file that the others are copies of."""
    path = tmp_path_factory.mktemp("template") / "ledger.sqlite3"
    schema.upgrade(f"sqlite:///{path}")
    return path


@pytest.fixture(scope="session")
def postgresql_template(postgresql_server: str) -> str:
    """The server's URL, once its `template_ledger` is migrated; `.format(name)` names a database."""
    _administer(postgresql_server, "CREATE DATABASE template_ledger")
    schema.upgrade(postgresql_server.format("template_ledger"))
    return postgresql_server


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """The URL of a running server; `.format(name)` names a database."""
    with postgres.running_server() as url:
        yield url


@pytest.fixture(params=["sqlite", "postgresql"])
def empty_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The URL of a database without any table; the test runs once on each kind."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'empty.sqlite3'}"
    server: str = request.getfixturevalue("postgresql_server")
    name = f"empty_{next(_numbers)}"
    _administer(server, f"CREATE DATABASE {name}")
    return server.format(name)


@pytest.fixture
def make_app() -> Iterator[Callable[..., Flask]]:
    """Make the app on the database of a URL, with more settings if wanted; its connections end with the test."""
    made: list[Flask] = []

    def make(url: str, **settings: object) -> Flask:
        made.append(create_app({"DATABASE_URL": url, "SECRET_KEY": "only for tests", **settings}))
        return made[-1]

    yield make
    for app in made:
        app.extensions["database"].engine.dispose()


@pytest.fixture
def app(database: Database, make_app: Callable[..., Flask]) -> Flask:
    """The app on `database`."""
    return make_app(database.url, TESTING=True)


@pytest.fixture
def set_clock() -> Iterator[Callable[[datetime | str], None]]:
    """Set the clock, as often as wanted, to an instant or to a time of the example day: `set_clock("10:31")`."""
    with stopped(cast.moment("12:00")) as clock:
        yield lambda at: clock.move_to(cast.moment(at) if isinstance(at, str) else at)


def _opened(url: str) -> Iterator[Database]:
    database = Database(url)
    yield database
    database.engine.dispose()


def _administer(server: str, statement: str) -> None:
    engine = create_engine(server.format("postgres"), isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text(statement))
    engine.dispose()
