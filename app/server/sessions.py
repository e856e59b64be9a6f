"""Sessions: a signed cookie for the pages, none for the API."""

from flask import Flask
from flask.sessions import SecureCookieSession, SecureCookieSessionInterface
from flask.wrappers import Request


class _PagesOnly(SecureCookieSessionInterface):
    def open_session(self, app: Flask, request: Request) -> SecureCookieSession | None:
        # A token says who asks. Reading a cookie as well would cost every entry, and let a page's sign-in in.
        return None if request.path.startswith("/api/") else super().open_session(app, request)


def init_app(app: Flask) -> None:
    """Give the app its sessions."""
    app.session_interface = _PagesOnly()
