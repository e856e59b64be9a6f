"""Outages: why the database takes nothing now, told from an error of its driver."""

from enum import StrEnum
from typing import Any

from sqlalchemy import exc


class Outage(StrEnum):
    """What is wrong with the database, as far as whoever saves or keeps the server can do something about it."""

    FULL = "full"
    READ_ONLY = "read_only"
    BROKEN = "broken"
    """The disk fails, or the file is damaged."""
    LOCKED = "locked"
    GONE = "gone"
    """An SQLite file that is not there, or cannot be opened."""
    NOT_SET_UP = "not_set_up"
    OTHER_VERSION = "other_version"
    """The tables are not those of this program."""
    AWAY = "away"


# By what SQLite calls its errors (https://www.sqlite.org/rescode.html): the primary code or one that begins with it.
_SQLITE = {
    "SQLITE_FULL": Outage.FULL,
    "SQLITE_READONLY": Outage.READ_ONLY,
    "SQLITE_IOERR": Outage.BROKEN,
    "SQLITE_CORRUPT": Outage.BROKEN,
    "SQLITE_NOTADB": Outage.BROKEN,
    "SQLITE_CANTOPEN": Outage.GONE,
    "SQLITE_BUSY": Outage.LOCKED,
    "SQLITE_LOCKED": Outage.LOCKED,
}
# PostgreSQL's error codes (Appendix A of its manual).
_POSTGRESQL = {
    "53100": Outage.FULL,
    "25006": Outage.READ_ONLY,
    "58030": Outage.BROKEN,
    "XX001": Outage.BROKEN,
    "XX002": Outage.BROKEN,
    "55P03": Outage.LOCKED,
    "42P01": Outage.NOT_SET_UP,
    "42703": Outage.OTHER_VERSION,
}
_AWAY = (exc.OperationalError, exc.InterfaceError, exc.TimeoutError)


def outage_of(error: exc.SQLAlchemyError) -> Outage | None:
    """Give what is wrong with the database; None where it is there, and was asked something wrong."""
    cause: Any = getattr(error, "orig", None)
    known = _POSTGRESQL.get(getattr(cause, "sqlstate", None) or "") or _of_sqlite(cause)
    if known is not None:
        return known
    is_lost = isinstance(error, exc.DBAPIError) and error.connection_invalidated
    return Outage.AWAY if isinstance(error, _AWAY) or type(error) is exc.DatabaseError or is_lost else None


def _of_sqlite(cause: Any) -> Outage | None:
    text = str(cause)
    if text.startswith("no such table"):
        return Outage.NOT_SET_UP
    if text.startswith(("no such column", "table ")) and "column" in text:
        return Outage.OTHER_VERSION
    name: str = getattr(cause, "sqlite_errorname", "")
    return next((outage for code, outage in _SQLITE.items() if name.startswith(code)), None)
