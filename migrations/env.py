"""What Alembic runs to migrate: our tables, on the database that the caller (or DATABASE_URL) names."""

import os
from typing import Literal

from alembic import context
from alembic.util import CommandError

from app import models  # the tables must be known before they are compared
from app.db import Database, Instant


def _url() -> str:
    url = context.config.attributes.get("url") or os.environ.get("DATABASE_URL")
    if not url:
        raise CommandError("Set DATABASE_URL to the database to migrate, e.g. sqlite:////absolute/path/ledger.sqlite3")
    return str(url)


def _render(_kind: str, item: object, _context: object) -> str | Literal[False]:
    """Write our own column type as the database's, so that an old migration needs nothing of today's code."""
    return "sa.BigInteger()" if isinstance(item, Instant) else False


def _migrate() -> None:
    """All outstanding migrations in one transaction, or none of them."""
    database = Database(_url(), may_create=True)
    try:
        with database.appending() as connection:
            context.configure(connection=connection, target_metadata=models.Site.metadata, render_item=_render)
            context.run_migrations()
    finally:
        database.engine.dispose()


_migrate()
