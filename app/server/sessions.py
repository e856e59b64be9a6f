"""Sessions: a signed cookie for the pages, none for the API."""

from flask import Flask
from flask.sessions import SecureCookieSession, SecureCookieSessionInterface
from flask.wrappers import Request
from itsdangerous import BadSignature


class _PagesOnly(SecureCookieSessionInterface):
    def open_session(self, app: Flask, request: Request) -> SecureCookieSession | None:
        # A token says who asks. Reading a cookie as well would cost every entry, and let a page's sign-in in.
        if request.path.startswith("/api/"):
            return None
        serializer, cookie = self.get_signing_serializer(app), request.cookies.get(self.get_cookie_name(app))
        if serializer is None or not cookie:
            return super().open_session(app, request)
        # Flask itself drops a cookie from the future: a clock that is put back would sign everybody out in the middle
        # of a form. How long a sign-in lasts, the pages look after.
        try:
            return self.session_class(serializer.loads(cookie))
        except BadSignature:
            return self.session_class()


def init_app(app: Flask) -> None:
    """Give the app its sessions."""
    app.session_interface = _PagesOnly()
