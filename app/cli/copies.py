"""Backup and restore: one SQLite file that holds everything, whatever database it was taken from."""

import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import cast

import click
from alembic.util import CommandError
from flask_babel import gettext as _
from sqlalchemy import Table, func, insert, select
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from app import clock, ledger, register, schema, words
from app.db import Base, Database
from app.models import SigningKey
from app.server import get_database, guards

from .command import Failed, command

_ROWS = 1000
_LEFT_OUT = (SigningKey.__tablename__,)
"""What no backup holds: a restored kitchen makes itself a new certificate when it next signs a log."""
_SQLITE = b"SQLite format 3\x00"


@command("backup")
@click.argument("file", type=click.Path(path_type=Path))
def backup(file: Path) -> None:
    """Write a consistent copy to FILE while the app is running; never over another file.

    Everything is in it but the keys that sign logs.
    """
    try:
        file.touch(mode=0o600, exist_ok=False)  # it holds the digests of passwords
    except FileExistsError:
        raise Failed(_("%(file)s exists already; a backup is never written over another file.", file=file)) from None
    try:
        _copy_to(get_database(), file)
    except BaseException:
        file.unlink(missing_ok=True)
        raise
    with _opened(file) as copy, copy.reading() as session:
        broken = _broken(session)
    _make_single_file(file)
    if broken:
        raise Failed(_("%(file)s is written, but %(broken)s in it, as in the database.", file=file, broken=broken))
    with get_database().reading() as session:
        unguarded = guards.faults(session)
    if unguarded:
        said = _("%(file)s is written and its chain is unbroken.", file=file)
        raise Failed(f"{said} {words.guard_words(unguarded)}")
    click.echo(_("%(file)s is written and its chain is unbroken.", file=file))


@command("restore")
@click.argument("file", type=click.Path(path_type=Path))
def restore(file: Path) -> None:
    """Fill the database from the backup FILE; a database that already holds a site is refused."""
    target = get_database()
    with tempfile.TemporaryDirectory() as folder, _read_backup(file, Path(folder)) as source:
        schema.upgrade(target.url)
        with source.reading() as old, target.writing() as new:
            if register.list_sites(new):
                raise Failed(_("This database holds a site already; a backup is restored into an empty one."))
            if not register.list_sites(old):
                raise Failed(_("%(file)s holds no site.", file=file))
            _copy_rows(old, new)
            broken = _broken(new)
            for site in register.list_sites(new) if broken is None else ():
                ledger.rebuild(new, site.code, at=clock.utc_now())
    if broken:
        raise Failed(_("%(file)s is restored, but %(broken)s in it.", file=file, broken=broken))
    try:
        with target.writing() as session:
            register.write_down(session, at=clock.utc_now())
    except ledger.ClockBehind:
        what = _("%(file)s is restored, but the clock of this server is behind its own records.", file=file)
        todo = _("Set the clock right, or accept it with the command clock; then run upgrade.")
        raise Failed(f"{what} {todo}") from None
    click.echo(_("%(file)s is restored and its chain is unbroken.", file=file))


@contextmanager
def _read_backup(file: Path, folder: Path) -> Iterator[Database]:
    """Open a copy of the backup, brought up to date where it is of an earlier version; the file stays as it is."""
    draft = Path(shutil.copyfile(file, folder / "backup"))
    with draft.open("rb") as opened:
        is_sqlite = opened.read(len(_SQLITE)) == _SQLITE
    try:
        if is_sqlite:
            schema.upgrade(f"sqlite:///{draft}")
    except (SQLAlchemyError, CommandError):
        is_sqlite = False
    if not is_sqlite:
        raise Failed(_("%(file)s is not a backup of this program, or of a later version of it.", file=file))
    with _opened(draft) as database:
        yield database


def _copy_to(database: Database, file: Path) -> None:
    if database.engine.dialect.name == "sqlite":
        _copy_sqlite(database, file)
        return
    url = f"sqlite:///{file.absolute()}"
    schema.upgrade(url)
    engine = database.engine.execution_options(isolation_level="REPEATABLE READ")
    with _opened(file) as copy, Session(engine) as old, copy.writing() as new:
        _copy_rows(old, new)


def _copy_sqlite(database: Database, file: Path) -> None:
    with database.reading() as session:
        register.list_sites(session)  # a database that is not set up has nothing to copy, and says so
    with _opened(file) as copy:
        source, target = database.engine.raw_connection(), copy.engine.raw_connection()
        with closing(source), closing(target):
            copied = cast(sqlite3.Connection, target.driver_connection)
            cast(sqlite3.Connection, source.driver_connection).backup(copied)
            _leave_keys_out(copied)


def _leave_keys_out(copied: sqlite3.Connection) -> None:
    """Take the keys that sign logs out of a copy, and out of its free pages: nobody signs with a backup."""
    copied.execute("PRAGMA secure_delete=ON")
    for table in _LEFT_OUT:
        copied.execute(f"DELETE FROM {table}")  # noqa: S608  # a name of our own
    copied.execute("VACUUM")


def _copy_rows(old: Session, new: Session) -> None:
    for table in Base.metadata.sorted_tables:
        if table.name in _LEFT_OUT:
            continue
        rows = old.execute(select(table).order_by(*table.primary_key).execution_options(yield_per=_ROWS))
        for part in rows.mappings().partitions(_ROWS):
            new.execute(insert(table), [dict(row) for row in part])
        if new.get_bind().dialect.name == "postgresql":
            _set_sequence(new, table)


def _set_sequence(new: Session, table: Table) -> None:
    """PostgreSQL numbers new rows from a counter that does not see the rows copied in."""
    column = table.autoincrement_column
    if column is None:
        return
    highest = new.scalar(select(func.max(column)))
    if highest is not None:
        counter = func.pg_get_serial_sequence(table.name, column.name)
        new.execute(select(func.setval(counter, highest)))


def _broken(session: Session) -> str | None:
    for site in register.list_sites(session):
        broken = ledger.verify(session, site.code)
        if broken is not None:
            return str(_("entry %(seq)s of %(site)s is broken", seq=broken.seq, site=site.code))
    return None


@contextmanager
def _opened(file: Path) -> Iterator[Database]:
    database = Database(f"sqlite:///{file.absolute()}")
    try:
        yield database
    finally:
        database.engine.dispose()


def _make_single_file(file: Path) -> None:
    """Leave nothing beside the file that would have to be carried along with it."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA journal_mode=DELETE")
