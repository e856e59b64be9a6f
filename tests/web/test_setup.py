"""Set-up: people, equipment, tablets and tokens. Only somebody in charge, only with a password."""

import re
from collections.abc import Callable
from datetime import datetime

import pytest
from flask import Flask

from app import register
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser, Page


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password."""
    return browser.sign_in("pat")


@pytest.fixture
def another(app: Flask, pat: Browser) -> Browser:
    """A second browser, in which nobody is signed in."""
    return Browser(app.test_client())


def add_person(pat: Browser, **typed: str) -> Page:
    """Add somebody, ordinary but for what is given."""
    ordinary = {"name": "Dana Diaz", "login": "dana", "role": "cook", "password": "four words in a row", "pin": "4711"}
    return pat.get("/setup/people").send("/setup/people", **{**ordinary, **typed})


def test_the_overview_counts_what_is_there(pat: Browser) -> None:
    words = pat.get("/setup").words
    assert "People" in words
    assert "version 1" in words


def test_somebody_new_can_sign_in(pat: Browser, another: Browser) -> None:
    assert "Dana Diaz was added." in add_person(pat).words
    assert another.get("/signin").send(site="S1", login="dana", password="four words in a row").status == 200


def test_a_cook_needs_a_name_and_a_pin(pat: Browser, another: Browser) -> None:
    assert "Dana Diaz was added." in add_person(pat, login="", password="").words
    assert "Dana Dorn was added." in add_person(pat, name="Dana Dorn", login="", password="", pin="9170").words
    another.enrol()
    another.choose("dana-2", pin="9170")
    assert "Dana Dorn" in another.get("/").words


def test_without_a_password_nobody_signs_in_by_one(pat: Browser, another: Browser) -> None:
    add_person(pat, password="")
    for typed in ("", "none", "4711"):
        assert another.get("/signin").send(site="S1", login="dana", password=typed).status == 422


def test_a_role_that_signs_in_wants_a_password_first(pat: Browser) -> None:
    add_person(pat, password="")
    page = pat.get("/setup/people/dana").send("/dana/role", role="in_charge")
    assert (page.status, "Set a password first." in page.words) == (422, True)
    pat.get("/setup/people/dana").send("/dana/password", password="four words in a row")
    assert "The new role applies" in pat.get("/setup/people/dana").send("/dana/role", role="in_charge").words


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"login": "two words"}, "Sign-in name: write it like this"),
        ({"login": "pat"}, "Sign-in name: this is taken already. Choose another."),
        ({"login": "x" * 33}, "Sign-in name: write it like this"),
        ({"name": ""}, "Name: this is needed."),
        ({"name": "x" * 101}, "Name: at most 100 characters."),
        ({"name": "Dana\u202eDiaz"}, "Name: write it like this"),
        ({"role": "owner"}, "Role: choose one of"),
        ({"role": ""}, "Role: choose one of"),
        ({"password": "", "role": "in_charge"}, "Password: this is needed."),
        ({"password": "", "role": "inspector"}, "Password: this is needed."),
        ({"password": "", "pin": ""}, "PIN: this is needed."),
        ({"login": "", "role": "in_charge"}, "Sign-in name: this is needed."),
        ({"password": "short"}, "Password: at least 8 characters."),
        ({"password": "password1"}, "This is among the first that people try."),
        ({"pin": "12a4"}, "PIN: write it like this: digits only."),
        ({"pin": "123"}, "PIN: from 4 to 8 digits."),
        ({"pin": "0000"}, "This PIN is among the first that people try."),
    ],
)
def test_a_person_that_cannot_be_is_refused_at_the_field(pat: Browser, typed: dict[str, str], said: str) -> None:
    page = add_person(pat, **typed)
    assert page.status == 422
    assert said in page.words
    assert 'aria-invalid="true"' in page.html or "role" in typed
    assert typed.get("name", "Dana Diaz") in page.html


def test_a_new_password_ends_earlier_sign_ins(pat: Browser, set_clock: Callable[[datetime | str], None]) -> None:
    set_clock("12:01")
    page = pat.get("/setup/people/pat").send("/pat/password", password="another four words here")
    assert page.path.startswith("/signin")


def test_a_pin_is_set_and_taken_away(database: Database, pat: Browser) -> None:
    assert "The new PIN is valid" in pat.get("/setup/people/robin").send("/robin/pin", pin="90210").words
    assert "The PIN was removed." in pat.get("/setup/people/robin").send("/robin/pin", pin="").words


def test_a_bad_pin_changes_nothing(pat: Browser) -> None:
    page = pat.get("/setup/people/robin").send("/robin/pin", pin="1234")
    assert page.status == 422
    assert "This PIN is among the first that people try." in page.words


def test_a_role_is_changed(pat: Browser) -> None:
    assert "person in charge" in pat.get("/setup/people/robin").send("/robin/role", role="in_charge").words


def test_somebody_retired_is_shown_so_and_cannot_sign_in(pat: Browser, another: Browser) -> None:
    assert "Robin Reyes was retired." in pat.get("/setup/people/robin").send("/retire").words
    assert "Retired on" in pat.get("/setup/people/robin").words
    assert another.get("/signin").send(site="S1", login="robin", password=cast.PASSWORD).status == 422


def test_the_last_person_in_charge_stays(database: Database, pat: Browser) -> None:
    pat.get("/setup/people/sam").send("/retire")
    page = pat.get("/setup/people/pat").send("/retire")
    assert page.status == 422
    assert "This is the only person in charge left. Add another first." in page.words


def test_the_role_of_the_last_person_in_charge_is_refused_at_its_field(pat: Browser) -> None:
    pat.get("/setup/people/sam").send("/retire")
    page = pat.get("/setup/people/pat").send("/pat/role", role="cook")
    assert (page.status, 'id="role-errors"' in page.html) == (422, True)
    assert dict(page.form("/pat/role").fields)["role"] == "cook"
    assert "This is the only person in charge left. Add another first." in page.words
    assert pat.get("/setup").status == 200  # still signed in, still in charge


@pytest.mark.parametrize("login", ["nobody", "other-cook", "x" * 200, "'; DROP TABLE people; --"])
def test_a_person_who_is_not_here_is_not_there(pat: Browser, login: str) -> None:
    assert pat.get(f"/setup/people/{login}").status == 404


def test_equipment_is_added_and_retired(pat: Browser) -> None:
    page = pat.get("/setup/equipment").send("/setup/equipment", kind="probe", code="red", scale="C")
    assert "Probe red was added." in page.words
    assert "red probe, °C only" in page.words
    assert "red was retired." in page.send("/red/retire").words


def test_an_oven_has_no_scale(database: Database, pat: Browser) -> None:
    pat.get("/setup/equipment").send("/setup/equipment", kind="oven", code="north", scale="F")
    with database.reading() as session:
        oven = register.find_equipment(session, register.get_site(session, "S1"), "north")
    assert oven is not None
    assert oven.scale is None


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"kind": "", "code": "x"}, "Kind: choose one of"),
        ({"kind": "drone", "code": "x"}, "Kind: choose one of"),
        ({"kind": "oven", "code": ""}, "Code: this is needed."),
        ({"kind": "oven", "code": "blue"}, "Code: this is taken already. Choose another."),
        ({"kind": "probe", "code": "BLUE"}, "Code: this is taken already. Choose another."),
        ({"kind": "oven", "code": "a b"}, "Code: write it like this"),
        ({"kind": "probe", "code": "x", "scale": "K"}, "Scale: choose one of"),
    ],
)
def test_equipment_that_cannot_be_is_refused_at_the_field(pat: Browser, typed: dict[str, str], said: str) -> None:
    page = pat.get("/setup/equipment").send("/setup/equipment", **typed)
    assert page.status == 422
    assert said in page.words


def test_equipment_retired_twice_is_said_to_be_retired(pat: Browser) -> None:
    page = pat.get("/setup/equipment")
    page.send("/white/retire")
    again = page.send("/white/retire")
    assert again.status == 422
    assert "this was retired" in again.words


def test_this_browser_becomes_a_tablet(pat: Browser) -> None:
    page = pat.get("/setup/tablets").send("/setup/tablets", tablet="B", where="here")
    assert page.path == "/"
    assert "tablet B Pages Now Checks Findings Entries Plan Nobody asked when you save" in page.words


def test_a_credential_for_another_device_is_shown_once(pat: Browser, another: Browser) -> None:
    page = pat.get("/setup/tablets").send("/setup/tablets", tablet="B", where="elsewhere")
    text = re.search(r'id="secret"[^>]*value="([^"]+)"', page.html)
    assert text is not None
    assert text[1] not in pat.get("/setup/tablets").html
    assert "tablet B" in another.get("/tablet").send(credential=text[1]).words


@pytest.mark.parametrize("tablet", ["", "two words", "x" * 33, "é"])
def test_a_tablet_without_a_proper_code_is_refused(pat: Browser, tablet: str) -> None:
    page = pat.get("/setup/tablets").send("/setup/tablets", tablet=tablet, where="here")
    assert page.status == 422
    assert "Tablet: " in page.words


def test_a_revoked_tablet_is_nobody(database: Database, pat: Browser) -> None:
    with database.reading() as session:
        listed = register.list_credentials(session, register.get_site(session, "S1"))
    number = next(row.number for row in listed if row.is_tablet)
    assert "Tablet A was revoked" in pat.get("/setup/tablets").send(f"/{number}/revoke").words
    assert "revoked Tue 14 April 2026" in pat.get("/setup/tablets").words
    pat.enrol()
    assert pat.get("/person").path.startswith("/signin")


def test_a_lost_tablet_is_ended_in_two_taps_from_the_first_page(pat: Browser, another: Browser) -> None:
    another.enrol()
    assert another.get("/").status == 200
    done = pat.get("/").follow("Lost a tablet?").send("/revoke")
    assert "Tablet A was revoked. It shows nothing and saves nothing any more." in done.words
    assert another.get("/").path == "/signin"
    assert "No tablet is enrolled." in pat.get("/setup/tablets/lost").words
    assert all("Lost a tablet?" not in pat.get(path).words for path in ("/", "/setup", "/setup/tablets"))


def test_only_with_the_password_is_a_tablet_ended(browser: Browser) -> None:
    browser.enrol().choose("pat")
    assert "Lost a tablet?" not in browser.get("/").words
    assert browser.get("/setup/tablets/lost").status == 403


def test_a_token_is_issued_and_revoked(pat: Browser) -> None:
    page = pat.get("/setup/tokens").send("/setup/tokens", login="cook", days="30")
    text = re.search(r'id="secret"[^>]*value="([^"]+)"', page.html)
    assert text is not None
    answer = pat.client.get("/api/v1/sites/S1/days/2026-04-14", headers={"Authorization": f"Bearer {text[1]}"})
    assert answer.status_code == 200
    assert "valid until Thu 14 May 2026" in pat.get("/setup/tokens").words


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"days": ""}, "Give a whole number of days"),
        ({"days": "soon"}, "Give a whole number of days"),
        ({"days": "0"}, "Days: from 1 to 366."),
        ({"days": "9999999999"}, "Give a whole number of days"),
        ({"login": "nobody"}, "nobody is not known here."),
        ({"login": "other-cook"}, "other-cook is not known here."),
    ],
)
def test_a_token_that_cannot_be_is_refused_at_the_field(pat: Browser, typed: dict[str, str], said: str) -> None:
    page = pat.get("/setup/tokens").send("/setup/tokens", **{"login": "cook", "days": "90", **typed})
    assert page.status == 422
    assert said in page.words


@pytest.mark.parametrize("number", ["0", "99999", "99999999999999999999"])
def test_a_credential_that_is_not_here_is_not_there(pat: Browser, number: str) -> None:
    fields = dict(pat.get("/setup/tokens").form("/setup/tokens").fields)
    answer = pat.client.post(f"/setup/credentials/{number}/revoke", data={"csrf_token": fields["csrf_token"]})
    assert answer.status_code == 404


@pytest.mark.parametrize(
    ("path", "action"),
    [
        ("/setup/people", "/setup/people"),
        ("/setup/people/robin", "/retire"),
        ("/setup/equipment", "/setup/equipment"),
        ("/setup/tablets", "/setup/tablets"),
        ("/setup/tokens", "/setup/tokens"),
        ("/setup/plan/new", "/setup/plan"),
    ],
)
def test_a_pin_on_a_tablet_changes_nothing_here(browser: Browser, path: str, action: str) -> None:
    browser.enrol().choose("pat")
    page = browser.get(path).send(action)
    assert page.status == 403
    assert "Sign in with your password" in page.words


@pytest.mark.parametrize("path", ["people", "equipment", "plan", "plan/new", "plan/1", "tablets", "tokens", ""])
def test_set_up_is_for_the_person_in_charge(cook: Browser, path: str) -> None:
    assert cook.get(f"/setup/{path}".rstrip("/")).status == 403
