"""What the tests of the ledger share: a kitchen with its ledger on a real database."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.db import Database
from tests.support import cast
from tests.support.ledger_kitchen import Kitchen


@pytest.fixture
def kitchen(database: Database) -> Kitchen:
    """Kitchen S1 with an empty ledger, on each kind of database."""
    with database.writing() as session:
        cast.make_site(session)
    return Kitchen(database)


@pytest.fixture
def sqlite_kitchen(sqlite_database: Database) -> Kitchen:
    """Kitchen S1 with an empty ledger, for what does not depend on the database."""
    with sqlite_database.writing() as session:
        cast.make_site(session)
    return Kitchen(sqlite_database)


@pytest.fixture(scope="module")
def any_kitchen(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Kitchen]:
    """A kitchen that the examples of a module share: for what must hold whatever the ledger has in it."""
    path = tmp_path_factory.mktemp("any") / "ledger.sqlite3"
    shutil.copyfile(sqlite_template, path)
    database = Database(f"sqlite:///{path}")
    with database.writing() as session:
        cast.make_site(session)
    yield Kitchen(database)
    database.engine.dispose()
