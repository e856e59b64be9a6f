"""A database and the two kinds of transaction: reading, and writing with one commit at the end."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from sqlalchemy import Connection
from sqlalchemy.orm import Session

from .opening import lock_for_writing, make_engine


class Database:
    """One engine and the two kinds of transaction: reading, and writing with one commit at the end."""

    def __init__(self, url: str, *, may_create: bool = False) -> None:
        """Nothing is opened yet. An SQLite file that is not there is made only where `may_create` says so."""
        self.url = url
        self.engine = make_engine(url, may_create=may_create)
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
        with self.engine.connect() as connection:
            lock_for_writing(connection, patience_s=patience_s)
            with Session(connection, expire_on_commit=False) as session, session.begin():
                yield session

    @contextmanager
    def appending(self) -> Iterator[Connection]:
        """As `writing`, for whom a bare connection is enough: a session costs an entry that comes alone a tenth."""
        with self.engine.connect() as connection:
            lock_for_writing(connection)
            with connection.begin():
                yield connection


def read_only(file: Path) -> Database:
    """Open an SQLite file from which everything is read and to which nothing is written, on a read-only disk too."""
    # Where a log of changes lies beside it, somebody may be writing; without one the file is all there is.
    is_alone = not file.with_name(f"{file.name}-wal").exists()
    path = quote(str(file.absolute()))
    return Database(f"sqlite:///file:{path}?uri=true&mode=ro" + ("&immutable=1" if is_alone else ""))
