"""Statements that are compiled once and run by the driver itself."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, Connection, Dialect, Select, bindparam
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

_AT_A_TIME = 2048
"""Values in one statement: below the number of parameters that either database takes."""

Source = Session | Connection
"""What reads: in a series of statements a connection is quicker."""

Result = list[tuple[Any, ...]]
_Value = TypeVar("_Value")


def among(column: ColumnElement[Any]) -> ColumnElement[bool]:
    """Give the condition that a column holds one of the values with which the statement is run."""
    return column.in_(bindparam("values", expanding=True))


def chunks(values: Iterable[_Value]) -> Iterator[list[_Value]]:
    """Give values in portions that fit into a statement."""
    remaining = iter(values)
    while portion := list(islice(remaining, _AT_A_TIME)):
        yield portion


class Prepared:
    """A SELECT with named parameters, and perhaps the condition `among`, compiled once and run by the driver itself.

    Building a statement and running it through SQLAlchemy costs twenty times what the database needs for it, and an
    entry that comes alone runs a dozen. Values go in and come out as the database keeps them: moments in milliseconds.
    """

    def __init__(self, statement: Select[*tuple[Any, ...]]) -> None:
        self._statement = statement
        self._texts: dict[tuple[str, int], _Text] = {}

    def run(self, source: Source, **parameters: Any) -> Result:
        """Run it and give its rows."""
        connection = connection_of(source)
        return self._text(connection.dialect, 0).run(connection, parameters)

    def run_among(self, source: Source, values: Iterable[Any], **parameters: Any) -> Result:
        """Run it for these values, in as many portions as it takes."""
        connection = connection_of(source)
        found: Result = []
        for portion in chunks(values):
            # Rounded up to a power of two by repeating the last one, so that there are few texts.
            count = 1 << (len(portion) - 1).bit_length()
            padded = portion + portion[-1:] * (count - len(portion))
            text = self._text(connection.dialect, count)
            found += text.run(connection, parameters | dict(zip(text.names, padded, strict=True)))
        return found

    def _text(self, dialect: Dialect, values: int) -> "_Text":
        key = (dialect.name, values)
        text = self._texts.get(key)
        if text is None:
            text = self._texts[key] = _Text(self._statement, dialect, values)
        return text


class _Text:
    """The text of a statement for one database and one number of values."""

    def __init__(self, statement: Select[*tuple[Any, ...]], dialect: Dialect, values: int) -> None:
        compiled = statement.compile(dialect=dialect)
        given: dict[str, Any] = {name: None for name, bound in compiled.binds.items() if bound.required}
        if values:
            given["values"] = [None] * values
        self.names = [f"values_{number}" for number in range(1, values + 1)]
        expanded = compiled.construct_expanded_state(given)
        self._sql, self._order, self._constants = expanded.statement, expanded.positiontup, expanded.parameters

    def run(self, connection: Connection, parameters: Mapping[str, Any]) -> Result:
        named = {**self._constants, **parameters}
        values = named if self._order is None else [named[name] for name in self._order]
        return run_by_driver(connection, self._sql, values)


def connection_of(source: Source) -> Connection:
    """Give the connection on which a session's transaction runs, once what the session holds is written to it."""
    if isinstance(source, Connection):
        return source
    source.flush()
    return source.connection()


def run_by_driver(connection: Connection, sql: str, values: Mapping[str, Any] | Sequence[Any]) -> Result:
    """Run a statement as it is and give its rows, if it gives any."""
    driver: Any = connection.connection.dbapi_connection
    try:
        cursor = driver.execute(sql, values)
        found: Result = cursor.fetchall() if cursor.description else []
    except connection.dialect.loaded_dbapi.Error as error:
        raise _as_ours(connection, sql, error) from error
    return found


def insert_all(connection: Connection, sql: str, rows: Sequence[Sequence[Any]]) -> None:
    """Run an INSERT once for each row of values."""
    cursor = connection.connection.cursor()
    try:
        cursor.executemany(sql, rows)
    except connection.dialect.loaded_dbapi.Error as error:
        raise _as_ours(connection, sql, error) from error
    finally:
        cursor.close()


def _as_ours(connection: Connection, sql: str, error: Exception) -> BaseException:
    """Give what the driver raised as SQLAlchemy would have raised it, so that callers need to know only one kind."""
    base = connection.dialect.loaded_dbapi.Error
    return DBAPIError.instance(sql, None, error, base, hide_parameters=True, dialect=connection.dialect)
