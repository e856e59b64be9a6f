"""Pages are made a few at a time in each process: whoever saves shares it with those few, not with every reader.

A process runs one thread at a moment. With no limit, fifty tablets that ask for their page at once would each take
turns with a cook's reading, which asks the database a dozen times and queues again after each.
"""

from collections.abc import Iterable
from threading import BoundedSemaphore
from typing import Any

from flask import Flask

AT_ONCE = 3
_PATIENCE_S = 20
"""After so long a page is made all the same: something slow must not stop the rest."""
_NOT_COUNTED = ("/api/", "/static/", "/healthz")


def init_app(app: Flask) -> None:
    """Let the app make its pages in turn; what is written, and the API, wait for nobody."""
    app.wsgi_app = _PagesInTurn(app.wsgi_app)  # type: ignore[method-assign]  # Flask's own way to wrap


class _PagesInTurn:
    def __init__(self, inner: Any) -> None:
        self._inner, self._turns = inner, BoundedSemaphore(AT_ONCE)

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        is_page = environ["REQUEST_METHOD"] in ("GET", "HEAD") and not environ["PATH_INFO"].startswith(_NOT_COUNTED)
        if not (is_page and self._turns.acquire(timeout=_PATIENCE_S)):
            made: Iterable[bytes] = self._inner(environ, start_response)
            return made
        try:
            made = self._inner(environ, start_response)
        finally:
            self._turns.release()
        return made
