"""What Alembic runs to migrate: our tables, on the database that the caller (or DATABASE_URL) names."""

import os

from alembic import context
from alembic.util import CommandError

from app import models  # the tables must be known before they are compared
from app.db import Database


def _url() -> str:
    url = context.config.attributes.get("url") or os.environ.get("DATABASE_URL")
    if not url:
        raise CommandError("Set DATABASE_URL to the database to migrate, e.g. sqlite:////absolute/path/ledger.sqlite3")
    return str(url)


def _migrate() -> None:
    """All outstanding migrations in one transaction, or none of them."""
    engine = Database(_url()).engine
    try:
        with engine.connect().execution_options(sqlite_begin="IMMEDIATE") as connection:
            context.configure(connection=connection, target_metadata=models.Site.metadata)
            with context.begin_transaction():
                context.run_migrations()
    finally:
        engine.dispose()


_migrate()
