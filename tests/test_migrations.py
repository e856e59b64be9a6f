"""The migrations make the schema that the models describe, on both databases."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from alembic import command
from sqlalchemy import inspect, text
from sqlalchemy.exc import IntegrityError

from app import models, schema
from app.db import Database


def test_upgrade_of_an_empty_database_makes_every_table(empty_url: str) -> None:
    schema.upgrade(empty_url)
    assert set(models.Site.metadata.tables) < _tables(empty_url)


def test_upgrade_of_a_migrated_database_changes_nothing(database: Database) -> None:
    before = _tables(database.url)
    schema.upgrade(database.url)
    assert _tables(database.url) == before


def test_models_and_migrated_schema_do_not_differ(database: Database) -> None:
    command.check(schema.config_for(database.url))


def test_there_is_one_newest_migration(database: Database) -> None:
    command.current(schema.config_for(database.url), check_heads=True)


def test_people_stay_with_their_credentials_when_roles_leave_the_database(empty_url: str) -> None:
    command.upgrade(schema.config_for(empty_url), "2026_11_25_day_figures")
    with _opened(empty_url) as database:
        _execute(database, "INSERT INTO sites (id, code, name, timezone) VALUES (1, 'S1', 'Kitchen', 'UTC')")
        with pytest.raises(IntegrityError):
            _execute(database, _person(1, "auditor"))
        _execute(database, _person(2, "cook"), _CREDENTIAL)
        schema.upgrade(empty_url)
        _execute(database, _person(3, "auditor"))
        with database.reading() as session:
            assert [(one.id, one.role) for one in session.query(models.Person)] == [(2, "cook"), (3, "auditor")]
            assert session.query(models.Credential.person_id).all() == [(2,)]
        with pytest.raises(IntegrityError):
            _execute(database, "DELETE FROM people WHERE id = 2")


def test_roles_go_back_into_the_database(empty_url: str) -> None:
    schema.upgrade(empty_url)
    command.downgrade(schema.config_for(empty_url), "2026_11_25_day_figures")
    with _opened(empty_url) as database:
        _execute(database, "INSERT INTO sites (id, code, name, timezone) VALUES (1, 'S1', 'Kitchen', 'UTC')")
        with pytest.raises(IntegrityError):
            _execute(database, _person(1, "auditor"))


_CREDENTIAL = "INSERT INTO credentials (id, site_id, person_id, digest, added_at) VALUES (1, 1, 2, 'x', 0)"


_COLUMNS = "id, site_id, login, name, role, password_hash, credentials_at, added_at"


def _person(number: int, role: str) -> str:
    values = f"{number}, 1, 'login-{number}', 'Kim', '{role}', 'x', 0, 0"
    return f"INSERT INTO people ({_COLUMNS}) VALUES ({values})"


def _execute(database: Database, *statements: str) -> None:
    with database.writing() as session:
        for statement in statements:
            session.execute(text(statement))


@contextmanager
def _opened(url: str) -> Iterator[Database]:
    database = Database(url)
    yield database
    database.engine.dispose()


def _tables(url: str) -> set[str]:
    database = Database(url)
    names = set(inspect(database.engine).get_table_names())
    database.engine.dispose()
    return names
