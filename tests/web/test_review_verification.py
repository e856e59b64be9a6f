"""Verification: many actions at once, accepted or sent back, never by whoever acted unless there is nobody else."""

import re
from collections.abc import Callable
from datetime import datetime

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import action, finding, keep, low_reading, mending

SetClock = Callable[[datetime | str], None]
DAY = "/day/2026-04-14"


@pytest.fixture
def key(database: Database) -> str:
    """A deviation that the cook acted on."""
    keep(database, *low_reading())
    found = finding(database, "hold.temperature")
    keep(database, action(found))
    return found


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password."""
    return browser.sign_in("pat")


def test_an_accepted_action_is_settled(key: str, pat: Browser) -> None:
    page = pat.get(DAY).send("/verification", findings=[key], outcome="accepted")
    assert "1 action accepted." in page.words
    assert "to review;" not in page.words
    assert "Pat Porter" in page.words


def test_an_action_that_is_sent_back_is_open_again_and_says_why(key: str, pat: Browser) -> None:
    page = pat.get(DAY).send(
        "/verification", findings=[key], outcome="sent_back", remark="To which temperature was it reheated?"
    )
    assert "1 action sent back." in page.words
    assert "1 finding to answer" in page.words
    assert "To which temperature was it reheated?" in page.words


def test_many_are_reviewed_at_once(database: Database, key: str, pat: Browser) -> None:
    loaded = cast.draft("spit_loaded", at="11:41", spit=2, birds=3)
    keep(database, loaded, cast.draft("spit_pulled", at="11:50", spit=2, birds=3, tray="A-T2"))
    other = finding(database, "cook.core_temperature")
    keep(database, action(other, at="11:55", disposition="discard"))
    page = pat.get(DAY).send("/verification", findings=[key, other], outcome="accepted")
    assert "2 actions accepted." in page.words
    assert "to review;" not in page.words


def test_nothing_ticked_is_asked_for(key: str, pat: Browser) -> None:
    page = pat.get(DAY).send("/verification", outcome="sent_back", remark="Typed already")
    assert page.status == 422
    assert "Tick the actions that this is about." in page.words
    assert "Typed already" in page.html


@pytest.mark.parametrize("outcome", ["", "perhaps"])
def test_an_outcome_that_there_is_not_is_refused(key: str, pat: Browser, outcome: str) -> None:
    assert pat.get(DAY).send("/verification", findings=[key], outcome=outcome).status == 422


@pytest.mark.parametrize("remark", ["x" * 1001, "bell \x07", "turned \u202e round"])
def test_a_remark_that_cannot_be_kept_is_refused_at_its_field(key: str, pat: Browser, remark: str) -> None:
    page = pat.get(DAY).send("/verification", findings=[key], outcome="accepted", remark=remark)
    assert page.status == 422
    assert "Remark" in page.words
    assert "1 action to review" in page.words


def test_a_finding_that_there_is_not_is_refused(key: str, pat: Browser) -> None:
    page = pat.get(DAY).send("/verification", findings=["hold.temperature:tray:A-T9:x"], outcome="accepted")
    assert page.status == 422
    assert "1 action to review" in page.words


def test_a_double_tap_makes_one_review(key: str, pat: Browser) -> None:
    page = pat.get(DAY)
    page.send("/verification", findings=[key], outcome="accepted")
    again = page.send("/verification", findings=[key], outcome="accepted")
    assert again.words.count("Corrective action reviewed") == 1


def test_an_own_action_is_said_to_need_somebody_else(database: Database, browser: Browser) -> None:
    keep(database, *low_reading())
    keep(database, action(finding(database, "hold.temperature")), by="sam")
    assert "Your own action" in browser.sign_in("sam").get(DAY).words


def test_an_own_review_does_not_count_where_somebody_else_in_charge_wrote(database: Database, browser: Browser) -> None:
    keep(database, *low_reading())
    key = finding(database, "hold.temperature")
    keep(database, action(key), by="sam")
    keep(database, cast.draft("in_charge_from", at="08:00"), by="pat")
    page = browser.sign_in("sam").get(DAY).send("/verification", findings=[key], outcome="accepted")
    assert "1 action to review" in page.words


def test_an_own_review_counts_where_nobody_else_is_there_and_is_printed_so(
    database: Database, browser: Browser
) -> None:
    keep(database, *low_reading())
    key = finding(database, "hold.temperature")
    keep(database, action(key), by="sam")
    page = browser.sign_in("sam").get(DAY).send("/verification", findings=[key], outcome="accepted")
    assert "to review;" not in page.words
    assert "reviewed by its own author" in page.words


def test_a_pin_on_a_tablet_is_not_enough(key: str, browser: Browser) -> None:
    browser.enrol().choose("pat")
    page = browser.get(DAY).send("/verification", findings=[key], outcome="accepted")
    assert page.status == 403
    assert "Sign in with your password" in page.words
    assert "1 action to review" in browser.get(DAY).words


def test_a_mending_that_is_sent_back_wants_an_action(database: Database, pat: Browser) -> None:
    drafts = low_reading()
    keep(database, *drafts)
    keep(database, mending(drafts[9], temperature="150"))
    page = pat.get(DAY)
    assert "It said 128 °F; it now says 150 °F." in page.words
    (key,) = re.findall(r'name="findings"[^>]*value="([^"]+)"', page.html)
    page = page.send("/verification", findings=[key], outcome="sent_back", remark="The pass was cold at noon.")
    page = page.follow("Record corrective action").send(
        cause="Guessed", action="Read again", disposition="discard", prevention="Read the display twice"
    )
    assert page.path == DAY
    assert "1 action to review" in page.words


def test_sending_back_asks_for_what_is_missing(key: str, pat: Browser) -> None:
    page = pat.get(DAY).send("/verification", findings=[key], outcome="sent_back")
    assert page.status == 422
    assert "Say what is missing: whoever acts next reads it." in page.words


def test_what_was_sent_back_reaches_the_cook_with_what_was_written(key: str, pat: Browser, browser: Browser) -> None:
    pat.get(DAY).send("/verification", findings=[key], outcome="sent_back", remark="To which temperature?")
    cook = browser.sign_in("cook")
    assert "Sent back by Pat Porter: To which temperature?" in cook.get("/").words
    page = cook.get(f"/findings/act?finding={key}")
    assert "Sent back by Pat Porter: To which temperature?" in page.words
    assert dict(page.form().fields)["cause"]


def test_what_is_sent_back_the_next_morning_reaches_the_cook_too(
    key: str, browser: Browser, database: Database, set_clock: SetClock
) -> None:
    """The day is over when it is reviewed: the first page of the next day has the line, and leads to the answer."""
    set_clock(cast.moment("08:00", day=cast.DAY.replace(day=15)))
    remark = "To which temperature?"
    browser.sign_in("pat").get(DAY).send("/verification", findings=[key], outcome="sent_back", remark=remark)
    cook = browser.sign_in("cook")
    page = cook.get("/")
    assert f"Sent back by Pat Porter: {remark}" in page.words
    answer = page.follow("Answer")
    assert f"Sent back by Pat Porter: {remark}" in answer.words
    answer.send(action="Reheated to 168 °F, read in two birds.")
    assert "Sent back by" not in cook.get("/").words
    set_clock(cast.moment("08:00", day=cast.DAY.replace(day=25)))
    assert "Sent back by" not in cook.sign_in("cook").get("/").words
