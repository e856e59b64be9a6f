"""The migrations make the schema that the models describe, on both databases."""

from alembic import command
from sqlalchemy import inspect

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


def _tables(url: str) -> set[str]:
    database = Database(url)
    names = set(inspect(database.engine).get_table_names())
    database.engine.dispose()
    return names
