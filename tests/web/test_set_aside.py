"""Food set aside on the pages: what must not be served, which ways are right, and who releases it."""

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, finding, keep


@pytest.fixture
def unprobed(database: Database) -> str:
    """A spit pulled with one bird probed: its tray is set aside, and may be released."""
    keep(
        database,
        cast.draft("probe_check", at="06:10"),
        cast.draft("receiving", at="06:30"),
        cast.draft("load_started", at="09:00"),
        cast.draft("spit_loaded", at="09:02"),
        cast.draft("cook_reading", at="10:31"),
        cast.draft("spit_pulled", at="10:36"),
        at="10:40",
    )
    return finding(database, "cook.core_temperature")


def test_the_first_page_says_what_is_set_aside_above_everything_else(cook: Browser, unprobed: str) -> None:
    page = cook.get("/")
    assert "Tray A-T1 Core temperature when pulled. Right now: discarded, chilled" in page.words
    assert page.words.index("Set aside: do not serve") < page.words.index("Say what was done")
    assert "Release" not in page.words


def test_the_tray_offers_the_right_ways_and_the_others_under_one_line(cook: Browser, unprobed: str) -> None:
    page = cook.get("/trays/A-T1")
    assert "Emptied: all served" not in page.words
    right, others = page.words.split("It went another way")
    assert "Discarded" in right
    assert "Served" in others


def test_somebody_in_charge_releases_it(browser: Browser, database: Database, unprobed: str) -> None:
    pat = browser.sign_in("pat")
    page = pat.get("/").follow("Release")
    assert "tray A-T1: 5 birds" in page.words
    done = page.send(basis="Both birds were read with the other probe: 170 °F.")
    assert "The food is released." in done.words
    assert assessed(database).trays[0].set_aside is None


def test_a_release_wants_a_basis(browser: Browser, unprobed: str) -> None:
    page = browser.sign_in("pat").get(f"/release?finding={unprobed}").send(basis="")
    assert page.status == 422
    assert "this is needed" in page.words


def test_a_cook_does_not_release(cook: Browser, unprobed: str) -> None:
    assert cook.get(f"/release?finding={unprobed}").status == 403


@pytest.mark.parametrize("query", ["", "?finding=cook.core_temperature:spit:A-L1/1:none"])
def test_a_release_of_nothing_is_not_there(browser: Browser, unprobed: str, query: str) -> None:
    assert browser.sign_in("pat").get(f"/release{query}").status == 404


def test_food_that_was_sold_is_said_to_be_out_with_who_was_told(
    cook: Browser, database: Database, unprobed: str
) -> None:
    keep(database, cast.draft("tray_out", at="11:00", birds="5"), at="11:01")
    left = finding(database, "aside.left")
    page = cook.get(f"/findings/act?finding={left}")
    page.send(cause="busy", action="called them", disposition="already_out", prevention="a sign", told="two guests")
    (answers,) = [assessed(database).answers[left]]
    assert [action.told for action in answers.actions] == ["two guests"]
