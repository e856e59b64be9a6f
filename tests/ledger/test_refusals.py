"""The database itself refuses to change, remove, overwrite or leave out an entry."""

import sqlite3
from typing import Any

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import DBAPIError

from tests.support import cast
from tests.support.cast import nth
from tests.support.ledger_kitchen import Kitchen

COLUMNS = "site_id, seq, id, kind, observed_at, recorded_at, person, root_seq, previous_hash, hash, body"


@pytest.fixture
def engine(kitchen: Kitchen) -> Engine:
    """The engine of a kitchen whose ledger has three entries."""
    kitchen.accept(*(cast.draft("note", at="12:00", text=text) for text in ("one", "two", "three")))
    return kitchen.database.engine


def run(engine: Engine, statement: str) -> None:
    with engine.begin() as connection:
        connection.exec_driver_sql(statement)


def entries(engine: Engine) -> list[Any]:
    with engine.connect() as connection:
        return list(connection.exec_driver_sql(f"SELECT {COLUMNS} FROM entries ORDER BY seq").all())


def copy(seq: int, own_id: str, previous: str, verb: str = "INSERT", end: str = "") -> str:
    """Give the statement that inserts a copy of entry 3 with another seq, id and previous hash."""
    return (
        f"{verb} INTO entries ({COLUMNS}) SELECT site_id, {seq}, {own_id}, kind, observed_at, recorded_at, person, "
        f"{seq}, {previous}, 'another hash', body FROM entries WHERE seq = {nth(3)} {end}"
    )


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entries SET person = 'nobody'",
        f"UPDATE entries SET person = person WHERE seq = {nth(3)}",
        f"DELETE FROM entries WHERE seq = {nth(3)}",
        "DELETE FROM entries",
        copy(nth(5), "'an-id'", "hash"),
        copy(nth(4), "'an-id'", "previous_hash"),
        copy(nth(4), "'an-id'", "'no hash at all'"),
        copy(0, "'an-id'", "hash"),
        copy(-1, "'an-id'", "hash"),
        copy(nth(3), "'an-id'", "previous_hash"),
        copy(nth(3), "'an-id'", "previous_hash", end="ON CONFLICT (site_id, seq) DO UPDATE SET person = 'nobody'"),
        copy(nth(4), "id", "hash", end="ON CONFLICT (site_id, id) DO UPDATE SET person = 'nobody'"),
        copy(nth(4), "id", "hash"),
    ],
)
def test_it_is_refused_and_nothing_is_changed(engine: Engine, statement: str) -> None:
    before = entries(engine)
    with pytest.raises(DBAPIError):
        run(engine, statement)
    assert entries(engine) == before


def test_what_follows_the_last_entry_is_taken(engine: Engine) -> None:
    run(engine, copy(nth(4), "'an-id'", "hash"))
    assert len(entries(engine)) == nth(4)


@pytest.mark.parametrize(
    "statement",
    [
        copy(nth(3), "'an-id'", "previous_hash", verb="INSERT OR REPLACE"),
        copy(nth(2), "'an-id'", "previous_hash", verb="REPLACE"),
        copy(nth(4), "id", "hash", verb="INSERT OR REPLACE"),
        copy(nth(4), "'an-id'", "hash", verb="INSERT OR REPLACE")
        .replace("(site_id,", "(rowid, site_id,")
        .replace("SELECT site_id,", "SELECT 1, site_id,"),
        f"UPDATE OR REPLACE entries SET seq = {nth(2)} WHERE seq = {nth(3)}",
        f"UPDATE OR REPLACE entries SET id = (SELECT id FROM entries WHERE seq = {nth(1)}) WHERE seq = {nth(3)}",
    ],
)
def test_sqlite_does_not_overwrite_even_for_a_stranger(sqlite_kitchen: Kitchen, statement: str) -> None:
    sqlite_kitchen.accept(*(cast.draft("note", at="12:00", text=text) for text in ("one", "two", "three")))
    before = entries(sqlite_kitchen.database.engine)
    # Somebody else's program: no recursive triggers, no foreign keys.
    stranger = sqlite3.connect(sqlite_kitchen.database.url.removeprefix("sqlite:///"))
    with pytest.raises(sqlite3.IntegrityError):
        stranger.execute(statement)
    stranger.rollback()
    stranger.close()
    assert entries(sqlite_kitchen.database.engine) == before


@pytest.mark.parametrize(
    "statement",
    ["TRUNCATE entries", "TRUNCATE sites CASCADE", "UPDATE entries SET person = 'x' WHERE false"],
)
def test_postgresql_does_not_empty_the_ledger(postgresql_database: Any, statement: str) -> None:
    with postgresql_database.writing() as session:
        cast.make_site(session)
    kitchen = Kitchen(postgresql_database)
    kitchen.accept(cast.draft("note", at="12:00"))
    with pytest.raises(DBAPIError):
        run(postgresql_database.engine, statement)
    assert len(kitchen.lines()) == 1


def test_the_triggers_go_and_come_with_the_migration(kitchen: Kitchen) -> None:
    from alembic import command

    from app import schema

    config = schema.config_for(kitchen.database.url)
    command.downgrade(config, "2026_11_25_tables")
    kitchen.accept(cast.draft("note", at="12:00"))
    run(kitchen.database.engine, "UPDATE entries SET person = 'nobody'")
    schema.upgrade(kitchen.database.url)
    with pytest.raises(DBAPIError):
        run(kitchen.database.engine, "UPDATE entries SET person = 'cook'")
