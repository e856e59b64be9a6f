"""A plan adopted by two people in the same second: the second one is told and sees both; nothing typed is lost."""

import pytest
from flask import Flask

from app import ledger
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.plan_pages import change


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """A person in charge, signed in with a password."""
    return browser.sign_in("pat")


@pytest.fixture
def sam(app: Flask) -> Browser:
    """Another person in charge, in a browser of their own."""
    return Browser(app.test_client()).sign_in("sam")


def test_a_plan_adopted_twice_in_the_same_second_is_refused_to_the_second(pat: Browser, sam: Browser) -> None:
    change(pat, "hot_holding", "140F/60C")
    both = [browser.get("/setup/plan/new") for browser in (pat, sam)]
    both[0].send("/setup/plan", password=cast.PASSWORD, authority="the county")
    page = both[1].send("/setup/plan", password=cast.PASSWORD, authority="the state")
    assert (page.status, "Pat Porter adopted version 2 meanwhile." in page.words) == (422, True)
    assert dict(page.form("/setup/plan").fields)["authority"] == "the state"


def test_what_was_put_in_after_the_page_was_made_is_not_adopted_unseen(pat: Browser, sam: Browser) -> None:
    change(pat, "hot_holding", "140F/60C")
    page = pat.get("/setup/plan/new")
    change(sam, "grace_min", "7")
    refused = page.send("/setup/plan", password=cast.PASSWORD)
    assert (refused.status, "Somebody else changed this meanwhile." in refused.words) == (422, True)
    assert "Such a check may be 7 min late." in refused.words
    assert "Version 2 of the plan is in force" in refused.send("/setup/plan", password=cast.PASSWORD).words


def test_one_adopts_after_the_other(pat: Browser, sam: Browser, database: Database) -> None:
    change(pat, "hot_holding", "140F/60C", variance="V-1")
    pat.get("/setup/plan/new").send("/setup/plan", password=cast.PASSWORD, variance="V-1")
    change(sam, "grace_min", "7")
    sam.get("/setup/plan/new").send("/setup/plan", password=cast.PASSWORD)
    with database.reading() as session:
        plans = ledger.read_plans(session, "S1")
        assert ledger.verify(session, "S1") is None
    assert [(one.version, one.adopted_by, dict(one.settings), one.variance) for one in plans[1:]] == [
        (2, "pat", {"hot_holding": "140F/60C"}, "V-1"),
        (3, "sam", {"hot_holding": "140F/60C", "grace_min": "7"}, "V-1"),
    ]
    assert plans[1].adopted_at == plans[2].adopted_at
