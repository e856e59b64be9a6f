"""The health check: 200 when the database answers and is set up."""

from flask import Flask
from flask.typing import ResponseReturnValue
from sqlalchemy import text

from . import get_database


def init_app(app: Flask) -> None:
    """Add `/healthz`."""
    app.add_url_rule("/healthz", "healthz", healthz)


def healthz() -> ResponseReturnValue:
    """Answer `ok`; a database that does not answer, or has no tables, is a 503 like everywhere."""
    with get_database().reading() as session:
        session.execute(text("SELECT 1 FROM sites LIMIT 1"))
    return "ok\n", {"Content-Type": "text/plain; charset=utf-8"}
