"""How long the server listens to one request: whoever sends it byte by byte does not hold a thread for ever.

The time limit of a socket is for each piece that comes; a byte every few seconds never meets it.
"""

import errno
from typing import Any

from gunicorn.workers.gthread import ThreadWorker  # type: ignore[import-untyped]  # gunicorn tells no types

from app import clock

LISTENS_S = 30
"""For the head and a short body."""
LEAST_SPEED = 8 * 1024
"""Bytes a second: what has come gives a longer one more time."""


class PatientWorker(ThreadWorker):  # type: ignore[misc]  # gunicorn tells no types
    """A worker with threads that ends a request which comes too slowly."""

    def handle(self, conn: Any) -> Any:
        """Handle the next request of a connection."""
        if conn.initialized:
            limit_listening(conn.parser.unreader)
        else:
            begin = conn.init

            def init() -> None:
                begin()
                limit_listening(conn.parser.unreader)

            conn.init = init
        return super().handle(conn)


def limit_listening(unreader: Any) -> None:
    """Let a connection's reader take so much time for one request from now on, then end it as if the client had."""
    read, begun, received = type(unreader).chunk, clock.running_s(), 0

    def chunk(size_hint: int | None = None) -> bytes:
        nonlocal received
        if clock.running_s() > begun + LISTENS_S + received / LEAST_SPEED:
            raise ConnectionResetError(errno.ECONNRESET, "the request came too slowly")
        piece: bytes = read(unreader, size_hint)
        received += len(piece)
        return piece

    unreader.chunk = chunk
