"""The database: base class, column types and the two kinds of transaction."""

import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, datetime, timedelta
from itertools import islice
from pathlib import Path
from threading import Event
from typing import Any, TypeVar
from urllib.parse import quote

from sqlalchemy import (
    BigInteger,
    ColumnElement,
    Connection,
    Dialect,
    Engine,
    MetaData,
    Select,
    bindparam,
    create_engine,
    event,
)
from sqlalchemy.exc import DBAPIError, DisconnectionError, OperationalError
from sqlalchemy.orm import DeclarativeBase, Session
from sqlalchemy.types import TypeDecorator

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MILLISECOND = timedelta(milliseconds=1)


def milliseconds(at: datetime) -> int:
    """Give an instant as the database keeps it: whole milliseconds since 1970."""
    return (at - EPOCH) // _MILLISECOND


def moment(stored: int) -> datetime:
    """Give the instant that the database keeps as milliseconds since 1970."""
    return EPOCH + timedelta(milliseconds=stored)


class Instant(TypeDecorator[datetime]):
    """A moment in UTC, kept as whole milliseconds since 1970: exact, sortable, the same on every database."""

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> int | None:
        return None if value is None else milliseconds(value)

    def process_result_value(self, value: int | None, dialect: Dialect) -> datetime | None:
        return None if value is None else moment(value)


_PATIENCE_S = 15
"""How long a writer waits for those before it."""

_FIRST_PAUSE_S, _LONGEST_PAUSE_S = 0.0002, 0.002
_NEVER = Event()
"""Never set: to wait for it is to pause."""


class Base(DeclarativeBase):
    """Base of all tables; every constraint has a name, so that a migration can find it."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


class Database:
    """One engine and the two kinds of transaction: reading, and writing with one commit at the end."""

    def __init__(self, url: str) -> None:
        self.url = url
        self.engine = _make_engine(url)
        self._writer = self.engine.execution_options(sqlite_begin="IMMEDIATE")
        # SQLite always reads one state of the data; PostgreSQL would let each statement see what came in meanwhile.
        isolated = {} if self.engine.dialect.name == "sqlite" else {"isolation_level": "REPEATABLE READ"}
        self._reader = self.engine.execution_options(**isolated)

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A consistent view; nothing done in it is kept."""
        with Session(self._reader, expire_on_commit=False) as session:
            yield session

    @contextmanager
    def writing(self, *, patience_s: float | None = None) -> Iterator[Session]:
        """Commit once at the end, or nothing at all. On SQLite the write lock is taken before anything is read.

        `patience_s` is for how long SQLite's lock is waited for, if not as long as an entry waits.
        """
        writer = self._writer if patience_s is None else self._writer.execution_options(patience_s=patience_s)
        with Session(writer, expire_on_commit=False) as session, session.begin():
            yield session

    @contextmanager
    def appending(self) -> Iterator[Connection]:
        """As `writing`, for whom a bare connection is enough: a session costs an entry that comes alone a tenth."""
        with self._writer.begin() as connection:
            yield connection


def read_only(file: Path) -> Database:
    """Open an SQLite file from which everything is read and to which nothing is written, on a read-only disk too."""
    # Where a log of changes lies beside it, somebody may be writing; without one the file is all there is.
    is_alone = not file.with_name(f"{file.name}-wal").exists()
    path = quote(str(file.absolute()))
    return Database(f"sqlite:///file:{path}?uri=true&mode=ro" + ("&immutable=1" if is_alone else ""))


def _make_engine(url: str) -> Engine:
    if url.startswith("sqlite:///file:"):
        engine = create_engine(url)
        event.listen(engine, "connect", _prepare_reading)
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    if not url.startswith("sqlite"):
        # Whoever cannot have the lock, or the server, hears of it in time.
        impatient = {"connect_timeout": 10, "options": f"-c lock_timeout={_PATIENCE_S * 1000}"}
        return create_engine(url, pool_pre_ping=True, connect_args=impatient)
    engine = create_engine(url, connect_args={"timeout": _PATIENCE_S})
    event.listen(engine, "do_connect", _open_sqlite)
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "checkout", _drop_unchanging)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


class _Connection(sqlite3.Connection):
    is_unchanging = was_used = False
    """Opened as a file that nobody can change; and whether it was taken out of the pool before."""


def _open_sqlite(_dialect: Dialect, record: Any, arguments: list[Any], options: dict[str, Any]) -> Any:
    """Open an SQLite file; on a read-only disk, where SQLite cannot lay its own files beside it, for reading alone.

    Without a write-ahead log beside it, the file holds everything that was acknowledged.
    """
    name = str(arguments[0])
    _make_private(name)
    connection = sqlite3.connect(*arguments, factory=_Connection, **options)
    try:
        connection.execute("PRAGMA schema_version")
    except sqlite3.OperationalError as error:
        if error.sqlite_errorname not in _NOT_OPENED or not Path(name).is_file() or Path(f"{name}-wal").exists():
            return connection  # the first statement says what is wrong
        connection.close()
        address = f"{Path(name).absolute().as_uri()}?immutable=1"
        connection = sqlite3.connect(address, factory=_Connection, **{**options, "uri": True})
        connection.is_unchanging = True
    return connection


def _make_private(name: str) -> None:
    """Make a file that is not there yet readable by its owner only; what SQLite lays beside it is as private as it."""
    if name.startswith((":", "file:")):
        return
    with suppress(OSError):  # it is there, or SQLite says why it cannot be
        os.close(os.open(name, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))


_NOT_OPENED = ("SQLITE_CANTOPEN", "SQLITE_READONLY_DIRECTORY", "SQLITE_READONLY_CANTINIT")


def _drop_unchanging(connection: Any, _record: Any, _proxy: Any) -> None:
    """Open the file anew each time: the disk may take something again, and then others write to it."""
    if connection.is_unchanging and connection.was_used:
        raise DisconnectionError
    connection.was_used = True


def _prepare_reading(connection: Any, _record: Any) -> None:
    connection.isolation_level = None


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    # The driver's own transaction handling opens transactions too late for us; BEGIN is ours to say.
    connection.isolation_level = None
    if connection.is_unchanging:
        return
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")  # an accepted entry survives a power cut
    connection.execute("PRAGMA foreign_keys=ON")
    # Ids are random, so a long list of entries touches many pages of their index: room for those, and fewer copies of
    # each from the log into the file.
    connection.execute("PRAGMA cache_size=-16384")  # KiB
    connection.execute("PRAGMA wal_autocheckpoint=4096")  # pages
    connection.execute("PRAGMA recursive_triggers=ON")  # so INSERT OR REPLACE fires the DELETE trigger too


def _begin_sqlite(connection: Connection) -> None:
    if connection.get_execution_options().get("sqlite_begin") != "IMMEDIATE":
        run_by_driver(connection, "BEGIN", ())
        return
    run_by_driver(connection, "PRAGMA busy_timeout = 0", ())
    try:
        _take_write_lock(connection, connection.get_execution_options().get("patience_s", _PATIENCE_S))
    finally:
        run_by_driver(connection, f"PRAGMA busy_timeout = {_PATIENCE_S * 1000}", ())


def _take_write_lock(connection: Connection, patience_s: float) -> None:
    # SQLite's own wait looks again after 1, 2, 5, 10 ms and so on: behind a writer that takes half a millisecond the
    # next would mostly sleep.
    waited_s, pause_s = 0.0, _FIRST_PAUSE_S
    while True:
        try:
            run_by_driver(connection, "BEGIN IMMEDIATE", ())
        except OperationalError as error:
            if getattr(error.orig, "sqlite_errorname", "") != "SQLITE_BUSY" or waited_s >= patience_s:
                raise
        else:
            return
        _NEVER.wait(pause_s)
        waited_s, pause_s = waited_s + pause_s, min(2 * pause_s, _LONGEST_PAUSE_S)


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
    driver: Any = connection.connection.driver_connection
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
