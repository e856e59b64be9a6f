"""Who may do what: every route is walked by everybody, and the outcome held against the table of docs/access.md.

`yes`: the page is there, whatever it then says to an empty form. `no`: it is another role's. `sign in`: nobody is asked
who they are. `not there`: what another kitchen has is not even said to exist.
"""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from flask import Flask
from werkzeug.routing import Rule
from werkzeug.test import TestResponse

from app.db import Database
from tests import cast
from tests.web.browsing import Browser
from tests.web.written import action, finding, keep, low_reading

ACCESS = Path(__file__).parent.parent.parent / "docs" / "access.md"
VISITORS = ("nobody", "cook", "in charge", "inspector", "another site's")
_LOGINS = {"cook": "cook", "in charge": "pat", "inspector": "ines", "another site's": "other-lead"}

_Row = tuple[str, str]


def read_table() -> dict[_Row, tuple[str, ...]]:
    """Give the table of docs/access.md: method and route, then the outcome for each visitor."""
    rows = re.findall(r"^\| `(\w+) (\S+)` \|(.*)\|", ACCESS.read_text("utf-8"), re.MULTILINE)
    return {(method, route): tuple(cell.strip() for cell in cells.split("|"))[:5] for method, route, cells in rows}


@pytest.fixture
def app(app: Flask) -> Flask:
    """The app without the token against forged posts: this is about who asks."""
    app.config["WTF_CSRF_ENABLED"] = False
    return app


@pytest.fixture
def ids(database: Database) -> Mapping[str, object]:
    """What the places of a route are filled with: things of kitchen S1 that nobody of this walk needs."""
    drafts = low_reading()[:-1]
    keep(database, *drafts)
    keep(database, action(finding(database, "hold.temperature")))
    entry_id = drafts[9]["id"]
    return {
        "site": "S1",
        "day": cast.DAY.isoformat(),
        "login": "robin",
        "code": "white",
        "number": 2,
        "entry_id": entry_id,
        "load": "A-L1",
        "tray": "A-T1",
        "spit": 1,
        "kind": "note",
        "filename": "style.css",
    }


def walk(app: Flask) -> Iterator[tuple[_Row, Rule]]:
    """Give every route of the app with each of its methods."""
    for rule in app.url_map.iter_rules():
        for method in sorted((rule.methods or set()) - {"HEAD", "OPTIONS"}):
            yield (method, rule.rule), rule


def test_the_table_names_every_route_and_no_other(app: Flask) -> None:
    assert sorted(read_table()) == sorted(row for row, _ in walk(app))


@pytest.mark.parametrize("visitor", VISITORS)
def test_everybody_may_do_what_the_table_says(
    app: Flask, ids: Mapping[str, object], browser: Browser, visitor: str
) -> None:
    expected = {row: outcomes[VISITORS.index(visitor)] for row, outcomes in read_table().items()}
    assert outcomes(app, ids, visitor) == expected


def outcomes(app: Flask, ids: Mapping[str, object], visitor: str) -> dict[_Row, str]:
    """Walk every route as one visitor."""
    return {(method, route): _outcome(_ask(app, rule, method, ids, visitor)) for (method, route), rule in walk(app)}


def _ask(app: Flask, rule: Rule, method: str, ids: Mapping[str, object], visitor: str) -> TestResponse:
    with app.test_request_context():
        path = app.url_map.bind("localhost").build(rule.endpoint, {name: ids[name] for name in rule.arguments})
    client = app.test_client()
    login, is_api = _LOGINS.get(visitor), path.startswith("/api/")
    if is_api:
        site = "S2" if login in cast.STRANGERS else "S1"
        headers = cast.bearer(login, site) if login else {}
        return client.open(path, method=method, headers=headers, json=[] if method == "POST" else None)
    if login:
        Browser(client).sign_in(login)
    return client.open(path, method=method, data={} if method == "POST" else None)


def _outcome(answer: TestResponse) -> str:
    if answer.status_code == 401 or "/signin" in answer.headers.get("Location", "")[:8]:
        return "sign in"
    return {403: "no", 404: "not there"}.get(answer.status_code, "yes")


@pytest.mark.parametrize("login", ["other-lead", "other-cook", "other-inspector"])
def test_another_sites_people_see_nothing_of_this_one(
    app: Flask, ids: Mapping[str, object], browser: Browser, login: str
) -> None:
    browser.sign_in(login)
    for (method, _route), rule in walk(app):
        if method == "GET" and not rule.rule.startswith(("/api/", "/static/")):
            with app.test_request_context():
                path = app.url_map.bind("localhost").build(rule.endpoint, {name: ids[name] for name in rule.arguments})
            said = browser.client.get(path, follow_redirects=True).text
            assert not re.search("Kitchen S1|Casey|Pat Porter|0412-7|128 °F", said), path
