"""Whoever names another host as the server's, or doubles a slash, is never led away, and nor is who follows."""

from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.support.browsing import Browser
from tests.support.routes import path_of, walk

pytestmark = pytest.mark.usefixtures("no_csrf")

_HOST = "evil.example"
_ELSEWHERE = f"//{_HOST}/"
_LEADING = ("Location", "Content-Location", "Link", "Refresh")


def answers(app: Flask, ids: Mapping[str, object], login: str | None) -> Iterator[tuple[str, TestResponse]]:
    """Ask for every route, as it is, with an end like a folder's and with each slash doubled, as on the other host."""
    browser = Browser(app.test_client())
    named = browser.sign_in(login).client.get_cookie(app.config["SESSION_COOKIE_NAME"]) if login else None
    for (method, _route), rule in walk(app):
        path, _mark, query = path_of(app, rule, ids).partition("?")
        sent = {"data": {"next": _ELSEWHERE, "day": _ELSEWHERE}} if method == "POST" else {}
        for asked in {path, f"{path}/", path.replace("/", "//"), f"/{path}", f"/{_ELSEWHERE}{path}"}:
            client = app.test_client()
            if named:
                client.set_cookie(named.key, named.value, domain=_HOST)
            yield (
                f"{method} {asked}",
                ask(client, asked, method=method, query_string=f"{query}&next={_ELSEWHERE}", **sent),
            )


def ask(client: FlaskClient, path: str, **more: Any) -> TestResponse:
    """Ask as on the other host, for the path as it stands: the client would take a doubled slash for a host's name."""
    headers = {"Host": _HOST, "Referer": f"http:{_ELSEWHERE}", "X-Forwarded-Host": _HOST}
    return client.open("/", headers=headers, environ_overrides={"PATH_INFO": path}, **more)


@pytest.mark.parametrize("login", [None, "pat", "cook"])
def test_no_answer_leads_to_the_host_that_was_named(app: Flask, ids: Mapping[str, object], login: str | None) -> None:
    led, count = [], 0
    for asked, answer in answers(app, ids, login):
        for name in _LEADING:
            leads_to = answer.headers.get(name, "/")
            count += name in answer.headers
            if not leads_to.startswith("/") or "//" in leads_to.partition("?")[0] or "\\" in leads_to:
                led.append((asked, name, leads_to))
        answer.close()
    assert led == []
    assert count > 40


@pytest.mark.parametrize("path", ["/static//style.css", f"{_ELSEWHERE}..", "/day//2026-04-14"])
def test_a_doubled_slash_is_no_page(app: Flask, path: str) -> None:
    answer = ask(app.test_client(), path)
    assert answer.status_code == 404
    assert _HOST not in answer.text
