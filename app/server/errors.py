"""Errors: one place turns them into an answer, as problem details under `/api/`, as a page elsewhere."""

from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta

from flask import Flask, current_app, request
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from sqlalchemy import exc
from werkzeug.exceptions import HTTPException, ServiceUnavailable

from app import ledger, words

from .settings import LARGEST_BODY

Answer = Callable[[HTTPException], ResponseReturnValue]

_OUTAGES = (exc.OperationalError, exc.InterfaceError, exc.TimeoutError)
_READ_OFF = 8 * LARGEST_BODY
_NO_TABLE = "42P01"
"""PostgreSQL's code for a table that is not there: the database was never set up."""


class ClockIsBehind(ServiceUnavailable):
    """Nothing can be kept until the clock is right; `behind` is by how much it is not."""

    def __init__(self, behind: timedelta) -> None:
        super().__init__(words.clock_to_set_words(behind), retry_after=60)
        self.behind = behind


def init_app(app: Flask, *, api: Answer, web: Answer) -> None:
    """Answer every error through `api` or `web`, by the path that was asked for."""

    def answer(error: HTTPException) -> ResponseReturnValue:
        _read_off()
        return api(error) if request.path.startswith("/api/") else web(error)

    def answer_outage(error: exc.SQLAlchemyError) -> ResponseReturnValue:
        if not is_outage(error):
            raise error
        current_app.logger.error("The database does not answer: %s", error)
        what = _("The database does not answer. Nothing was kept; the same can be sent again in a while.")
        return answer(ServiceUnavailable(what, retry_after=10))

    def answer_clock(error: ledger.ClockBehind) -> ResponseReturnValue:
        current_app.logger.error("Nothing can be kept: %s", error)
        return answer(ClockIsBehind(error.behind))

    app.register_error_handler(HTTPException, answer)
    app.register_error_handler(ledger.ClockBehind, answer_clock)
    app.register_error_handler(exc.SQLAlchemyError, answer_outage)


def _read_off() -> None:
    """Read what a refused client still sends, within reason: closed in the middle of it, it would not hear why."""
    if not request.environ.get("wsgi.input_terminated"):
        return
    stream, left = request.environ["wsgi.input"], _READ_OFF
    with suppress(OSError):  # it has gone by itself
        while left > 0 and (part := stream.read(min(left, 65_536))):
            left -= len(part)


def is_outage(error: exc.SQLAlchemyError) -> bool:
    """Whether the database is away, busy or not set up, rather than asked something wrong."""
    if isinstance(error, _OUTAGES) or type(error) is exc.DatabaseError or is_not_set_up(error):
        return True
    return isinstance(error, exc.DBAPIError) and error.connection_invalidated


def is_not_set_up(error: exc.SQLAlchemyError) -> bool:
    """Whether the database has no tables yet."""
    cause = getattr(error, "orig", None)
    return getattr(cause, "sqlstate", None) == _NO_TABLE or str(cause).startswith("no such table")
