"""Signing: with the password again, over the head that was shown; a day that was touched later asks again."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from app import ledger, register
from app.db import Database
from app.kinds import Entry
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import evening, keep, low_reading, ordinary_day

DAY = "/day/2026-04-14"


@pytest.fixture
def pat(database: Database, browser: Browser, set_clock: Callable[[datetime | str], None]) -> Browser:
    """The person in charge in the evening of a day that is ready."""
    keep(database, *ordinary_day())
    keep(database, *evening(), at="20:02")
    set_clock("21:00")
    return browser.sign_in("pat")


def sign(browser: Browser, password: str = cast.PASSWORD) -> Page:
    """Type the password into the day's page and sign."""
    return browser.get(DAY).send("/sign", password=password)


def token(browser: Browser) -> str:
    """Give the token against forged posts of whoever is signed in."""
    return dict(browser.get("/account").form("/password").fields)["csrf_token"]


def test_a_signed_day_shows_name_meaning_and_time(pat: Browser) -> None:
    page = sign(pat)
    assert "The day is signed." in page.words
    assert "Name Pat Porter" in page.words
    assert "Meaning I have reviewed these records." in page.words
    assert "Time Tue 14 April 2026, 21:00 CDT" in page.words
    assert "Sign the day" not in page.words


def test_the_signature_is_an_entry_over_the_head_that_was_shown(database: Database, pat: Browser) -> None:
    with database.reading() as session:
        shown = ledger.head(session, "S1")
    sign(pat)
    with database.reading() as session:
        signed = ledger.assess_day(session, "S1", cast.DAY, as_of=cast.moment("21:00")).signed
    assert signed is not None
    assert (signed.covers_seq, signed.covers_hash) == shown


@pytest.mark.parametrize("password", ["", "wrong", cast.PASSWORD.upper(), "x" * 5000])
def test_a_wrong_password_signs_nothing(pat: Browser, password: str) -> None:
    page = sign(pat, password)
    assert page.status == 422
    assert "This is not your password." in page.words
    assert "day in progress" in page.words


def test_guessing_the_password_ends(pat: Browser) -> None:
    for _ in range(6):
        sign(pat, "wrong")
    page = sign(pat)
    assert page.status == 422
    assert "Too many tries." in page.words


def test_a_day_that_moved_since_it_was_shown_is_shown_again(database: Database, pat: Browser) -> None:
    page = pat.get(DAY)
    keep(database, cast.draft("note", at="20:30", text="The pass was cleaned."), at="20:59")
    page = page.send("/sign", password=cast.PASSWORD)
    assert page.status == 422
    assert "New entries came in while you were reading. Look at the day again, then sign." in page.words
    assert "The pass was cleaned." in page.words
    assert "The day is signed." in page.send("/sign", password=cast.PASSWORD).words


@pytest.mark.parametrize("seq", ["", "x", "-1", "99999999999999999999", "0"])
def test_a_head_that_was_never_shown_signs_nothing(pat: Browser, seq: str) -> None:
    assert pat.get(DAY).send("/sign", password=cast.PASSWORD, seq=seq, hash="nonsense").status == 422


def test_a_day_that_owes_something_offers_no_signature(database: Database, browser: Browser) -> None:
    keep(database, *low_reading())
    browser.sign_in("pat")
    assert "Sign the day" not in browser.get(DAY).words
    with database.reading() as session:
        seq, digest = ledger.head(session, "S1")
    sent = {"password": cast.PASSWORD, "csrf_token": token(browser), "seq": seq, "hash": digest}
    answer = browser.client.post(f"{DAY}/sign", data=sent)
    assert answer.status_code == 422
    assert "The day cannot be signed yet" in answer.text


def test_a_day_touched_after_signing_asks_for_a_new_signature(database: Database, pat: Browser) -> None:
    sign(pat)
    keep(database, cast.draft("note", at="20:45", text="Forgotten."), at="21:00")
    page = pat.get(DAY)
    assert "signed, and changed since" in page.words
    page = page.send("/sign", password=cast.PASSWORD)
    assert "The day is signed." in page.words
    assert "changed since" not in page.words


def test_an_entry_of_another_day_does_not_touch_a_signed_one(
    database: Database, pat: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    sign(pat)
    tomorrow = cast.moment("09:00", day=cast.DAY.replace(day=15))
    keep(database, cast.draft("note", at=tomorrow), at=tomorrow)
    set_clock(tomorrow)
    assert "changed since" not in pat.get(DAY).words


def test_who_made_the_records_is_told_and_it_is_printed(
    database: Database, browser: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    keep(database, *ordinary_day(), by="sam")
    keep(database, *evening(), at="20:02")
    set_clock("21:00")
    page = browser.sign_in("sam").get(DAY)
    assert "You wrote entries of this day." in page.words
    assert "Reviewed by the person who made the records" in page.send("/sign", password=cast.PASSWORD).words


def test_a_cook_cannot_sign(database: Database, browser: Browser) -> None:
    keep(database, *ordinary_day())
    browser.sign_in("cook")
    answer = browser.client.post(f"{DAY}/sign", data={"csrf_token": token(browser), "password": cast.PASSWORD})
    assert answer.status_code == 403


def test_a_person_retired_in_the_meantime_signs_nothing(database: Database, pat: Browser) -> None:
    page = pat.get(DAY)
    with database.writing() as session:
        register.retire_person(session, register.get_site(session, "S1"), "pat", at=cast.moment("20:59"))
    assert page.send("/sign", password=cast.PASSWORD).status == 401


def test_the_list_of_days_names_who_signed(pat: Browser) -> None:
    sign(pat)
    assert "Tue 14 April 2026 signed Pat Porter" in pat.get("/days").words


def test_the_password_signs_at_a_tablet_too(
    database: Database, browser: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    keep(database, *ordinary_day())
    keep(database, *evening(), at="20:02")
    set_clock("21:00")
    browser.enrol().choose("pat")
    assert "The day is signed." in sign(browser).words
    assert sign_off(database).via == "session"


def sign_off(database: Database) -> Entry:
    """Give the day's newest sign-off."""
    with database.reading() as session:
        signed = ledger.assess_day(session, "S1", cast.DAY, as_of=cast.moment("21:00")).signed
    assert signed is not None
    return signed.entry


def test_every_signature_of_the_day_is_listed(database: Database, pat: Browser) -> None:
    sign(pat)
    keep(database, cast.draft("note", at="20:30", text="The pass was cleaned."), at="21:00")
    pat.sign_in("sam")
    words = sign(pat).words
    assert words.index("Name Pat Porter") < words.index("Name Sam Silva")


def test_a_day_that_was_signed_late_is_no_longer_open(
    pat: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    set_clock(cast.moment("12:00", day=cast.DAY + timedelta(days=3)))
    pat.sign_in("pat")
    before = pat.get(DAY).words
    assert "Tue 14 April 2026, sign-off: " in before
    assert "house open" in before
    after = sign(pat).words
    assert "Signed. Nothing is owed." in after
    assert "house signed late" in after
