"""The server's clock behind its own records: each page says so in a sentence, and nothing typed is lost."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, keep, ordinary_day

SetClock = Callable[[datetime | str], None]
BEHIND = "Nothing can be saved now: the clock of this server is behind its own records, by 2 h."


@pytest.fixture
def pat(browser: Browser, database: Database, set_clock: SetClock) -> Browser:
    """The person in charge, signed in, after the clock went back by two hours."""
    keep(database, *ordinary_day()[:-1])
    browser.sign_in("pat")
    set_clock("10:00")
    return browser


READING = {"temperature": "151.5", "unit": "F", "probe": "blue", "note": "by the door"}
AGAIN = {"own_password": cast.PASSWORD}
"""By this clock it was typed two hours from now: it is asked for again."""
PERSON = {"name": "Dana Diaz", "login": "dana", "role": "cook", "password": "four words in a row", "pin": ""} | AGAIN
TYPED: list[tuple[str, str, dict[str, str]]] = [
    ("/trays/A-T1/out/served", "", {"birds": "2", "note": "to the counter"}),
    ("/units/walk-in/check", "", {"temperature": "39.5", "unit": "F", "note": "door open"}),
    ("/write/note", "", {"text": "The clock on the wall stopped."}),
    ("/setup/people", "/setup/people", PERSON),
    ("/setup/equipment", "/setup/equipment", {"kind": "oven", "code": "north"}),
    ("/setup/tokens", "/setup/tokens", {"login": "cook", "days": "33", **AGAIN}),
    ("/setup/plan/new", "/setup/plan", {"authority": "County", "password": cast.PASSWORD}),
]


@pytest.mark.parametrize(("path", "action", "typed"), TYPED, ids=[path for path, _action, _typed in TYPED])
def test_what_was_typed_stays_on_the_page(pat: Browser, path: str, action: str, typed: dict[str, str]) -> None:
    page = pat.get(path).send(action, **typed)
    assert (page.status, BEHIND in page.words) == (422, True)
    standing = dict(page.form(action).fields)
    assert {name: standing.get(name) for name in typed if "password" not in name} == {
        name: value for name, value in typed.items() if "password" not in name
    }


def test_a_reading_stays_on_the_page(pat: Browser) -> None:
    path = "/trays/A-T1/check"
    page = pat.get(path).send(**READING).send()
    assert BEHIND in page.words
    assert dict(page.form().fields) | READING == dict(page.form().fields)


def test_the_same_form_is_kept_once_the_clock_is_right(pat: Browser, set_clock: SetClock) -> None:
    set_clock("11:30")
    page = pat.get("/write/note").send(text="The clock on the wall stopped.")
    set_clock("12:01")
    assert "The clock on the wall stopped." in page.send().browser.get("/day/2026-04-14").words


@pytest.mark.parametrize(
    ("path", "action", "typed"),
    [
        ("/setup/people/cook", "/pin", {"pin": "4711", **AGAIN}),
        ("/setup/people/cook", "/role", {"role": "in_charge", **AGAIN}),
        ("/setup/people/cook", "/retire", AGAIN),
        ("/account", "/password", {"password": cast.PASSWORD, "new_password": "four words in a row"}),
    ],
)
def test_what_has_little_to_type_says_it_too(pat: Browser, path: str, action: str, typed: dict[str, str]) -> None:
    page = pat.get(path).send(action, **typed)
    assert (page.status, BEHIND in page.words) == (422, True)


def test_a_day_that_is_not_signed_is_not_called_so(pat: Browser, database: Database) -> None:
    keep(database, ordinary_day()[-1])
    page = pat.get("/day/2026-04-14").send("/sign", password=cast.PASSWORD)
    assert (page.status, BEHIND in page.words) == (422, True)
    assert assessed(database).signed is None


def test_a_form_that_was_open_when_the_clock_went_back_keeps_what_was_typed(pat: Browser, set_clock: SetClock) -> None:
    set_clock("12:00")
    form = pat.get("/trays/A-T1/out/served")
    set_clock("10:00")
    page = form.send(birds="3", note="to the counter")
    assert (page.status, BEHIND in page.words) == (422, True)
    assert dict(page.form().fields)["note"] == "to the counter"


def test_a_credential_that_was_not_revoked_is_not_called_so(pat: Browser) -> None:
    page = pat.get("/setup/tablets").send("/revoke")
    assert BEHIND in page.words
    assert "was revoked" not in page.words


def test_taking_charge_says_it_too(pat: Browser) -> None:
    assert BEHIND in pat.get("/checks").send("/in-charge").words


SERVER_OFF = "The server's clock is behind its records, by 120 min. Nothing is saved until it is right."


def test_every_page_says_that_it_is_the_clock_of_the_server(pat: Browser, set_clock: SetClock) -> None:
    assert all(SERVER_OFF in pat.get(path).words for path in ("/", "/trays/A-T1/check", "/day/2026-04-14", "/setup"))
    set_clock("12:01")
    assert "The server's clock is behind" not in pat.get("/").words


def test_a_part_that_is_asked_for_says_it_too_also_where_nothing_is_new(pat: Browser, set_clock: SetClock) -> None:
    part = {"X-Fragment": "live"}
    first = pat.client.get("/trays/A-T1/meanwhile", headers=part)
    again = pat.client.get("/trays/A-T1/meanwhile", headers={**part, "If-None-Match": first.headers["ETag"]})
    assert (again.status_code, first.headers["X-Behind"], again.headers["X-Behind"]) == (304, "120", "120")
    set_clock("12:01")
    assert "X-Behind" not in pat.client.get("/trays/A-T1/meanwhile", headers=part).headers


def test_pages_are_read_as_ever(pat: Browser) -> None:
    assert [pat.get(path).status for path in ("/", "/day/2026-04-14", "/setup")] == [200] * 3
