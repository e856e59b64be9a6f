"""A new role is one line of the table: who has it is added, signs in, sees their pages and no others."""

import re

import pytest

from app import register
from app.db import Database
from app.kinds import permissions
from app.kinds.permissions import Permission
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, ordinary_day

DAY = cast.DAY.isoformat()
NAVIGATION = re.compile(r'<nav [^>]*aria-label="Pages">(.*?)</nav>', re.DOTALL)


@pytest.fixture(autouse=True)
def new_role(monkeypatch: pytest.MonkeyPatch) -> None:
    """The one line."""
    reads = {one for one in Permission if one.startswith("read_") and one is not Permission.READ_SETUP}
    monkeypatch.setitem(permissions.ROLES, "auditor", frozenset({*reads, Permission.OWN_ACCOUNT}))


@pytest.fixture
def auditor(database: Database, browser: Browser) -> Browser:
    """An auditor whom the person in charge added at the page of people, signed in; there is a day to look at."""
    keep(database, *ordinary_day())
    people = browser.sign_in("pat").get("/setup/people")
    typed = {"login": "aud", "name": "Ada Audit", "role": "auditor", "password": cast.PASSWORD, "pin": cast.PIN}
    added = people.send("/setup/people", **typed)
    assert (added.status, "Ada Audit aud auditor" in added.words) == (200, True)
    return browser.sign_in("aud")


def test_they_begin_at_the_first_page_of_their_header(auditor: Browser) -> None:
    first = auditor.get("/")
    header = NAVIGATION.findall(first.html)[0]
    assert (first.path, re.findall(r">(\w+)</a>", header)) == ("/days", ["Days", "Trace", "Plan", "Chain"])


@pytest.mark.parametrize(
    "path",
    [
        "/days",
        f"/day/{DAY}",
        f"/day/{DAY}/entries",
        "/trends",
        "/trace",
        "/charts/load/A-L1",
        "/inspection",
        "/account",
    ],
)
def test_they_see_what_they_may_read(auditor: Browser, path: str) -> None:
    assert auditor.get(path).status == 200


@pytest.mark.parametrize(
    "path", ["/checks", "/findings", "/entries", "/write", "/loads/new", "/setup", "/setup/people", "/setup/plan/new"]
)
def test_they_are_refused_other_pages(auditor: Browser, path: str) -> None:
    assert auditor.get(path).status == 403


@pytest.mark.parametrize("path", [f"/day/{DAY}/sign", f"/day/{DAY}/verification", "/in-charge", "/setup/people"])
def test_they_are_refused_what_changes_anything(auditor: Browser, path: str) -> None:
    token = auditor.get("/account").form("/account/password").with_typed({})["csrf_token"]
    assert auditor.send(path, {"csrf_token": token}).status == 403


def test_pages_offer_them_nothing_to_do(auditor: Browser) -> None:
    day, own = auditor.get(f"/day/{DAY}"), auditor.get("/account")
    assert [form.action for form in day.forms] == ["/signout"]
    assert "Correct an entry" not in day.words
    assert [form.action for form in own.forms] == ["/signout", "/account/password"]
    assert "Trends" in auditor.get("/days").words


def test_a_tablet_is_not_for_them(auditor: Browser) -> None:
    auditor.enrol()
    assert "Casey Cook" in auditor.get("/person").words
    assert 'value="aud"' not in auditor.get("/person").html
    assert "Tap your name." in auditor.choose("aud").words


def test_their_token_reads_and_does_not_write(auditor: Browser, database: Database) -> None:
    with database.writing() as session:
        person = register.get_person(session, register.get_site(session, "S1"), "aud")
        _number, token = register.issue_token(session, person, days=1, at=cast.moment("12:00"))
    headers = {"Authorization": f"Bearer {token}"}
    asked = [f"days/{DAY}", "ledger"]
    answers = [auditor.client.get(f"/api/v1/sites/S1/{path}", headers=headers).status_code for path in asked]
    note = cast.draft("note", at="11:00")
    posted = auditor.client.post("/api/v1/sites/S1/entries", json=[note], headers=headers)
    by_tablet = auditor.client.post(
        "/api/v1/sites/S1/entries", json=[{**note, "person": "aud"}], headers=cast.bearer("A")
    )
    assert (answers, posted.status_code) == ([200, 200], 403)
    assert by_tablet.get_json()[0]["errors"][0]["code"] == "forbidden"


def test_whoever_may_record_but_not_mend_is_refused_a_mending(
    monkeypatch: pytest.MonkeyPatch, browser: Browser, database: Database
) -> None:
    note = cast.draft("note", at="11:00")
    keep(database, note)
    monkeypatch.setitem(permissions.ROLES, "cook", permissions.ROLES["cook"] - {Permission.MEND_ENTRY})
    posted = [cast.draft("note", at="11:01"), cast.withdrawal(note, at="11:02")]
    answers = browser.client.post("/api/v1/sites/S1/entries", json=posted, headers=cast.bearer("cook")).get_json()
    assert [[(one["field"], one["code"]) for one in answer["errors"]] for answer in answers] == [
        [],
        [("amends", "forbidden")],
    ]
