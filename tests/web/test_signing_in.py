"""Signing in: with a password anywhere, by name and PIN on an enrolled tablet; and every way that it ends."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app import register
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser

SetClock = Callable[[datetime | str], None]


def test_login_and_password_lead_to_the_first_page(browser: Browser) -> None:
    page = browser.get("/signin").send(site="S1", login="cook", password=cast.PASSWORD)
    assert (page.path, page.status) == ("/", 200)
    assert "Casey Cook" in page.words


def test_the_page_that_was_asked_for_comes_after_signing_in(browser: Browser) -> None:
    asked = browser.get("/loads/new")
    page = asked.send(site="S1", login="cook", password=cast.PASSWORD)
    assert page.path == "/loads/new"


@pytest.mark.parametrize(
    "path", ["https://elsewhere.example/", "//elsewhere.example/", "/\\elsewhere.example", "/\t/elsewhere.example"]
)
def test_another_address_is_never_gone_on_to(browser: Browser, path: str) -> None:
    page = browser.get("/signin").send(site="S1", login="cook", password=cast.PASSWORD, next=path)
    assert page.path == "/"
    form = next(form for form in browser.enrol().get("/person").forms if "pin" in form.names)
    page = browser.send("/person", form.with_typed({"saver": "robin", "pin": cast.PIN, "next": path}))
    assert page.path == "/"


@pytest.mark.parametrize(
    ("login", "password"), [("cook", "wrong"), ("nobody", cast.PASSWORD), ("", ""), ("other-cook", cast.PASSWORD)]
)
def test_name_and_password_that_do_not_belong_together_are_told_apart_by_nobody(
    browser: Browser, login: str, password: str
) -> None:
    page = browser.get("/signin").send(site="S1", login=login, password=password)
    assert page.status == 422
    assert "The name or the password is wrong." in page.words


def test_guessing_has_to_wait(browser: Browser) -> None:
    form = browser.get("/signin")
    for _ in range(5):
        form.send(site="S1", login="cook", password="guess")
    page = form.send(site="S1", login="cook", password=cast.PASSWORD)
    assert page.status == 422
    assert "Too many tries." in page.words


def test_with_several_kitchens_one_is_asked_for(browser: Browser) -> None:
    page = browser.get("/signin")
    assert "site" in page.form().names
    assert page.send(site="S2", login="cook", password=cast.PASSWORD).status == 422


def test_on_a_tablet_a_name_is_chosen_and_a_pin_typed(browser: Browser) -> None:
    people = browser.enrol().get("/person")
    assert "Robin Reyes" in people.words
    assert "Ines Ito" not in people.words
    page = browser.choose("robin")
    assert page.path == "/"
    assert "Robin Reyes Change" in page.words


def test_another_person_is_three_taps_and_a_pin_away_and_stays_on_the_page(tablet: Browser) -> None:
    people = tablet.get("/checks").follow("Change")
    page = tablet.send(people.forms[-2].action, people.forms[-2].with_typed({"saver": "robin", "pin": cast.PIN}))
    assert page.path == "/checks"
    assert "Robin Reyes Change" in page.words


def test_a_wrong_pin_is_refused(browser: Browser) -> None:
    page = browser.enrol().choose("cook", "1111")
    assert page.status == 422
    assert "The name or the PIN is wrong." in page.words


def test_guessing_pins_has_to_wait(browser: Browser) -> None:
    browser.enrol()
    for pin in range(3000, 3006):
        page = browser.choose("cook", str(pin))
    assert "Too many tries." in page.words
    assert browser.choose("cook").status == 422


def test_a_pin_is_worth_nothing_elsewhere(browser: Browser) -> None:
    assert browser.get("/person").path == "/signin"
    assert browser.get("/signin").send(site="S1", login="cook", password=cast.PIN).status == 422


def test_an_inspector_is_not_chosen_on_a_tablet(browser: Browser) -> None:
    assert "Tap your name." in browser.enrol().choose("ines").words


def test_a_stranger_is_not_chosen_on_a_tablet(browser: Browser) -> None:
    assert "Tap your name." in browser.enrol().choose("other-cook").words


def test_a_tablet_is_enrolled_by_typing_its_credential(browser: Browser) -> None:
    assert "not the credential of a tablet" in browser.get("/tablet").send(credential="made up").words
    assert "not the credential of a tablet" in browser.get("/tablet").send(credential=cast.token("cook")).words
    page = browser.get("/tablet").send(credential=f" {cast.token('A')} ")
    assert (page.path, "Nobody asked when you save" in page.words) == ("/", True)


def test_scripts_cannot_read_the_credential(browser: Browser) -> None:
    browser.get("/tablet").send(credential=cast.token("A"))
    cookie = browser.client.get_cookie("tablet")
    assert cookie is not None
    assert cookie.http_only


def test_who_is_idle_is_no_longer_at_the_tablet(tablet: Browser, set_clock: SetClock) -> None:
    set_clock("12:10")
    assert "Casey Cook Change" in tablet.get("/").words
    set_clock("12:20:01")
    assert "Nobody asked when you save" in tablet.get("/").words


def test_a_page_that_refreshes_itself_keeps_nobody_there(tablet: Browser, set_clock: SetClock) -> None:
    set_clock("12:09")
    assert tablet.get("/", **{"X-Fragment": "live"}).status == 200
    assert "Casey Cook" in tablet.get("/who", **{"X-Fragment": "live"}).words
    set_clock("12:11")
    assert tablet.get("/", **{"X-Fragment": "live"}).status == 200
    assert "Nobody" in tablet.get("/who", **{"X-Fragment": "live"}).words


def test_a_sign_in_ends_after_the_longest_shift(cook: Browser, set_clock: SetClock) -> None:
    for hour in range(13, 24):
        set_clock(f"{hour}:00")
        assert cook.get("/").path == "/"
    set_clock(cast.moment("23:59") + cast.minutes(2))
    assert cook.get("/").path == "/signin"


def test_signing_out_asks_who_is_next(cook: Browser) -> None:
    page = cook.send("/signout", cook.get("/").forms[0].with_typed({}))
    assert page.path == "/signin"
    assert cook.get("/").path == "/signin"


def test_a_retired_person_is_out_at_once(tablet: Browser, database: Database) -> None:
    with database.writing() as session:
        register.retire_person(session, register.get_site(session, "S1"), "cook", at=cast.moment("12:00:01"))
    assert "Nobody asked when you save" in tablet.get("/").words
    assert "Casey Cook" not in tablet.get("/person").words


def test_a_changed_pin_or_role_ends_the_sign_in(tablet: Browser, database: Database) -> None:
    with database.writing() as session:
        person = register.get_person(session, register.get_site(session, "S1"), "cook")
        register.set_pin(session, person, register.hash_pin("8526"), at=cast.moment("12:00:01"))
    assert "Nobody asked when you save" in tablet.get("/").words


def test_a_revoked_tablet_is_nobodys(tablet: Browser, database: Database) -> None:
    with database.writing() as session:
        site = register.get_site(session, "S1")
        number = next(one.number for one in register.list_credentials(session, site) if one.is_tablet)
        register.revoke_credential(session, site, number, at=cast.moment("12:00:01"))
    assert tablet.get("/").path == "/signin"


def test_what_was_typed_survives_the_end_of_the_sign_in(cook: Browser, set_clock: SetClock) -> None:
    form = cook.get("/write/note?from=here")
    set_clock("13:01")
    ended = form.send(text="The gas man came.")
    assert ended.status == 401
    assert "Nothing that you typed is lost" in ended.words
    set_clock("13:03")
    not_saved = ended.send("/signin").send(site="S1", login="robin", password=cast.PASSWORD)
    assert "Save it in my name" in not_saved.words
    saved = not_saved.send("/write/note?from=here")
    assert "Saved: Note." in saved.words
    assert "13:01 Note" in cook.get("/entries").words
    assert "The gas man came. · Robin Reyes" in cook.get("/entries").words


def test_a_forged_post_is_refused(cook: Browser) -> None:
    page = cook.send("/write/note", {"text": ["forged"]})
    assert page.status == 400
    assert "Nothing was saved." in page.words


def test_a_copied_cookie_is_worth_nothing_after_signing_out(cook: Browser) -> None:
    copied = cook.client.get_cookie("roast_ledger")
    assert copied is not None
    cook.send("/signout", cook.get("/").forms[0].with_typed({}))
    cook.client.set_cookie("roast_ledger", copied.value)
    assert cook.get("/").path == "/signin"


def test_the_person_before_is_out_when_another_comes(tablet: Browser) -> None:
    copied = tablet.client.get_cookie("roast_ledger")
    assert copied is not None
    tablet.choose("robin")
    tablet.client.set_cookie("roast_ledger", copied.value)
    assert "Nobody asked when you save" in tablet.get("/").words


def test_two_people_of_one_name_are_told_apart_at_a_tablet(browser: Browser, database: Database) -> None:
    with database.writing() as session:
        site, same = register.get_site(session, "S1"), {"name": "Casey Cook", "role": "cook"}
        register.add_person(session, site, "casey", **same, password=None, at=cast.OPENED)
    words = browser.enrol().get("/person").words
    assert "Casey Cook (cook)" in words
    assert "Casey Cook (casey)" in words
    assert "Robin Reyes (robin)" not in words


def test_an_enrolled_tablet_does_not_idle_out(tablet: Browser, set_clock: SetClock) -> None:
    set_clock(cast.moment("12:00") + cast.minutes(60 * 24 * 30))
    assert "Nobody asked when you save" in tablet.get("/").words
    assert "Casey Cook" in tablet.get("/person").words
