"""The OpenAPI 3.1 document at `/api/v1/openapi.json`."""

from functools import cache
from typing import Any

from flask import Blueprint, Response

from . import answer_schemas, entries
from .draft_schemas import NAME_PATTERN, draft_schemas
from .encoding import json_response

Node = dict[str, Any]

blueprint = Blueprint("openapi", __name__)


@blueprint.get("/openapi.json")
def read_openapi() -> Response:
    """Give the description of the API. It holds no records, so nobody needs a token for it."""
    return json_response(document())


@cache
def document() -> Node:
    """Make the whole document."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Roast Ledger",
            "version": "1",
            "description": "Entries of a kitchen's cook-and-hold temperature log, and what the records of a day show.",
        },
        "servers": [{"url": "/api/v1"}],
        "security": [{"token": []}],
        "paths": {
            "/sites/{site}/entries": {"parameters": [_SITE], "post": _POST},
            "/sites/{site}/days/{day}": {"parameters": [_SITE, _DAY], "get": _GET_DAY},
            "/sites/{site}/days/{day}/log.pdf": {"parameters": [_SITE, _DAY], "get": _GET_LOG},
            "/sites/{site}/ledger": {"parameters": [_SITE], "get": _GET_LEDGER},
            "/openapi.json": {"get": _GET_OPENAPI},
        },
        "components": {
            "securitySchemes": {"token": {"type": "http", "scheme": "bearer"}},
            "schemas": draft_schemas() | _ANSWERS,
        },
    }


_ANSWERS: Node = {
    "result": answer_schemas.RESULT,
    "day": answer_schemas.DAY,
    "ledger_line": answer_schemas.LEDGER_LINE,
    "problem": answer_schemas.PROBLEM,
}


def _schema(name: str) -> Node:
    return {"$ref": f"#/components/schemas/{name}"}


def _path(name: str, schema: Node) -> Node:
    return {"name": name, "in": "path", "required": True, "schema": schema}


def _query(name: str, schema: Node, description: str) -> Node:
    return {"name": name, "in": "query", "required": False, "schema": schema, "description": description}


def _answer(description: str, content_type: str, schema: Node) -> Node:
    return {"description": description, "content": {content_type: {"schema": schema}}}


_REFUSED = {
    "400": "The body or a query value cannot be read.",
    "401": "No token, or none that is valid.",
    "403": "This role does not do that.",
    "404": "No such site for this token, or no such day.",
    "413": "The body is over 4 MiB.",
    "429": "Too many wrong tokens, or more writes than the server allows in a minute.",
    "503": "The database does not answer, the server's clock is behind its records, its disk is full, or too many logs "
    "wait to be drawn. Nothing was kept; the same may be sent again, after Retry-After seconds where that is said.",
}


def _refused(*statuses: str) -> Node:
    return {status: _answer(_REFUSED[status], "application/problem+json", _schema("problem")) for status in statuses}


_SITE = _path("site", {"type": "string", "pattern": NAME_PATTERN})
_DAY = _path("day", {"type": "string", "format": "date"})
_AS_OF = _query("as_of", {"type": "string", "format": "date-time"}, "What was known at that instant; now if left out.")
_COUNT: Node = {"type": "integer", "minimum": 0}
_THROUGH_SEQ = _query("through_seq", _COUNT, "Entries up to this seq; the head if left out.")
_AFTER_SEQ = _query("after_seq", _COUNT, "Entries after this seq; from the first if left out.")
_TOGETHER = _query("together", {"type": "boolean"}, "All entries or none.")

_POST: Node = {
    "operationId": "post_entries",
    "summary": "Add entries, in order, in one transaction.",
    "parameters": [_TOGETHER],
    "requestBody": {
        "required": True,
        "content": {
            "application/json": {
                "schema": {
                    "type": "array",
                    "minItems": 1,
                    "maxItems": entries.MOST_ENTRIES,
                    "items": _schema("draft"),
                }
            }
        },
    },
    "responses": {
        "200": _answer(
            "One result for each, in order.", "application/json", {"type": "array", "items": _schema("result")}
        ),
        **_refused("400", "401", "403", "404", "413", "429", "503"),
    },
}
_GET_DAY: Node = {
    "operationId": "read_day",
    "summary": "What the records of a business day show.",
    "parameters": [_AS_OF, _THROUGH_SEQ],
    "responses": {
        "200": _answer("The day.", "application/json", _schema("day")),
        **_refused("400", "401", "403", "404", "429", "503"),
    },
}
_GET_LOG: Node = {
    "operationId": "read_log",
    "summary": "The day's printed log.",
    "parameters": [_AS_OF],
    "responses": {
        "200": _answer("PDF/A-3 with the day's entries attached.", "application/pdf", {}),
        **_refused("400", "401", "403", "404", "429", "503"),
    },
}
_GET_LEDGER: Node = {
    "operationId": "read_ledger",
    "summary": "The hashed objects with their hashes, one a line.",
    "parameters": [_AFTER_SEQ],
    "responses": {
        "200": _answer("Newline-delimited JSON.", "application/x-ndjson", _schema("ledger_line")),
        **_refused("400", "401", "403", "404", "429", "503"),
    },
}
_GET_OPENAPI: Node = {
    "operationId": "read_openapi",
    "summary": "This document.",
    "security": [],
    "responses": {"200": _answer("OpenAPI 3.1.", "application/json", {"type": "object"})},
}
