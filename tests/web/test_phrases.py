"""The phrases of corrective actions: the usual ones, and those that a kitchen sets itself."""

import pytest

from app.db import Database
from app.rules.day.registry import RULES
from app.web.kitchen.phrases import phrases_of
from tests.support.browsing import Browser
from tests.support.drafts import finding, keep, low_reading

PATH = "/setup/phrases/hold.temperature"


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password."""
    return browser.sign_in("pat")


def test_every_rule_has_some_usual_phrases_for_each_part() -> None:
    for rule in RULES:
        usual = phrases_of(rule, {})
        assert all(2 <= len(usual[part]) <= 4 for part in ("cause", "action", "prevention")), rule


def test_phrases_are_set_for_one_rule_and_offered_in_its_action(pat: Browser, database: Database) -> None:
    keep(database, *low_reading()[:-1])
    assert ("/setup/phrases", "Open") in pat.get("/setup").links
    assert (PATH, "Open") in pat.get("/setup/phrases").links
    page = pat.get(PATH).send(cause="The lamp was off.\r\n\r\n The lamp was off. \r\nA fuse blew.", action="")
    assert (page.path, "The phrases are set." in page.words) == (PATH, True)
    act = pat.get(f"/findings/act?finding={finding(database, 'hold.temperature')}").words
    assert "The lamp was off. A fuse blew. In other words" in act
    assert "The door of the unit stood open." not in act
    assert "Reheated at once" not in act  # none wanted
    assert "Keep the door shut." in act  # left as it was
    assert "The door of the unit stood open." in pat.get("/setup/phrases/hold.time_out").words


def test_the_usual_phrases_come_back(pat: Browser) -> None:
    assert "Use the usual phrases again" not in pat.get(PATH).words
    page = pat.get(PATH).send(cause="The lamp was off.")
    page.form().names.add("usual")
    assert "The door of the unit stood open." in page.send(usual="yes").words


@pytest.mark.parametrize(
    ("typed", "said"),
    [("x" * 101, "100"), ("\n".join("abcdefghi"), "at most eight phrases"), ("one\x07", "one line of plain text")],
)
def test_what_cannot_be_a_phrase_is_refused_at_its_field(pat: Browser, typed: str, said: str) -> None:
    page = pat.get(PATH).send(cause=typed, action="Kept.")
    assert page.status == 422
    assert said in page.words
    assert dict(page.form().fields)["action"] == "Kept."
    assert "Kept." not in pat.get(PATH).words


def test_another_kitchen_keeps_its_own(browser: Browser) -> None:
    browser.sign_in("pat").get(PATH).send(cause="The lamp was off.")
    assert "The lamp was off." not in browser.sign_in("other-lead").get(PATH).words


def test_a_rule_that_is_not_there(pat: Browser) -> None:
    assert pat.get("/setup/phrases/hold.nothing").status == 404


@pytest.mark.parametrize("path", ["/setup/phrases", PATH])
def test_they_are_for_the_person_in_charge(cook: Browser, path: str) -> None:
    assert cook.get(path).status == 403


def test_a_stopped_oven_a_late_serving_and_a_missing_procedure_have_phrases_of_their_own() -> None:
    said = {rule: phrases_of(rule, {})["cause"] for rule in ("cook.interrupted", "hold.disposition", "hold.time_out")}
    assert "A power cut." in said["cook.interrupted"]
    assert "Nobody looked at its time." in said["hold.disposition"]
    assert "No procedure is written yet." in phrases_of("time_control.procedure", {})["cause"]
    assert "The door of the unit stood open." in said["hold.time_out"]
