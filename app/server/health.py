"""The health check: 200 when an entry could be kept now."""

from flask import Flask
from flask.typing import ResponseReturnValue

from app import clock, ledger, words

from . import get_database

_PLAIN = {"Content-Type": "text/plain; charset=utf-8"}


def init_app(app: Flask) -> None:
    """Add `/healthz`."""
    app.add_url_rule("/healthz", "healthz", healthz)


def healthz() -> ResponseReturnValue:
    """Answer `ok`, or 503 with the reason where the server's clock is behind the records of a site.

    A database that does not answer, or has no tables, is a 503 like everywhere.
    """
    with get_database().reading() as session:
        behind = ledger.clock_behind(session, clock.utc_now())
    if behind is not None:
        return f"{words.clock_to_set_words(behind.behind)}\n", 503, _PLAIN
    return "ok\n", _PLAIN
