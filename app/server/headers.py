"""Headers of every answer: what a browser may load, keep and tell others."""

from collections.abc import Iterable
from typing import Any

from flask import Flask

_POLICY = (
    "default-src 'none'",
    "script-src 'self'",
    "style-src 'self'",
    "img-src 'self' data:",
    "font-src 'self'",
    "connect-src 'self'",
    "manifest-src 'self'",
    "worker-src 'self'",
    "form-action 'self'",
    "base-uri 'none'",
    "frame-ancestors 'none'",
)

_HEADERS = {
    "Content-Security-Policy": "; ".join(_POLICY),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}
_OF_ALL = tuple((header[0].lower(), header) for header in _HEADERS.items())
_OF_RECORDS = (*_OF_ALL, ("cache-control", ("Cache-Control", "no-store")))
"""Each with its name in small letters, by which an answer's own is found."""


def init_app(app: Flask) -> None:
    """Add the headers to every answer of the app, unless the answer has its own."""
    app.wsgi_app = _WithHeaders(app.wsgi_app)  # type: ignore[method-assign]  # Flask's own way to wrap


class _WithHeaders:
    """Around the app, where headers are a plain list: six more in Flask's own took two hundred calls an answer."""

    def __init__(self, inner: Any) -> None:
        self._inner = inner

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        # Records belong to whoever is signed in now; the style sheet belongs to everybody.
        added = _OF_ALL if environ["PATH_INFO"].startswith("/static/") else _OF_RECORDS

        def start(status: str, headers: list[tuple[str, str]], error: Any = None) -> Any:
            own = {name.lower() for name, _value in headers}
            missing = [header for name, header in added if name not in own]
            return start_response(status, headers + missing, error)

        made: Iterable[bytes] = self._inner(environ, start)
        return made
