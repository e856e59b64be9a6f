"""The database: base class, column types and the two kinds of transaction."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import BigInteger, Dialect, Engine, MetaData, create_engine, event
from sqlalchemy.orm import DeclarativeBase, Session
from sqlalchemy.types import TypeDecorator

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MILLISECOND = timedelta(milliseconds=1)


class Instant(TypeDecorator[datetime]):
    """A moment in UTC, kept as whole milliseconds since 1970: exact, sortable, the same on every database."""

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> int | None:
        return None if value is None else (value - _EPOCH) // _MILLISECOND

    def process_result_value(self, value: int | None, dialect: Dialect) -> datetime | None:
        return None if value is None else _EPOCH + timedelta(milliseconds=value)


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

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A consistent view; nothing done in it is kept."""
        with Session(self.engine, expire_on_commit=False) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """Commit once at the end, or nothing at all. On SQLite the write lock is taken before anything is read."""
        with Session(self._writer, expire_on_commit=False) as session, session.begin():
            yield session


def _make_engine(url: str) -> Engine:
    if not url.startswith("sqlite"):
        return create_engine(url, pool_pre_ping=True)
    engine = create_engine(url, connect_args={"timeout": 15})
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    # The driver's own transaction handling opens transactions too late for us; BEGIN is ours to say.
    connection.isolation_level = None
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")  # an accepted entry survives a power cut
    connection.execute("PRAGMA foreign_keys=ON")
    connection.execute("PRAGMA recursive_triggers=ON")  # so INSERT OR REPLACE fires the DELETE trigger too


def _begin_sqlite(connection: Any) -> None:
    mode = connection.get_execution_options().get("sqlite_begin", "DEFERRED")
    connection.exec_driver_sql(f"BEGIN {mode}")
