"""The index and the spans made anew beside those that are kept, in temporary tables that nobody else sees."""

from collections.abc import Iterator
from typing import Any, cast

from sqlalchemy import Connection, MetaData, Select, Table, select, text
from sqlalchemy.orm import Session

from app import models

from .register_tables import Difference

_TABLES = tuple(cast(Table, model.__table__) for model in (models.EntrySubject, models.SubjectSpan))


def cover(connection: Connection) -> str:
    """Hide the kept index and spans behind empty tables of the same names, until the transaction is rolled back.

    Gives the schema in which the kept ones are. A statement without a schema finds temporary tables first, on either
    database: so they are filled by the very code that fills the kept ones.
    """
    schema = "main"
    if connection.dialect.name == "postgresql":
        schema = str(connection.execute(text("SELECT current_schema()")).scalar())
    for table in _TABLES:
        columns = ", ".join(
            f"{column.name} {column.type.compile(connection.dialect)}" + ("" if column.nullable else " NOT NULL")
            for column in table.columns
        )
        key = ", ".join(column.name for column in table.primary_key)
        connection.execute(text(f"CREATE TEMPORARY TABLE {table.name} ({columns}, PRIMARY KEY ({key}))"))
    return schema


def differences(session: Session, site_id: int, schema: str) -> Iterator[Difference]:
    """Name the rows in which the kept tables and those that cover them are not the same."""
    connection = session.connection()
    temporary = "pg_temp" if connection.dialect.name == "postgresql" else "temp"
    for table in _TABLES:
        kept, made = (_rows(table, of, site_id) for of in (schema, temporary))
        for first, second, what in ((made, kept, "missing or changed"), (kept, made, "not in the ledger")):
            found = connection.execute(first.except_(second).limit(1)).first()
            if found is not None:
                yield Difference(table.name, str(found.subject), what)


def _rows(table: Table, schema: str, site_id: int) -> Select[Any]:
    of_schema = table.to_metadata(MetaData(), schema=schema)
    return select(*of_schema.columns).where(of_schema.c.site_id == site_id)
