"""Errors: one place turns them into an answer, as problem details under `/api/`, as a page elsewhere."""

from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta

from flask import Flask, current_app, request
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from sqlalchemy import exc
from werkzeug.exceptions import ClientDisconnected, HTTPException, ServiceUnavailable

from app import clock, ledger, words

from .outages import Outage, outage_of
from .settings import LARGEST_BODY

Answer = Callable[[HTTPException], ResponseReturnValue]

READ_OFF = 8 * LARGEST_BODY
"""Bytes of a refused body that are read before the answer; one announced as larger is not listened to at all."""
_READ_OFF_S = 20


class ClockIsBehind(ServiceUnavailable):
    """Nothing can be kept until the clock is right; `behind` is by how much it is not."""

    def __init__(self, behind: timedelta) -> None:
        super().__init__(words.clock_to_set_words(behind), retry_after=60)
        self.behind = behind


class RecordsAway(ServiceUnavailable):
    """The database keeps nothing now; `outage` is why."""

    def __init__(self, outage: Outage) -> None:
        what = _("%(what)s Nothing was kept; the same can be sent again in a while.", what=words.outage_words(outage))
        super().__init__(what, retry_after=10)
        self.outage = outage


def init_app(app: Flask, *, api: Answer, web: Answer) -> None:
    """Answer every error through `api` or `web`, by the path that was asked for."""

    def answer(error: HTTPException) -> ResponseReturnValue:
        if not isinstance(error, ClientDisconnected):
            read_off()
        return api(error) if request.path.startswith("/api/") else web(error)

    def answer_outage(error: exc.SQLAlchemyError) -> ResponseReturnValue:
        outage = outage_of(error)
        if outage is None:
            raise error
        current_app.logger.error("Nothing can be kept (%s): %s", outage, error)
        return answer(RecordsAway(outage))

    def answer_clock(error: ledger.ClockBehind) -> ResponseReturnValue:
        current_app.logger.error("Nothing can be kept: %s", error)
        return answer(ClockIsBehind(error.behind))

    app.register_error_handler(HTTPException, answer)
    app.register_error_handler(ledger.ClockBehind, answer_clock)
    app.register_error_handler(exc.SQLAlchemyError, answer_outage)


def read_off() -> None:
    """Read what a refused client still sends, within reason: closed in the middle of it, it would not hear why."""
    announced = request.content_length or 0
    if announced > READ_OFF or not request.environ.get("wsgi.input_terminated"):
        return  # answered at once: whoever announces so much is not listened to until it has come
    stream, left, until = request.environ["wsgi.input"], READ_OFF, clock.running_s() + _READ_OFF_S
    with suppress(OSError):  # it has gone by itself
        while left > 0 and clock.running_s() < until and (part := stream.read(min(left, 65_536))):
            left -= len(part)
