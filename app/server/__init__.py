"""What every request shares, whoever asks: settings, the database, languages, headers, errors, the health check."""

from flask import current_app

from app.db import Database


def get_database() -> Database:
    """Give the database of the running app."""
    database: Database = current_app.extensions["database"]
    return database


__all__ = ["get_database"]
