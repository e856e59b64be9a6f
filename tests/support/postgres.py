"""A PostgreSQL server of the tests' own: started once, reached through a socket in its own folder, thrown away."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import unquote

import psycopg
from sqlalchemy import make_url

from tests.support import memory

_SETTINGS = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off -c listen_addresses=''"
_kept: dict[Path, psycopg.Connection] = {}
"""By which databases are made, by the folder of their server."""


@contextmanager
def running_server() -> Iterator[str]:
    """Give the URL of a server's `postgres` database; `{}` in the URL's place of the name makes another's.

    In memory a database is copied ten times as fast; `/tmp` is a folder that every user can reach, too.
    As root the server runs as the user that Debian's package made, since PostgreSQL refuses to run as root.
    """
    folder = Path(tempfile.mkdtemp(prefix="pg-", dir=memory.place() or "/tmp"))
    user = "postgres" if os.geteuid() == 0 else None
    if user:
        shutil.chown(folder, user, user)

    def call(program: str, *arguments: str) -> None:
        command = [str(_programs() / program), "-D", str(folder / "data"), *arguments]
        subprocess.run(command, user=user, group=user, cwd=folder, check=True, stdout=subprocess.DEVNULL)

    try:
        call("initdb", "--no-sync", "--auth=trust", "--username=tests", "--encoding=UTF8", "--locale=C")
        call("pg_ctl", "start", "--wait", "--log", str(folder / "log"), "-o", f"{_SETTINGS} -k {folder}")
        try:
            yield f"postgresql+psycopg://tests@/{{}}?host={folder}"
        finally:
            _leave(folder)
            call("pg_ctl", "stop", "--mode=immediate")
    finally:
        shutil.rmtree(folder)


def administer(server: str, statement: str) -> None:
    """Run a statement that stands outside a transaction, e.g. CREATE DATABASE, on the server of `running_server`.

    The connection is kept: to make one costs more than to make a database.
    """
    folder = _folder(server)
    if folder not in _kept:
        _kept[folder] = psycopg.connect(host=str(folder), user="tests", dbname="postgres", autocommit=True)
    _kept[folder].execute(statement.encode())


def copy(url: str, copied_url: str) -> None:
    """Make a database of the same server hold what another holds; nobody may be connected to either."""
    name, copied = (make_url(each).database for each in (url, copied_url))
    server = url.replace(f"/{name}?", "/{}?")
    administer(server, f"DROP DATABASE IF EXISTS {copied}")
    administer(server, f"CREATE DATABASE {copied} TEMPLATE {name} STRATEGY file_copy")


@contextmanager
def stopped(url: str) -> Iterator[None]:
    """Stop the server of a URL for a while: who is connected is thrown out."""
    data = _folder(url) / "data"
    user = "postgres" if os.geteuid() == 0 else None

    def call(*arguments: str) -> None:
        command = [str(_programs() / "pg_ctl"), "-D", str(data), "--wait", *arguments]
        subprocess.run(command, user=user, group=user, cwd=data, check=True, stdout=subprocess.DEVNULL)

    _leave(data.parent)
    call("stop", "--mode=fast")  # as it keeps nothing on a disk, a crash would lose what it has acknowledged
    try:
        yield
    finally:
        call("start", "--log", str(data.parent / "log"), "-o", f"{_SETTINGS} -k {data.parent}")


def _folder(url: str) -> Path:
    """Give the folder of the server that a URL leads to."""
    return Path(unquote(url.partition("?host=")[2]))


def _leave(folder: Path) -> None:
    """Close the connection that is kept to a server."""
    if folder in _kept:
        _kept.pop(folder).close()


def _programs() -> Path:
    """Find the folder of the newest server's programs; Debian keeps them off the PATH."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    on_path = shutil.which("initdb")
    if not found and not on_path:
        raise FileNotFoundError("PostgreSQL's initdb is not on this machine: run make setup")
    return (found[-1] if found else Path(str(on_path))).parent
