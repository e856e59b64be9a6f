"""What all tests share: the run itself, and databases made by the migrations once and copied for each test.

Each worker has a database server, templates and a browser of its own, made when its first test asks for them: no two
workers share a name, a port or a file.
"""

import os
import shutil
import signal
import sys
from collections.abc import Callable, Iterator
from datetime import datetime
from itertools import count
from pathlib import Path

import psycopg
import pytest
from flask import Flask
from hypothesis import HealthCheck, settings

from app import create_app, schema
from app.db import Database
from app.register import passwords
from app.server import garbage
from tests.support import cast, certificates, hashing, memory, postgres, statements, templates, workers
from tests.support.clock import stopped

# The same examples for the same test each time: a run is green or red by what the code does, not by what was drawn.
# New ones are looked for with --hypothesis-profile=long; what breaks a test there is kept beside it as an @example.
# Examples may take as long as a busy machine needs.
# 40 of each: the whole suite has to end within twenty minutes on two cores; --hypothesis-profile=long draws 5,000.
settings.register_profile(
    "kitchen", derandomize=True, deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile(
    "long", settings.get_profile("kitchen"), derandomize=False, database=None, max_examples=5000, print_blob=True
)
settings.load_profile("kitchen")

# pytest makes its temporary folders there: every transaction waits for the disk otherwise, a third of the whole run.
if in_memory := memory.place():
    os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", in_memory)

# Compiled once, and kept: not anew by each worker and by each of some hundred programs that tests start.
if os.environ.pop("PYTHONDONTWRITEBYTECODE", None):
    sys.dont_write_bytecode = False

# As a serving process: to search all that is loaded and collected, again and again, took a quarter of the whole run.
garbage.collect_less_often()

# Whoever ends the run from outside, e.g. with timeout, ends the database server too, as with Ctrl-C.
signal.signal(signal.SIGTERM, signal.default_int_handler)

# Its part in C holds datetime.date to its real size as it is loaded: not to that of a stopped clock.
assert psycopg.pq
certificates.know_the_real_clock()

statements.share()

_numbers = count(1)
_SECRETS = dict.fromkeys(("SECRET_KEY", "SIGNING_PASSPHRASE"), "only for tests")


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """Run a worker a core."""
    return workers.count_cores()


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what takes long, whatever the order of chance: else a worker may wait for the other in the end."""
    items.sort(key=lambda item: item.get_closest_marker("long") is None)


def pytest_collection_finish(session: pytest.Session) -> None:
    """Leave alone what is kept to the end of the run: the modules of the tests, and the tests themselves."""
    garbage.collect_less_often()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, exitstatus: int, config: pytest.Config) -> None:
    """Say after a failure how to have the same order again."""
    seed = config.getoption("randomly_seed", None)
    if exitstatus and isinstance(seed, int):
        terminalreporter.section("order of the tests")
        terminalreporter.line(f"The same order again: make test SEED={seed}")


@pytest.fixture(scope="session", autouse=True)
def cheap_hashes() -> Iterator[None]:
    """Hash passwords cheaply: a test signs in and out in no time."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(passwords, "hasher", hashing.CHEAP)
        patch.setattr(passwords, "_NOBODY", hashing.CHEAP_NOBODY)
        yield


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
def two_kitchens(two_kitchens_template: Path, tmp_path: Path) -> Iterator[Database]:
    """Kitchens S1 and S2 of the cast, just opened, on a SQLite file."""
    path = tmp_path / "kitchens.sqlite3"
    shutil.copyfile(two_kitchens_template, path)
    yield from _opened(f"sqlite:///{path}")


@pytest.fixture
def postgresql_database(postgresql_template: str) -> Iterator[Database]:
    """A fresh migrated database on a real PostgreSQL server."""
    name = f"test_{next(_numbers)}"
    postgres.administer(postgresql_template, f"CREATE DATABASE {name} TEMPLATE template_ledger STRATEGY file_copy")
    yield from _opened(postgresql_template.format(name))
    postgres.administer(postgresql_template, f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The migrated SQLite file that the others are copies of."""
    path = tmp_path_factory.mktemp("template") / "ledger.sqlite3"
    schema.upgrade(f"sqlite:///{path}")
    return path


@pytest.fixture(scope="session")
def two_kitchens_template(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The SQLite file with two kitchens that others are copies of: to make them takes forty times as long."""
    path = tmp_path_factory.mktemp("template") / "kitchens.sqlite3"
    shutil.copyfile(sqlite_template, path)
    database = Database(f"sqlite:///{path}")
    with database.writing() as session:
        cast.make_site(session)
        cast.make_other_site(session)
    database.engine.dispose()
    return path


@pytest.fixture(scope="session")
def postgresql_template(postgresql_server: str) -> str:
    """The server's URL, once its `template_ledger` is migrated; `.format(name)` names a database."""
    postgres.administer(postgresql_server, "CREATE DATABASE template_ledger")
    schema.upgrade(postgresql_server.format("template_ledger"))
    return postgresql_server


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """The URL of a running server; `.format(name)` names a database."""
    with postgres.running_server() as url:
        yield url


@pytest.fixture(params=["sqlite", "postgresql"])
def empty_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The URL of a database without any table; the test runs once on each kind."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'empty.sqlite3'}"
        return
    server: str = request.getfixturevalue("postgresql_server")
    name = f"empty_{next(_numbers)}"
    postgres.administer(server, f"CREATE DATABASE {name}")
    yield server.format(name)
    postgres.administer(server, f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def make_app() -> Iterator[Callable[..., Flask]]:
    """Make the app on the database of a URL, with more settings if wanted; its connections end with the test."""
    made: list[Flask] = []

    def make(url: str, **settings: object) -> Flask:
        app = create_app(
            {"DATABASE_URL": url, "SECRET_KEY": "only for tests", "SIGNING_PASSPHRASE": "only for tests", **settings}
        )
        app.jinja_env.bytecode_cache = templates.compiled
        made.append(app)
        return app

    yield make
    for app in made:
        app.extensions["database"].engine.dispose()


@pytest.fixture(scope="session")
def worker_app() -> Flask:
    """One app a worker, on no database: to compile its routes takes longer than most of what is asked of it."""
    app = create_app({"DATABASE_URL": "sqlite://", "TESTING": True, **_SECRETS})
    app.jinja_env.bytecode_cache = templates.compiled
    return app


@pytest.fixture
def app_on(worker_app: Flask) -> Iterator[Callable[[str], Flask]]:
    """Give the worker's app on the database of a URL; its settings are a test's own."""
    config, opened = dict(worker_app.config), worker_app.extensions["database"]

    def open_on(url: str) -> Flask:
        worker_app.config["DATABASE_URL"] = url
        worker_app.extensions["database"] = Database(url)
        worker_app.extensions.pop("shared", None)  # what was made for the test before, with what that had patched
        return worker_app

    yield open_on
    if worker_app.extensions["database"] is not opened:
        worker_app.extensions["database"].engine.dispose()
    worker_app.extensions["database"] = opened
    worker_app.config.clear()
    worker_app.config.update(config)


@pytest.fixture
def app(app_on: Callable[[str], Flask], database: Database) -> Flask:
    """The app on `database`. Who adds routes makes one with `make_app`."""
    return app_on(database.url)


@pytest.fixture
def set_clock() -> Iterator[Callable[[datetime | str], None]]:
    """Set the clock, as often as wanted, to an instant or to a time of the example day: `set_clock("10:31")`."""
    with stopped(cast.moment("12:00")) as clock:
        yield lambda at: clock.move_to(cast.moment(at) if isinstance(at, str) else at)


def _opened(url: str) -> Iterator[Database]:
    database = Database(url)
    yield database
    database.engine.dispose()
