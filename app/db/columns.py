"""Base class of the tables, and how a moment is kept."""

from datetime import UTC, datetime, timedelta

from sqlalchemy import BigInteger, Dialect, MetaData
from sqlalchemy.orm import DeclarativeBase
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
