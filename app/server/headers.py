"""Headers of every answer: what a browser may load, keep and tell others."""

from flask import Flask, Response, request

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


def init_app(app: Flask) -> None:
    """Add the headers to every answer of the app."""
    app.after_request(_add_headers)


def _add_headers(response: Response) -> Response:
    for name, value in _HEADERS.items():
        response.headers.setdefault(name, value)
    # Records belong to whoever is signed in now; the style sheet belongs to everybody.
    if request.endpoint != "static" and "Cache-Control" not in response.headers:
        response.headers["Cache-Control"] = "no-store"
    return response
