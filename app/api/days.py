"""Reading: a day's assessment, its printed log, and the ledger itself."""

from collections.abc import Generator
from itertools import chain

from flask import Blueprint, Response
from flask_babel import gettext as _
from werkzeug.exceptions import InternalServerError, ServiceUnavailable

from app import clock, ledger
from app.db import Database
from app.kinds.permissions import Permission
from app.server import drawings, get_database

from . import access
from .day import day_json
from .encoding import json_response
from .queries import count_of, day_of, instant_of

blueprint = Blueprint("days", __name__)


@blueprint.get("/sites/<site>/days/<day>")
@access.requires(Permission.READ_RECORDS)
def read_day(site: str, day: str) -> Response:
    """Give a day's assessment."""
    chosen, as_of, through_seq = day_of(day), instant_of("as_of"), count_of("through_seq")
    with get_database().reading() as session:
        assessment = ledger.assess_day(session, site, chosen, as_of=as_of or clock.utc_now(), through_seq=through_seq)
    return json_response(day_json(assessment))


@blueprint.get("/sites/<site>/days/<day>/log.pdf")
@access.requires(Permission.READ_RECORDS)
def read_log(site: str, day: str) -> Response:
    """Give a day's printed log, once it is drawn."""
    chosen, as_of = day_of(day), instant_of("as_of")
    try:
        printed = drawings.wait_for_log(site, chosen, as_of=as_of)
    except drawings.TooManyWaiting:
        printed = None
    except drawings.NotDrawn:
        raise InternalServerError(_("This log could not be drawn.")) from None
    if printed is None:
        what = _("Many logs are being drawn. Ask for this one again in a while.")
        raise ServiceUnavailable(what, retry_after=drawings.RETRY_AFTER_S)
    disposition = f'inline; filename="{site}-{chosen.isoformat()}.pdf"'
    return Response(printed, content_type="application/pdf", headers={"Content-Disposition": disposition})


@blueprint.get("/sites/<site>/ledger")
@access.requires(Permission.READ_LEDGER)
def read_ledger(site: str) -> Response:
    """Give the hashed objects with their hashes, a line each, as they are read: memory does not grow with history."""
    after_seq = count_of("after_seq") or 0
    lines = _lines(get_database(), site, after_seq)
    # The first line is read before anything is sent: a database that is away is a 503, not a broken answer.
    response = Response(chain([next(lines, b"")], lines), content_type="application/x-ndjson")
    response.call_on_close(lines.close)
    return response


def _lines(database: Database, site: str, after_seq: int) -> Generator[bytes]:
    with database.reading() as session:
        yield from ledger.ledger_lines(session, site, after_seq)
