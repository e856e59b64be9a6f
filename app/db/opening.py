"""Opening a database: SQLite with its settings and its lock, or PostgreSQL."""

import os
import sqlite3
from contextlib import suppress
from functools import partial
from pathlib import Path
from threading import Event
from typing import Any

from sqlalchemy import Connection, Dialect, Engine, create_engine, event
from sqlalchemy.exc import DisconnectionError, OperationalError

from .statements import run_by_driver

_PATIENCE_S = 15
"""How long a writer waits for those before it."""
_WAIT_AGAIN = f"PRAGMA busy_timeout = {_PATIENCE_S * 1000}"

_FIRST_PAUSE_S, _LONGEST_PAUSE_S = 0.0002, 0.002
_NEVER = Event()
"""Never set: to wait for it is to pause."""

_IN_MEMORY = "sqlite://"
_NOT_OPENED = ("SQLITE_CANTOPEN", "SQLITE_READONLY_DIRECTORY", "SQLITE_READONLY_CANTINIT")


def make_engine(url: str, *, may_create: bool = False) -> Engine:
    """Give the engine for a URL; `sqlite:///file:` is opened for reading alone.

    Where a file that was there is gone, an empty one in its place would take its log of changes, with what was
    acknowledged: so a file is made only where `may_create` says so.
    """
    if url.startswith("sqlite:///file:"):
        engine = create_engine(url)
        event.listen(engine, "connect", _prepare_reading)
        _say_begin(engine)
        return engine
    if not url.startswith("sqlite"):
        # Whoever cannot have the lock, or the server, hears of it in time.
        impatient = {"connect_timeout": 10, "options": f"-c lock_timeout={_PATIENCE_S * 1000}"}
        return create_engine(url, pool_pre_ping=True, connect_args=impatient)
    # The connection that was used last, not the one that rested longest: it still knows most of the file's pages.
    pool = {} if url == _IN_MEMORY else {"pool_use_lifo": True}
    engine = create_engine(url, connect_args={"timeout": _PATIENCE_S}, **pool)
    event.listen(engine, "do_connect", partial(_open_sqlite, may_create=may_create))
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "checkout", _drop_stale)
    _say_begin(engine)
    return engine


class _Connection(sqlite3.Connection):
    is_unchanging = is_for_reading = was_used = False
    """Opened as a file that nobody can change, or that this process may not; and whether it was out of the pool before.
    """
    name = ""
    """Of the file; empty for one in memory."""
    file: tuple[int, int] | None = None
    """Which file it was when it was opened, whatever has that name now."""


def _open_sqlite(
    _dialect: Dialect, record: Any, arguments: list[Any], options: dict[str, Any], *, may_create: bool
) -> Any:
    """Open an SQLite file; on a read-only disk, where SQLite cannot lay its own files beside it, for reading alone.

    Without a write-ahead log beside it, the file holds everything that was acknowledged.
    """
    name = str(arguments[0])
    if name.startswith((":", "file:")):
        return sqlite3.connect(*arguments, factory=_Connection, **options)
    if may_create:
        _make_private(name)
    connection = _opened(name, options)
    connection.name, connection.file = name, _file(name)
    connection.is_for_reading = connection.is_unchanging or not os.access(name, os.W_OK)
    return connection


def _opened(name: str, options: dict[str, Any]) -> _Connection:
    address = Path(name).absolute().as_uri()
    connection = sqlite3.connect(f"{address}?mode=rw", factory=_Connection, **{**options, "uri": True})
    try:
        connection.execute("PRAGMA schema_version")
    except sqlite3.OperationalError as error:
        if error.sqlite_errorname not in _NOT_OPENED or not Path(name).is_file() or Path(f"{name}-wal").exists():
            return connection  # the first statement says what is wrong
        connection.close()
        connection = sqlite3.connect(f"{address}?immutable=1", factory=_Connection, **{**options, "uri": True})
        connection.is_unchanging = True
    return connection


def _make_private(name: str) -> None:
    """Make a file that is not there yet readable by its owner only; what SQLite lays beside it is as private as it."""
    with suppress(OSError):  # it is there, or SQLite says why it cannot be
        os.close(os.open(name, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))


def _file(name: str) -> tuple[int, int] | None:
    """Give what tells the file of this name from any other that may take its place; None where there is none."""
    try:
        about = os.stat(name)  # noqa: PTH116  # asked with every transaction, and a Path costs it thrice over
    except OSError:
        return None
    return about.st_dev, about.st_ino


def _drop_stale(connection: Any, _record: Any, _proxy: Any) -> None:
    """Open a file for reading anew each time: it may take something again. And where it was moved away or replaced:
    what is written to a moved one, nobody finds again."""
    is_stale = connection.is_for_reading or (connection.name and connection.file != _file(connection.name))
    if is_stale and connection.was_used:
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


def _say_begin(engine: Engine) -> None:
    """Let a transaction begin on the connection when SQLAlchemy begins it, unless `lock_for_writing` began it."""

    def begin(connection: Any) -> None:
        if not connection.dbapi_connection.in_transaction:
            connection.dbapi_connection.execute("BEGIN")

    # Not by listening to an event: then every statement of the program looks for who else might be listening.
    engine.dialect.do_begin = begin  # type: ignore[assignment]  # a dialect of our own would override it


def lock_for_writing(connection: Connection, *, patience_s: float | None = None) -> None:
    """On SQLite, begin a transaction by taking the lock of writers, before anything is read; elsewhere do nothing."""
    if connection.dialect.name != "sqlite":
        return
    run_by_driver(connection, "PRAGMA busy_timeout = 0", ())
    try:
        _take_write_lock(connection, _PATIENCE_S if patience_s is None else patience_s)
    finally:
        run_by_driver(connection, _WAIT_AGAIN, ())


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
