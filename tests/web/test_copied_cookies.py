"""What a cookie is worth that somebody else has: planted before a sign-in, or copied while it lasted."""

from collections.abc import Callable
from datetime import datetime

from flask import Flask

from tests.support import cast
from tests.support.browsing import Browser

SESSION = "roast_ledger"


def cookie_of(browser: Browser) -> str:
    cookie = browser.client.get_cookie(SESSION)
    assert cookie is not None
    return cookie.value


def somebody_with(app: Flask, cookie: str) -> Browser:
    other = Browser(app.test_client())
    other.client.set_cookie(SESSION, cookie)
    return other


def typed_in(browser: Browser, login: str) -> None:
    page = browser.get("/signin").send(site="S1", login=login, password=cast.PASSWORD)
    assert page.path == "/", page.words


def test_a_cookie_planted_before_the_sign_in_is_worth_nothing_after(app: Flask, browser: Browser) -> None:
    browser.get("/signin")
    planted = cookie_of(browser)
    typed_in(browser, "cook")
    assert cookie_of(browser) != planted
    assert somebody_with(app, planted).get("/").path.startswith("/signin")
    with browser.client.session_transaction() as held:
        own_key = held["csrf_token"]
    with somebody_with(app, planted).client.session_transaction() as before:
        assert before["csrf_token"] != own_key


def test_a_planted_sign_in_does_not_become_the_one_who_signs_in_there(app: Flask, browser: Browser) -> None:
    typed_in(browser, "cook")
    planted = cookie_of(browser)
    victim = somebody_with(app, planted)
    victim.send("/signout", victim.get("/").forms[0].with_typed({}))
    typed_in(victim, "pat")
    assert somebody_with(app, planted).get("/").path.startswith("/signin")


def test_a_copy_ends_with_the_password_that_it_was_made_under(
    app: Flask, browser: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    typed_in(browser, "pat")
    copied = cookie_of(browser)
    assert somebody_with(app, copied).get("/days").status == 200
    set_clock("12:01")
    browser.get("/setup/people/pat").send("/pat/password", password="another four words here")
    assert somebody_with(app, copied).get("/days").path.startswith("/signin")
