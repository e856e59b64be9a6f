"""Pages are made a few at a time in each process: whoever saves shares it with those few, not with every reader.

A process runs one thread at a moment. With no limit, fifty tablets that ask for their page at once would each take
turns with a cook's reading, which asks the database a dozen times and queues again after each.
"""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from threading import BoundedSemaphore
from typing import Any

from flask import Flask, current_app

AT_ONCE = 3
_PATIENCE_S = 20
"""After so long a page is made all the same: something slow must not stop the rest."""
_NOT_COUNTED = ("/api/", "/static/", "/healthz")
_SHARED = ("/", "/due")
"""Made for many at once: whoever makes it takes a turn, and the others wait for that one without."""


def init_app(app: Flask) -> None:
    """Let the app make its pages in turn; what is written, and the API, wait for nobody."""
    turns = app.extensions["page_turns"] = BoundedSemaphore(AT_ONCE)
    app.wsgi_app = _PagesInTurn(app.wsgi_app, turns)  # type: ignore[method-assign]  # Flask's own way to wrap


@contextmanager
def turn() -> Iterator[None]:
    """Make within it what many wait for."""
    turns: BoundedSemaphore = current_app.extensions["page_turns"]
    is_ours = turns.acquire(timeout=_PATIENCE_S)
    try:
        yield
    finally:
        if is_ours:
            turns.release()


class _PagesInTurn:
    def __init__(self, inner: Any, turns: BoundedSemaphore) -> None:
        self._inner, self._turns = inner, turns

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        path = environ["PATH_INFO"]
        is_counted = path not in _SHARED and not path.startswith(_NOT_COUNTED)
        is_page = environ["REQUEST_METHOD"] in ("GET", "HEAD") and is_counted
        if not (is_page and self._turns.acquire(timeout=_PATIENCE_S)):
            made: Iterable[bytes] = self._inner(environ, start_response)
            return made
        try:
            made = self._inner(environ, start_response)
        finally:
            self._turns.release()
        return made
