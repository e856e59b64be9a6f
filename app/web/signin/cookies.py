"""Cookies beside the session's: scripts cannot read them, and under TLS no other host or path can set them."""

from datetime import timedelta

from flask import Request, Response, current_app


def cookie_name(name: str) -> str:
    """Give a cookie's name: one with the prefix `__Host-` browsers take only over TLS, from this very host."""
    return f"__Host-{name}" if current_app.config["SESSION_COOKIE_SECURE"] else name


def read(request: Request, name: str) -> str | None:
    """Give what a cookie says."""
    return request.cookies.get(cookie_name(name))


def set_for_long(response: Response, name: str, text: str, age: timedelta) -> None:
    """Let the browser keep a cookie for so long."""
    is_secure = bool(current_app.config["SESSION_COOKIE_SECURE"])
    response.set_cookie(cookie_name(name), text, max_age=age, secure=is_secure, httponly=True, samesite="Lax", path="/")
