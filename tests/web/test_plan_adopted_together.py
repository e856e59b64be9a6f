"""A plan adopted by two people in the same second: the second one is told and sees both; nothing typed is lost."""

import pytest
from flask import Flask

from app import ledger
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """A person in charge, signed in with a password."""
    return browser.sign_in("pat")


@pytest.fixture
def sam(app: Flask) -> Browser:
    """Another person in charge, in a browser of their own."""
    return Browser(app.test_client()).sign_in("sam")


def test_a_plan_adopted_twice_in_the_same_second_is_refused_to_the_second_with_all_that_was_typed(
    pat: Browser, sam: Browser
) -> None:
    both = [browser.get("/setup/plan/new") for browser in (pat, sam)]
    both[0].send("/setup/plan", password=cast.PASSWORD, hot_holding="140F/60C", authority="the county")
    page = both[1].send("/setup/plan", password=cast.PASSWORD, grace_min="7")
    assert (page.status, "Pat Porter adopted version 2 meanwhile." in page.words) == (422, True)
    standing = dict(page.form("/setup/plan").fields)
    assert (standing["grace_min"], standing["hot_holding"], standing["authority"]) == ("7", "140F/60C", "the county")


def test_the_second_adopts_over_the_first_once_they_saw_it(pat: Browser, sam: Browser, database: Database) -> None:
    both = [browser.get("/setup/plan/new") for browser in (pat, sam)]
    both[0].send("/setup/plan", password=cast.PASSWORD, hot_holding="140F/60C", variance="V-1")
    both[1].send("/setup/plan", password=cast.PASSWORD, grace_min="7").send("/setup/plan", password=cast.PASSWORD)
    with database.reading() as session:
        plans = ledger.read_plans(session, "S1")
        assert ledger.verify(session, "S1") is None
    assert [(one.version, one.adopted_by, dict(one.settings), one.variance) for one in plans[1:]] == [
        (2, "pat", {"hot_holding": "140F/60C"}, "V-1"),
        (3, "sam", {"hot_holding": "140F/60C", "grace_min": "7"}, "V-1"),
    ]
    assert plans[1].adopted_at == plans[2].adopted_at
