"""Which people signed in with this browser before: a signed cookie says so, and outlasts their sign-ins.

Wrong passwords are counted apart for such a browser, so that nobody elsewhere keeps its people from signing in.
"""

import secrets
from datetime import timedelta

from flask import Response, after_this_request, current_app, request
from itsdangerous import BadData, URLSafeSerializer

from . import cookies

_NAME = "known"
_AGE = timedelta(days=400)  # browsers keep a cookie no longer
_MOST = 8
"""So many people are remembered, the last ones: the cookie stays small."""

_Known = list[list[str]]


def known_as(site: str, login: str) -> str | None:
    """Give the random id under which this browser is known for a person; None where they never signed in with it."""
    return next((own for of, name, own in _read() if (of, name) == (site, login)), None)


def last_site() -> str:
    """Give the code of the kitchen that somebody signed in to with this browser for the first time last; else empty."""
    return next((of for of, _name, _own in _read()), "")


def remember(site: str, login: str) -> None:
    """Let the answer to this request make the browser known for a person who has just shown their password."""
    if known_as(site, login) is not None:
        return
    known = [[site, login, secrets.token_urlsafe(16)], *_read()][:_MOST]

    @after_this_request
    def keep(response: Response) -> Response:
        cookies.set_for_long(response, _NAME, str(_serializer().dumps(known)), _AGE)
        return response


def _read() -> _Known:
    try:
        found: _Known = _serializer().loads(cookies.read(request, _NAME) or "")
    except BadData:
        return []
    return found


def _serializer() -> URLSafeSerializer:
    return URLSafeSerializer(current_app.secret_key or "", salt="known browser")
