"""The guards of the entries: whoever takes one away, switches it off or puts a dud in its place is found."""

import os
import sys
from collections.abc import Callable
from pathlib import Path
from subprocess import PIPE, Popen

import pytest
from alembic import command
from alembic.script import ScriptDirectory
from flask import Flask
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from app import schema
from app.db import Database, read_only
from app.server import guards
from tests.support import cast
from tests.support.terminal import Terminal

ROOT = Path(__file__).parent.parent
_SQLITE_DUD = "CREATE TRIGGER entries_refuse_update BEFORE UPDATE ON entries WHEN 0 BEGIN SELECT 1; END"
_DUD_FUNCTION = "CREATE FUNCTION dud() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RETURN NULL; END $$"
_DUD_CALL = "BEFORE UPDATE OR DELETE OR TRUNCATE ON entries FOR EACH STATEMENT EXECUTE FUNCTION"
_CHANGE = "UPDATE entries SET person = 'nobody'"


def done(database: Database, *statements: str) -> list[tuple[str, str]]:
    """Do it as the owner of a database, and give what is found of its guards."""
    with database.engine.begin() as connection:
        for statement in statements:
            connection.execute(text(statement))
    return found(database)


def found(database: Database) -> list[tuple[str, str]]:
    with database.reading() as session:
        return guards.faults(session)


def test_a_fresh_database_has_the_guards_that_the_migrations_make(database: Database) -> None:
    assert found(database) == []
    assert len(schema.guards(database.engine.dialect.name)) == 4


@pytest.mark.parametrize(
    ("statements", "expected"),
    [
        (["DROP TRIGGER entries_refuse_delete"], ("entries_refuse_delete", "gone")),
        (["DROP TRIGGER entries_follow_the_last"], ("entries_follow_the_last", "gone")),
        (["DROP TRIGGER entries_refuse_update", _SQLITE_DUD], ("entries_refuse_update", "changed")),
        (
            ["DROP TRIGGER entries_refuse_update", _SQLITE_DUD.replace("ON entries WHEN 0", "ON sites")],
            ("entries_refuse_update", "gone"),
        ),
        (["CREATE TRIGGER other AFTER INSERT ON entries BEGIN SELECT 1; END"], ("other", "unknown")),
    ],
)
def test_sqlite_without_a_guard(sqlite_database: Database, statements: list[str], expected: tuple[str, str]) -> None:
    assert done(sqlite_database, *statements) == [expected]


_CHANGE_GUARD, _GAP_GUARD = "entries_refuse_change", "entries_follow_the_last"
_DROPPED = f"DROP TRIGGER {_CHANGE_GUARD} ON entries"
_GUARD = f"CREATE TRIGGER {_CHANGE_GUARD} {_DUD_CALL} refuse_change_of_entries()"


@pytest.mark.parametrize(
    ("statements", "expected"),
    [
        ([_DROPPED], (_CHANGE_GUARD, "gone")),
        ([f"ALTER TABLE entries DISABLE TRIGGER {_GAP_GUARD}"], (_GAP_GUARD, "off")),
        ([f"ALTER TABLE entries ENABLE REPLICA TRIGGER {_GAP_GUARD}"], (_GAP_GUARD, "off")),
        ([_DROPPED, _DUD_FUNCTION, f"CREATE TRIGGER {_CHANGE_GUARD} {_DUD_CALL} dud()"], (_CHANGE_GUARD, "changed")),
        (
            [_DUD_FUNCTION.replace("FUNCTION dud", "OR REPLACE FUNCTION refuse_change_of_entries")],
            (_CHANGE_GUARD, "changed"),
        ),
        (
            [_DROPPED, _GUARD.replace(" OR DELETE", "")],
            (_CHANGE_GUARD, "changed"),
        ),
        (["ALTER FUNCTION refuse_gap_in_entries() SET search_path = other"], (_GAP_GUARD, "changed")),
        ([_DUD_FUNCTION, f"CREATE TRIGGER other {_DUD_CALL} dud()"], ("other", "unknown")),
    ],
)
def test_postgresql_without_a_guard(
    postgresql_database: Database, statements: list[str], expected: tuple[str, str]
) -> None:
    assert done(postgresql_database, *statements) == [expected]


_TAKEN_AWAY = {
    "sqlite": ["DROP TRIGGER entries_refuse_update", "DROP TRIGGER entries_refuse_delete"],
    "postgresql": ["ALTER TABLE entries DISABLE TRIGGER USER", _DROPPED],
}


def test_guards_that_were_taken_away_are_put_back(database: Database) -> None:
    with database.writing() as session:
        cast.make_site(session)
    done(database, *_TAKEN_AWAY[database.engine.dialect.name], _CHANGE)
    with database.writing() as session:
        assert guards.put_back(session)
        assert not guards.put_back(session)
    assert found(database) == []
    with pytest.raises(DBAPIError):
        done(database, _CHANGE)


_RECORD = {
    **dict.fromkeys(("site_id", "seq", "root_seq"), "1"),
    **dict.fromkeys(("observed_at", "recorded_at"), "0"),
    **dict.fromkeys(("id", "kind", "person", "previous_hash", "hash", "body"), "'x'"),
}


def test_no_migration_of_a_database_with_records_loses_a_guard(empty_url: str) -> None:
    config = schema.config_for(empty_url)
    guarded, *later = _revisions("2026_11_25_grows")
    command.upgrade(config, guarded)
    database = Database(empty_url)
    site = "INSERT INTO sites (id, code, name, timezone) VALUES (1, 'S1', 'Kitchen', 'UTC')"
    record = f"INSERT INTO entries ({', '.join(_RECORD)}) VALUES ({', '.join(_RECORD.values())})"
    assert done(database, site, record) == []
    for revision in later:
        command.upgrade(config, revision)
        assert found(database) == [], revision
    with pytest.raises(DBAPIError):
        done(database, _CHANGE)
    database.engine.dispose()


def _revisions(first: str) -> list[str]:
    scripts = ScriptDirectory.from_config(schema.config_for(""))
    return [one.revision for one in scripts.walk_revisions(first, "head")][::-1]


# ---- what the commands say of it -------------------------------------------------------------------------------------

_GONE = (
    "The guards of the entries are not as they were made: entries_refuse_delete (gone). "
    "The command rebuild puts them back."
)


@pytest.fixture
def unguarded(two_kitchens: Database, tmp_path: Path, app_on: Callable[[str], Flask]) -> Terminal:
    """A terminal at a database in which entries can be removed."""
    done(two_kitchens, "DROP TRIGGER entries_refuse_delete")
    return Terminal(app_on(two_kitchens.url), tmp_path)


def test_verify_names_a_guard_that_is_gone_and_rebuild_puts_it_back(unguarded: Terminal) -> None:
    assert unguarded.fail("verify") == _GONE
    assert unguarded.fail("verify", "S1") == _GONE
    assert "The guards of the entries are put back.\n" in unguarded.run("rebuild").stdout
    assert "unbroken" in unguarded.run("verify").stdout
    assert "guards" not in unguarded.run("rebuild").stdout


def test_a_backup_without_a_guard_is_written_and_says_so(unguarded: Terminal) -> None:
    file = unguarded.folder / "backup.db"
    assert unguarded.fail("backup", str(file)) == f"{file} is written and its chain is unbroken. {_GONE}"
    assert unguarded.fail("verify", "--file", str(file)) == _GONE


def test_a_file_that_is_only_read_is_looked_at_too(sqlite_database: Database, tmp_path: Path) -> None:
    done(sqlite_database, "DROP TRIGGER entries_refuse_delete")
    sqlite_database.engine.dispose()
    database = read_only(tmp_path / "ledger.sqlite3")
    assert found(database) == [("entries_refuse_delete", "gone")]
    database.engine.dispose()


def test_the_server_says_so_as_it_starts_and_is_well(unguarded: Terminal) -> None:
    assert unguarded.app.test_client().get("/healthz").status_code == 200
    flask = [sys.executable, "-m", "flask", "--app", "app", "jobs", "--forever"]
    environment = {**os.environ, "DATABASE_URL": unguarded.app.config["DATABASE_URL"]}
    with Popen(flask, cwd=ROOT, env=environment, stderr=PIPE, text=True) as jobs:
        assert jobs.stderr is not None
        assert jobs.stderr.readline() == f"{_GONE}\n"
        jobs.terminate()
