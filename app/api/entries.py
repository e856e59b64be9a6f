"""Writing: a list of entries, each accepted, known already, or rejected with its errors."""

from collections.abc import Sequence
from typing import Any

from flask import Blueprint, Response, current_app, request
from flask_babel import gettext as _
from werkzeug.exceptions import BadRequest, RequestEntityTooLarge

from app import ledger, words
from app.kinds.permissions import Permission
from app.register import Bearer
from app.server.site_lock import appending_to

from . import access
from .encoding import NotJson, json_response, read_json
from .queries import switch_of

MOST_ENTRIES = 1000

blueprint = Blueprint("entries", __name__)


@blueprint.post("/sites/<site>/entries")
@access.requires(Permission.RECORD_KITCHEN_ENTRY)
def post_entries(site: str) -> Response:
    """Keep the entries in one transaction; one bad entry never costs a good one, unless they belong together."""
    bearer = access.current()
    together, drafts = switch_of("together"), _read_drafts()
    access.spend_write(bearer)
    by = _caller(bearer)
    read = ledger.read_drafts(drafts, by=by)
    with appending_to(site) as (connection, held, now):
        results = ledger.append(connection, held, read, by=by, at=now, together=together)
    return json_response([_result(result) for result in results])


def _read_drafts() -> Sequence[object]:
    try:
        drafts = read_json(_read_body())
    except NotJson as error:
        raise BadRequest(_("The body is not JSON: %(why)s.", why=str(error))) from None
    if not isinstance(drafts, list) or not 1 <= len(drafts) <= MOST_ENTRIES:
        raise BadRequest(_("The body is a list of 1 to %(most)s entries.", most=MOST_ENTRIES))
    return drafts


def _read_body() -> bytes:
    body = request.get_data(cache=False)
    # A body sent in chunks is cut at the limit without a word: whether that was all, only its stream can say.
    may_be_cut = len(body) >= current_app.config["MAX_CONTENT_LENGTH"] and request.content_length is None
    if may_be_cut and request.environ["wsgi.input"].read(1):
        raise RequestEntityTooLarge
    return body


def _caller(bearer: Bearer) -> ledger.Caller:
    if bearer.tablet is not None:
        return ledger.Caller(login="", name="", role="", via=bearer.via)
    return ledger.Caller(login=bearer.login or "", name=bearer.name or "", role=bearer.role or "", via=bearer.via)


def _result(result: ledger.Result) -> dict[str, Any]:
    return {
        "id": result.id,
        "status": result.status,
        "seq": result.seq,
        "errors": [_error(error) for error in result.errors],
    }


def _error(error: ledger.FieldError) -> dict[str, Any]:
    message = words.error_words(error.field, error.code, error.values)
    shown = {"field": error.field, "code": error.code, "message": message}
    dependents = error.values.get("dependents")
    return shown if dependents is None else {**shown, "dependents": list(dependents)}
