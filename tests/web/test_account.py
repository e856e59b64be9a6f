"""One's own account: a new password and PIN, with the present password."""

from collections.abc import Callable
from datetime import datetime

import pytest
from flask import Flask

from tests.support import cast
from tests.support.browsing import Browser

NEW = "another four words here"


@pytest.fixture
def another(app: Flask) -> Browser:
    """A second browser, in which nobody is signed in."""
    return Browser(app.test_client())


@pytest.mark.parametrize("login", ["cook", "pat", "ines"])
def test_everybody_changes_their_own_password_and_stays_signed_in(
    browser: Browser, another: Browser, login: str
) -> None:
    page = browser.sign_in(login).get("/account").send("/password", password=cast.PASSWORD, new_password=NEW)
    assert "Your new password is valid from now on." in page.words
    assert browser.get("/account").path == "/account"
    sign_in = another.get("/signin")
    assert sign_in.send(site="S1", login=login, password=cast.PASSWORD).status == 422
    assert sign_in.send(site="S1", login=login, password=NEW).status == 200


def test_a_new_password_ends_sign_ins_elsewhere(
    cook: Browser, another: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    elsewhere = another.sign_in("cook")
    set_clock("12:01")
    cook.get("/account").send("/password", password=cast.PASSWORD, new_password=NEW)
    assert elsewhere.get("/account").path.startswith("/signin")


def test_the_present_password_must_be_right(cook: Browser) -> None:
    page = cook.get("/account").send("/password", password="wrong", new_password=NEW)
    assert page.status == 422
    assert "This is not your password." in page.words


@pytest.mark.parametrize("new", ["", "short", "password1", "x" * 1001])
def test_a_new_password_that_cannot_be_is_refused_at_its_field(cook: Browser, new: str) -> None:
    page = cook.get("/account").send("/password", password=cast.PASSWORD, new_password=new)
    assert page.status == 422
    assert 'id="new_password-errors"' in page.html


def test_a_new_pin_opens_the_tablet(cook: Browser) -> None:
    assert "Your new PIN is valid" in cook.get("/account").send("/pin", password=cast.PASSWORD, pin="90210").words
    assert cook.enrol().choose("cook", pin="90210").status == 200


@pytest.mark.parametrize("pin", ["", "123", "4444", "12345678901", "abcd"])
def test_a_pin_that_cannot_be_is_refused_at_its_field(cook: Browser, pin: str) -> None:
    page = cook.get("/account").send("/pin", password=cast.PASSWORD, pin=pin)
    assert page.status == 422
    assert 'id="pin-errors"' in page.html


def test_a_cook_on_a_tablet_stays_at_the_tablet(tablet: Browser) -> None:
    page = tablet.get("/account").send("/pin", password=cast.PASSWORD, pin="90210")
    assert "Casey Cook Change" in page.words
