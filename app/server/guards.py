"""The guards of the entries: the triggers that stand in the database, held to those that the migrations make."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import text
from sqlalchemy.orm import Session

from app import schema

_TRIGGER = re.compile(r"\s*CREATE TRIGGER (\w+)")
_FUNCTION = re.compile(r"\s*CREATE FUNCTION (\w+)")
_CALLED = re.compile(r"EXECUTE FUNCTION (\w+)")
_SETTING = re.compile(r"SET (\w+) = (\w+)")


@dataclass(frozen=True, slots=True)
class Guard:
    """A trigger, with what it calls where that is a function of its own."""

    trigger: tuple[str, ...]
    """Its words. PostgreSQL writes them in an order of its own, so they are sorted there."""
    function: tuple[object, ...] = ()
    """Its language, its source, and the settings that it runs with."""
    is_on: bool = True


def faults(session: Session) -> list[tuple[str, str]]:
    """Give the name of each guard that does not stand as it was made, and why: gone, off, changed or unknown."""
    is_sqlite = session.get_bind().dialect.name == "sqlite"
    made = _made_on_sqlite() if is_sqlite else _made_on_postgresql()
    standing = dict(_standing_on_sqlite(session) if is_sqlite else _standing_on_postgresql(session))
    found = [(name, why) for name, guard in made.items() if (why := _fault(guard, standing.get(name)))]
    return found + [(name, "unknown") for name in standing if name not in made]


def _fault(made: Guard, standing: Guard | None) -> str | None:
    if standing is None:
        return "gone"
    if not standing.is_on:
        return "off"
    return None if standing == made else "changed"


def put_back(session: Session) -> bool:
    """Make all guards anew where one does not stand as it was made; say whether that was so."""
    if all(why == "unknown" for _name, why in faults(session)):
        return False
    connection, dialect = session.connection(), session.get_bind().dialect.name
    for statement in schema.guards(dialect):
        if trigger := _TRIGGER.match(statement):
            of_table = "" if dialect == "sqlite" else " ON entries"
            connection.exec_driver_sql(f"DROP TRIGGER IF EXISTS {trigger[1]}{of_table}")
        connection.exec_driver_sql(statement.replace("CREATE FUNCTION", "CREATE OR REPLACE FUNCTION"))
    return True


def _made_on_sqlite() -> dict[str, Guard]:
    statements = schema.guards("sqlite")
    return {name[1]: Guard(tuple(one.split())) for one in statements if (name := _TRIGGER.match(one))}


def _standing_on_sqlite(session: Session) -> Iterator[tuple[str, Guard]]:
    query = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'entries' ORDER BY name"
    for name, statement in session.execute(text(query)):
        yield name, Guard(tuple(statement.split()))


def _made_on_postgresql() -> dict[str, Guard]:
    statements = schema.guards("postgresql")
    functions = {name[1]: _function(one) for one in statements if (name := _FUNCTION.match(one))}
    return {
        name[1]: Guard(tuple(sorted(one.split())), functions[_CALLED.findall(one)[0]])
        for one in statements
        if (name := _TRIGGER.match(one))
    }


def _function(statement: str) -> tuple[object, ...]:
    head, source, _end = statement.split("$$")
    return ("plpgsql", source, sorted("=".join(one) for one in _SETTING.findall(head)))


# A trigger that is off, or fires only for what is replicated, guards nothing: O is on, A is on for everybody.
_POSTGRESQL = """
    SELECT tgname, pg_get_triggerdef(pg_trigger.oid, true), tgenabled IN ('O', 'A'), lanname, prosrc, proconfig
    FROM pg_trigger JOIN pg_proc ON pg_proc.oid = tgfoid JOIN pg_language ON pg_language.oid = prolang
    WHERE tgrelid = to_regclass('entries') AND NOT tgisinternal ORDER BY tgname
"""


def _standing_on_postgresql(session: Session) -> Iterator[tuple[str, Guard]]:
    for name, statement, is_on, language, source, settings in session.execute(text(_POSTGRESQL)):
        yield name, Guard(tuple(sorted(statement.split())), (language, source, sorted(settings or ())), is_on)
