"""How long the server attends to one connection: whoever says nothing, or sends byte by byte, holds no thread for long.

The time limit of a socket is for each piece that comes; a byte every few seconds never meets it.
"""

import errno
import selectors
import socket
import ssl
from collections import deque
from functools import partial
from typing import Any

from gunicorn import http, util  # type: ignore[import-untyped]  # gunicorn tells no types
from gunicorn.sock import ssl_wrap_socket  # type: ignore[import-untyped]  # the same
from gunicorn.workers.gthread import _DEFER, ThreadWorker  # type: ignore[import-untyped]  # the same

from app import clock

from .settings import setting

LISTENS_S = 30
"""For the head and a short body; for the beginning of TLS as well."""
LEAST_SPEED = 8 * 1024
"""Bytes a second: what has come gives a longer one more time."""
PAUSE_S: int = setting("REQUEST_PAUSE_S")
"""How long a request may pause while it comes, and how long one record of TLS is waited for, which OpenSSL takes as a
whole: at most 16 KiB. Whoever says no more would hold a thread for ever."""
_LINGERS_S = 2.0
"""How long a closed connection is kept for what its client still sends: RFC 9112, 9.6."""
_MOST_DRAINED = 64 * 1024
"""Bytes."""


class PatientWorker(ThreadWorker):  # type: ignore[misc]  # gunicorn tells no types
    """A worker with threads that are taken by requests, not by connections that say nothing."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._closing: deque[Any] = deque()

    def handle(self, conn: Any) -> Any:
        """Handle the next request of a connection, as soon as one has begun."""
        conn.close = partial(self._close, conn)
        if not conn.initialized:
            if not conn.wait_for_data(0):
                return _DEFER
            try:
                if conn.cfg.is_ssl and not _went_on(conn):
                    return _DEFER
            except OSError:  # of TLS too: whatever came is no beginning of it
                return False
            conn.init()
            if conn.cfg.is_ssl and not conn.sock.pending() and not conn.wait_for_data(0):
                return _DEFER
        limit_listening(conn.parser.unreader)
        return super().handle(conn)

    def murder_pending(self) -> None:
        """Close what waited for too long; called about once a second."""
        super().murder_pending()
        while self._closing and self._closing[0].timeout <= clock.running_s():
            self._end(self._closing[0])

    def _close(self, conn: Any, graceful: bool = False) -> None:
        """Close a connection; what its client still sends is waited for beside all others.

        gunicorn waits for it in the thread that takes all connections in: sixty clients that leave theirs open would
        stop everybody for two minutes.
        """
        if not graceful:
            util.close(conn.sock)
            return
        conn.timeout, conn.drained = clock.running_s() + _LINGERS_S, 0
        try:
            conn.sock.shutdown(socket.SHUT_WR)
            conn.sock.setblocking(False)
            self.poller.register(conn.sock, selectors.EVENT_READ, lambda _sock: self._drain(conn))
        except (OSError, ValueError, KeyError):
            util.close(conn.sock)
            return
        self._closing.append(conn)

    def _drain(self, conn: Any) -> None:
        try:
            rest = conn.sock.recv(4096)
        except BlockingIOError:
            return
        except OSError:
            rest = b""
        conn.drained += len(rest)
        if not rest or conn.drained > _MOST_DRAINED:
            self._end(conn)

    def _end(self, conn: Any) -> None:
        self._closing.remove(conn)
        self.poller.unregister(conn.sock)
        util.close(conn.sock)


def _went_on(conn: Any) -> bool:
    """Go on with the beginning of TLS as far as what has come leads; False where more has to come.

    No thread waits for it. Raises OSError where it is no TLS, or took too long.
    """
    if not isinstance(conn.sock, ssl.SSLSocket):
        conn.begun_s = clock.running_s()
        conn.sock.setblocking(False)
        conn.sock = ssl_wrap_socket(conn.sock, conn.cfg)
    conn.data_ready = False
    try:
        conn.sock.do_handshake()
    except ssl.SSLWantReadError:
        if clock.running_s() > conn.begun_s + LISTENS_S:
            raise
        return False
    conn.parser = http.get_parser(conn.cfg, conn.sock, conn.client)
    return True


def limit_listening(unreader: Any) -> None:
    """Let a connection's reader take so much time for one request from now on, then end it as if the client had."""
    read, begun, received = type(unreader).chunk, clock.running_s(), 0

    def chunk(size_hint: int | None = None) -> bytes:
        nonlocal received
        left_s = begun + LISTENS_S + received / LEAST_SPEED - clock.running_s()
        if left_s < 0:
            raise ConnectionResetError(errno.ECONNRESET, "the request came too slowly")
        piece = _piece(partial(read, unreader, size_hint), unreader, min(left_s, PAUSE_S))
        received += len(piece)
        return piece

    unreader.chunk = chunk


def _piece(read: Any, unreader: Any, wait_s: float) -> bytes:
    """Read one piece. Of TLS, a read waits for a whole record, however many pieces it comes in: within `wait_s`."""
    sock = getattr(unreader, "sock", None)
    encrypted = sock if isinstance(sock, ssl.SSLSocket) else None
    try:
        if encrypted is not None:
            encrypted.settimeout(wait_s)
        piece: bytes = read()
        if encrypted is not None:
            encrypted.settimeout(None)
    except (TimeoutError, BlockingIOError, ssl.SSLWantReadError) as error:
        raise ConnectionResetError(errno.ECONNRESET, "the request broke off") from error
    return piece
