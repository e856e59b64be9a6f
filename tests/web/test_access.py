"""Who may do what: every route is walked by everybody, and the outcome held against the table of docs/access.md.

`yes`: the page is there, whatever it then says to an empty form. `no`: it is another role's. `sign in`: nobody is asked
who they are. `not there`: what another kitchen has is not even said to exist. The tablet is an enrolled one with the
person in charge at it by PIN, the tablet alone has nobody at it; to the API both show the tablet's own credential.
"""

import re
from collections.abc import Iterator, Mapping

import pytest
from flask import Flask
from werkzeug.routing import Rule
from werkzeug.test import TestResponse

from app import ledger
from app.db import Database
from app.kinds.permissions import ROLES, may
from app.web.parts import navigation
from docs.list_access import permission_of
from tests.support import cast, printing
from tests.support.browsing import Browser
from tests.support.routes import Row, path_of, read_table, walk

pytestmark = pytest.mark.usefixtures("no_csrf")

_LOGINS = {"cook": "cook", "person in charge": "pat", "inspector": "ines", "another kitchen's": "other-lead"}
VISITORS = ("nobody", "tablet", "tablet alone", *_LOGINS)
"""As the columns of the table are called."""
_NOBODY_KNOWN = ("nobody", "tablet alone")


@pytest.fixture(autouse=True)
def set_once() -> Iterator[None]:
    """A PDF is set once for all who may have it."""
    with printing.each_page_set_once():
        yield


def test_the_table_names_every_route_and_no_other(app: Flask) -> None:
    assert sorted(read_table()) == sorted(row for row, _ in walk(app))


def test_every_role_walks(app: Flask) -> None:
    for outcomes in read_table().values():
        assert outcomes.keys() - {"takes", ""} == set(VISITORS)
    people = cast.PEOPLE | cast.STRANGERS
    assert {people[login].role for login in _LOGINS.values()} == set(ROLES)


def test_the_table_says_what_each_route_takes(app: Flask) -> None:
    expected = {row: permission_of(app, rule) for row, rule in walk(app)}
    said = {row: outcomes["takes"].strip("`") for row, outcomes in read_table().items()}
    assert said == {row: permission or "" for row, permission in expected.items()}


def test_what_is_open_to_everybody_is_what_leads_to_a_sign_in_and_no_more(app: Flask) -> None:
    takes_nothing = {rule.endpoint for _, rule in walk(app) if permission_of(app, rule) is None}
    signing_in = {f"signin.{view}" for view in ("sign_in", "sign_out", "people", "who", "tablet")}
    begin = {"begin.code", "begin.kitchen"}  # whoever has the link that the terminal printed
    check = {"check_log.form", "check_log.check", "check_log.checker"}  # whoever holds a log asks whether it is ours
    by_link = {f"at_the_door.link_{what}" for what in ("days", "plan", "probes", "log")}
    opened = signing_in | begin | check | by_link
    assert takes_nothing == opened | {"static", "api.openapi.read_openapi", "healthz"}


def test_the_header_leads_to_no_page_that_is_refused(app: Flask) -> None:
    taken = {rule.endpoint: permission for _, rule in walk(app) if (permission := permission_of(app, rule))}
    shown = [(place.endpoint, role) for place in navigation.PLACES for role in ROLES if place.is_for(role)]
    assert [(endpoint, role) for endpoint, role in shown if not may(role, taken[endpoint])] == []


@pytest.mark.long
@pytest.mark.parametrize("visitor", VISITORS)
def test_everybody_may_do_what_the_table_says(
    app: Flask, ids: Mapping[str, object], browser: Browser, database: Database, visitor: str
) -> None:
    """And whoever is not known as a person keeps nothing."""
    expected, before = {row: outcomes[visitor] for row, outcomes in read_table().items()}, _head(database)
    assert outcomes(app, ids, visitor) == expected
    assert visitor not in _NOBODY_KNOWN or _head(database) == before


def outcomes(app: Flask, ids: Mapping[str, object], visitor: str) -> dict[Row, str]:
    """Walk every route as one visitor; signing out comes last, since it ends the sign-in that all of them show."""
    walked, cookies = {}, _cookies(app, visitor)
    for row, rule in sorted(walk(app), key=lambda one: one[1].endpoint == "signin.sign_out"):
        answer = _ask(app, rule, row[0], ids, visitor=visitor, cookies=cookies)
        walked[row] = _outcome(answer)
        answer.close()
    return walked


def _cookies(app: Flask, visitor: str) -> dict[str, str]:
    """Give the cookies of a visitor who has just come in; each route then sees them as they are here."""
    client, login = app.test_client(), _LOGINS.get(visitor)
    if login:
        Browser(client).sign_in(login)
    elif visitor == "tablet":
        Browser(client).enrol().choose("pat")
    elif visitor == "tablet alone":
        Browser(client).enrol().get("/")
    found = {name: client.get_cookie(name) for name in (app.config["SESSION_COOKIE_NAME"], "tablet")}
    return {name: cookie.value for name, cookie in found.items() if cookie}


def _ask(
    app: Flask, rule: Rule, method: str, ids: Mapping[str, object], *, visitor: str, cookies: Mapping[str, str]
) -> TestResponse:
    path = path_of(app, rule, ids)
    client = app.test_client()
    if path.startswith("/api/"):
        holder = "A" if visitor.startswith("tablet") else _LOGINS.get(visitor)
        headers = cast.bearer(holder, "S2" if holder in cast.STRANGERS else "S1") if holder else {}
        return client.open(path, method=method, headers=headers, json=[] if method == "POST" else None)
    for name, value in cookies.items():
        client.set_cookie(name, value)
    return client.open(path, method=method, data={"code": "us_food_code_2022"} if method == "POST" else None)


def _outcome(answer: TestResponse) -> str:
    leads_to = answer.headers.get("Location", "")
    if "X-Asks" in answer.headers:
        return "yes"  # it was taken in, and asks who is saving it
    if answer.status_code == 401 or leads_to.startswith(("/signin", "/person")):
        return "sign in"
    return {403: "no", 404: "not there"}.get(answer.status_code, "yes")


def _head(database: Database) -> tuple[int, str]:
    with database.reading() as session:
        return ledger.head(session, "S1")


@pytest.mark.parametrize("login", ["other-lead", "other-cook", "other-inspector"])
def test_another_sites_people_see_nothing_of_this_one(
    app: Flask, ids: Mapping[str, object], browser: Browser, login: str
) -> None:
    browser.sign_in(login)
    for (method, _route), rule in walk(app):
        if method == "GET" and not rule.rule.startswith(("/api/", "/static/")):
            path = path_of(app, rule, ids)
            said = browser.client.get(path, follow_redirects=True).data.decode("utf-8", "replace")
            assert not re.search("Casey Cook|Pat Porter|0412-7|128 °F", said), path
