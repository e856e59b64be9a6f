"""Style sheets and scripts go out compressed, each packed once.

Pages do not: they hold a secret (the token against forged posts) beside what somebody typed, and how well both pack
together would tell of the secret.
"""

import gzip
from functools import lru_cache
from typing import Any

from flask import Flask, Response, request

_PACKED = frozenset(("text/css", "text/javascript", "application/javascript", "image/svg+xml"))


def init_app(app: Flask) -> None:
    """Compress the static texts of the app for whoever can read that."""
    send = app.view_functions["static"]

    def send_packed(**values: Any) -> Response:
        sent: Any = send(**values)
        return _compress(app.make_response(sent))

    app.view_functions["static"] = send_packed


def _compress(response: Response) -> Response:
    if response.mimetype not in _PACKED:
        return response
    response.vary.add("Accept-Encoding")
    can_read = request.accept_encodings.quality("gzip") > 0
    if can_read and request.method == "GET" and response.status_code == 200:
        response.direct_passthrough = False
        response.set_data(_packed(response.get_data()))
        response.headers["Content-Encoding"] = "gzip"
    return response


@lru_cache(maxsize=32)
def _packed(content: bytes) -> bytes:
    return gzip.compress(content, mtime=0)
