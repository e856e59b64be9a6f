"""Time as the control on a tray that may not start: what may be done instead, and what was done all the same."""

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import Draft, assessed, keep, loaded, pulled

START = "/trays/A-T1/time-control"


def has_form(page: Page) -> bool:
    return any(form.action.startswith(START) and form.method == "post" for form in page.forms)


def hold(temperature: str, at: str) -> Draft:
    return cast.draft("hold_reading", at=at, temperature=temperature)


@pytest.mark.parametrize(
    ("drafts", "says", "instead"),
    [
        ([hold("150", "11:44")], "It was not checked in the last 15 minutes.", "Check the temperature"),
        ([hold("150", "11:50"), hold("131", "11:55")], "Its last reading is under the limit.", "Reheat"),
        ([cast.draft("tray_out", at="11:50", birds="5")], "Nothing is left in this tray.", "Back to the tray"),
        (
            [hold("150", "11:50"), cast.draft("time_control_started", at="11:55")],
            "under time as the control already. It must be empty by 15:55.",
            "Serve",
        ),
    ],
    ids=["read too long ago", "read too cold", "empty", "started before"],
)
def test_what_may_be_done_stands_there_instead_of_the_form(
    cook: Browser, database: Database, drafts: list[Draft], says: str, instead: str
) -> None:
    keep(database, *pulled(), *drafts)
    page = cook.get(START)
    assert (says in page.words, instead in page.words, has_form(page)) == (True, True, False)


def test_a_tray_that_is_set_aside_has_its_right_ways_there(cook: Browser, database: Database) -> None:
    low = cast.draft("cook_reading", at="10:31", temperature="149")
    keep(database, *loaded(spits=1), low, cast.draft("spit_pulled", at="10:36"), hold("150", "11:55"))
    page = cook.get(START)
    assert "This tray is set aside. Time as the control cannot begin." in page.words
    assert ("Throw away" in page.words, "Serve" in page.words, has_form(page)) == (True, False, False)


def test_a_reading_of_a_quarter_of_an_hour_ago_is_enough(cook: Browser, database: Database) -> None:
    keep(database, *pulled(), hold("150", "11:45"))
    assert has_form(cook.get(START))


def test_what_was_started_all_the_same_is_written_down(cook: Browser, database: Database) -> None:
    keep(database, *pulled(), hold("131", "11:55"))
    page = cook.get(START).follow("It was started already: record it")
    assert has_form(page)
    done = page.send()
    assert done.asks_about("time_control.start")
    assert assessed(database).trays[0].discard_at is not None


def test_it_was_not_started_after_all(cook: Browser, database: Database) -> None:
    keep(database, *pulled(), hold("131", "11:55"))
    page = cook.get(f"{START}?started=yes").follow("It was not started: back")
    assert not has_form(page)
