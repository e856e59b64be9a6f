"""A form sent after the sign-in had ended: nothing is saved and nothing typed is lost; it goes on after signing in."""

import json

from flask import current_app, request
from flask.typing import ResponseReturnValue
from itsdangerous import BadData, URLSafeTimedSerializer

from app import clock

from ..parts.pages import page

_LONGEST_S = 3600
_NOT_CARRIED = ("csrf_token", "seen_at", "page_of", "saver", "password", "pin")
"""Made anew, or typed anew: no secret is written into a page."""
_Pairs = list[tuple[str, str]]


def ask_again() -> ResponseReturnValue:
    """Say that the sign-in has ended, and carry what was sent through the next one."""
    return page("signin/ended.html", 401, path=sent_to(), kept=str(_serializer().dumps(json.dumps(sent()))))


def sent_to() -> str:
    """Give the address that the form was sent to, to send it there again."""
    return request.full_path.removesuffix("?")


def sent() -> _Pairs:
    """Give the fields that were sent, to send them again: without secrets, and what belongs to the page itself."""
    fields = [(name, value) for name, value in request.form.items(multi=True) if name not in _NOT_CARRIED]
    if "seen_at" in request.form:  # what was seen just now was seen now, not when somebody has said who they are
        fields.append(("seen_at", request.form["seen_at"] or clock.utc_now().isoformat(timespec="milliseconds")))
    return fields


def unpack(text: str | None) -> _Pairs:
    """Give the fields that were carried; none where there are none, or they are not ours, or too old."""
    try:
        pairs: _Pairs = json.loads(_serializer().loads(text or "", max_age=_LONGEST_S))
    except BadData:
        return []
    return pairs


def _serializer() -> URLSafeTimedSerializer:
    return URLSafeTimedSerializer(current_app.secret_key or "", salt="kept post")
