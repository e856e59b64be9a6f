"""A form that could not be saved yet, as the sign-in had ended or the records are away: it is carried along."""

import json
import re

from flask import current_app, request
from flask.typing import ResponseReturnValue
from itsdangerous import BadData, URLSafeTimedSerializer

from app import clock, words

from ..parts.pages import page

_LONGEST_S = 3600
_NOT_CARRIED = ("csrf_token", "seen_at", "page_of", "saver")
"""Made anew, or chosen anew."""
_SECRET = re.compile(r"password|pin$|credential|^again$")
"""Typed anew: no secret is written into a page."""
_NOT_TYPED = {"entry_id", "seen_at", "shown_for", "looked_up", "confirmed", "sound_offered", "next", "then", "kept"}
_NOT_TYPED |= {"seq", "hash", "username"}  # of a signature: what it covers, and who a browser is to remember
_Pairs = list[tuple[str, str]]


def ask_again() -> ResponseReturnValue:
    """Say that the sign-in has ended, and carry what was sent through the next one."""
    return page("signin/ended.html", 401, path=sent_to(), kept=str(_serializer().dumps(json.dumps(sent()))))


def sent_to() -> str:
    """Give the address that the form was sent to, to send it there again."""
    return request.full_path.removesuffix("?")


def sent() -> _Pairs:
    """Give the fields that were sent, to send them again: without secrets, and what belongs to the page itself."""
    fields = [(name, value) for name, value in request.form.items(multi=True) if not _is_dropped(name)]
    if "seen_at" in request.form:  # what was seen just now was seen now, not when somebody has said who they are
        fields.append(("seen_at", request.form["seen_at"] or clock.utc_now().isoformat(timespec="milliseconds")))
    return fields


def typed(fields: _Pairs) -> _Pairs:
    """Give of the fields that were sent what somebody typed or chose, each with its word."""
    return [(words.field_word(name), value) for name, value in fields if value.strip() and name not in _NOT_TYPED]


def needs_secret() -> bool:
    """Whether a password or PIN was sent, which is to be typed again."""
    return any(_SECRET.search(name) for name in request.form)


def _is_dropped(name: str) -> bool:
    return name in _NOT_CARRIED or _SECRET.search(name) is not None


def unpack(text: str | None) -> _Pairs:
    """Give the fields that were carried; none where there are none, or they are not ours, or too old."""
    try:
        pairs: _Pairs = json.loads(_serializer().loads(text or "", max_age=_LONGEST_S))
    except BadData:
        return []
    return pairs


def _serializer() -> URLSafeTimedSerializer:
    return URLSafeTimedSerializer(current_app.secret_key or "", salt="kept post")
