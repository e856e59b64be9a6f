"""Changing somebody's access wants the password again, and the person concerned hears of it."""

import re
from collections.abc import Callable
from datetime import datetime

import pytest
from flask import Flask

from app import register
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser

SetClock = Callable[[datetime | str], None]
NEW = "another four words here"

FORMS = [
    ("/setup/people", "/setup/people", {"name": "Dana", "login": "dana", "role": "cook", "password": NEW}),
    ("/setup/people/robin", "/robin/password", {"password": NEW}),
    ("/setup/people/robin", "/robin/pin", {"pin": "90210"}),
    ("/setup/people/robin", "/robin/role", {"role": "in_charge"}),
    ("/setup/people/robin", "/robin/retire", {}),
    ("/setup/tokens", "/setup/tokens", {"days": "30"}),
    ("/setup/tablets", "/setup/tablets", {"tablet": "B", "where": "elsewhere"}),
]


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password at noon."""
    return browser.sign_in("pat")


@pytest.fixture
def another(app: Flask, browser: Browser) -> Browser:
    """A second browser, in which nobody is signed in."""
    return Browser(app.test_client())


def register_size(database: Database) -> int:
    """Count the entries."""
    from app import ledger

    with database.reading() as session:
        return ledger.head(session, "S1")[0]


@pytest.mark.parametrize(("path", "action", "typed"), FORMS)
def test_after_a_few_minutes_the_password_is_asked_for_again(
    pat: Browser, database: Database, set_clock: SetClock, path: str, action: str, typed: dict[str, str]
) -> None:
    set_clock("12:05")
    page, before = pat.get(path), register_size(database)
    refused = page.send(action, **typed)
    assert refused.status == 422
    assert "Type your own password again: it was last typed a while ago." in refused.words
    assert register_size(database) == before
    wrong = page.send(action, **typed, own_password="guess")
    assert (wrong.status, "This is not your password." in wrong.words) == (422, True)
    assert register_size(database) == before
    assert page.send(action, **typed, own_password=cast.PASSWORD).status == 200
    assert register_size(database) > before


@pytest.mark.parametrize(("path", "action", "typed"), FORMS)
def test_whoever_has_just_typed_it_is_not_asked(
    pat: Browser, set_clock: SetClock, path: str, action: str, typed: dict[str, str]
) -> None:
    set_clock("12:04:59")
    page = pat.get(path)
    assert "Your own password" not in page.words
    assert page.send(action, **typed).status == 200


def test_the_password_that_was_typed_counts_for_a_few_minutes(pat: Browser, set_clock: SetClock) -> None:
    set_clock("12:30")
    pat.get("/setup/people/robin").send("/robin/pin", pin="90210", own_password=cast.PASSWORD)
    assert "The new PIN is valid" in pat.get("/setup/people/cook").send("/cook/pin", pin="90210").words
    set_clock("12:36")
    assert "Your own password" in pat.get("/setup/people/cook").words


def test_when_it_was_typed_is_not_the_browsers_to_say(pat: Browser, another: Browser, set_clock: SetClock) -> None:
    """The cookie of a sign-in holds its key alone: each sign-in has a time of its own, on the server."""
    set_clock("12:30")
    another.sign_in("pat")
    assert "Your own password" not in another.get("/setup/people/robin").words
    assert "Your own password" in pat.get("/setup/people/robin").words


def test_ending_a_lost_tablet_wants_no_password(pat: Browser, set_clock: SetClock) -> None:
    set_clock("12:30")
    assert "Tablet A was revoked" in pat.get("/setup/tablets/lost").send("/revoke").words


def test_a_token_is_for_oneself_unless_said_otherwise(pat: Browser) -> None:
    assert dict(pat.get("/setup/tokens").form("/setup/tokens").fields)["login"] == "pat"


@pytest.mark.parametrize(
    ("path", "action", "typed", "said"),
    [
        ("/setup/people/cook", "/cook/pin", {"pin": "90210"}, "Your PIN was set by Pat Porter, Tue 14 April 2026"),
        ("/setup/people/cook", "/cook/pin", {"pin": ""}, "Your PIN was removed by Pat Porter"),
        ("/setup/people/cook", "/cook/role", {"role": "in_charge"}, "Your role was set to person in charge by Pat"),
        ("/setup/tokens", "/setup/tokens", {"login": "cook"}, "in your name was issued by Pat Porter"),
    ],
)
def test_who_is_concerned_is_told_at_the_next_sign_in_once(
    pat: Browser, another: Browser, path: str, action: str, typed: dict[str, str], said: str, set_clock: SetClock
) -> None:
    pat.get(path).send(action, **typed)
    set_clock("12:01")
    page = another.get("/signin").send(site="S1", login="cook", password=cast.PASSWORD)
    assert said in page.words
    assert "If you did not know of this, tell the person in charge." in page.words
    assert said not in another.sign_in("cook").get("/").words
    assert said in another.get("/account").words


def test_a_new_password_is_told_at_the_tablet_too(pat: Browser, another: Browser, set_clock: SetClock) -> None:
    pat.get("/setup/people/cook").send("/cook/password", password=NEW)
    set_clock("12:01")
    assert "Your password was set by Pat Porter" in another.enrol().choose("cook").words


def test_what_the_command_line_did_is_told_so(browser: Browser, database: Database, set_clock: SetClock) -> None:
    set_clock("12:01")
    with database.writing() as session:
        person = register.get_person(session, register.get_site(session, "S1"), "cook")
        register.set_password(session, person, register.hash_password(NEW, login="cook"), at=cast.moment("12:00:30"))
    page = browser.get("/signin").send(site="S1", login="cook", password=NEW)
    assert "Your password was set by somebody at the server's command line" in page.words


def test_what_one_did_oneself_is_no_news(pat: Browser, set_clock: SetClock) -> None:
    pat.get("/account").send("/pin", password=cast.PASSWORD, pin="90210")
    set_clock("12:01")
    assert not re.search("Your PIN was set", pat.sign_in("pat").get("/").words)
    assert "Your PIN was set by you" in pat.get("/account").words


def test_it_is_told_by_the_clock_of_the_kitchen(pat: Browser, another: Browser, set_clock: SetClock) -> None:
    pat.get("/setup/site").send(clock="12")
    set_clock("13:05")
    pat.sign_in("pat").get("/setup/people/cook").send("/cook/password", password=NEW)
    page = another.get("/signin").send(site="S1", login="cook", password=NEW)
    assert "Your password was set by Pat Porter, Tue 14 April 2026, 1:05 pm CDT." in page.words
