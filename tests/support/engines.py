"""Engines of the tests' own databases: one a worker and database, so that each statement is compiled once a worker."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine

from app.db import Database, opening, transactions

KEPT: set[str] = set()
"""The URLs whose engine is made once: what stands in such a database changes from test to test."""

_make_engine = opening.make_engine


def keep(patch: pytest.MonkeyPatch) -> None:
    """Let a database of a URL in `KEPT` take the engine made for it before."""
    made: dict[str, Engine] = {}

    def make_engine(url: str) -> Engine:
        if url not in KEPT:
            return _make_engine(url)
        if url not in made:
            made[url] = _make_engine(url)
        return made[url]

    patch.setattr(transactions, "make_engine", make_engine)


def opened_copy(template: Path, file: Path) -> Iterator[Database]:
    """Give the database of a file that is a fresh copy of another.

    A server that a test has stopped may have answered one more request since: its connection is to the old file.
    """
    database = Database(f"sqlite:///{file}")
    database.engine.dispose()
    for beside in ("", "-wal", "-shm"):
        file.with_name(file.name + beside).unlink(missing_ok=True)
    shutil.copyfile(template, file)
    yield database
    database.engine.dispose()
