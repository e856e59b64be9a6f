"""A kitchen in a transaction of its own."""

from collections.abc import Iterator

import pytest
from sqlalchemy.orm import Session

from app import models
from app.db import Database
from tests.support import cast


@pytest.fixture
def session(database: Database) -> Iterator[Session]:
    """A writing transaction."""
    with database.writing() as session:
        yield session


@pytest.fixture
def site(session: Session) -> models.Site:
    """Kitchen S1 with its cast."""
    return cast.make_site(session)
