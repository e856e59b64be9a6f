"""A new kitchen is set up on screen by whoever has the link, all at once or not at all."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app import ledger, register
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser, Page

SetClock = Callable[[datetime | str], None]
KITCHEN = {
    "name": "Mill Road",
    "timezone": "America/Denver",
    "authority": "Boulder County",
    "unit": "F",
    "clock": "12",
    "your_name": "Max Moor",
    "login": "",
    "password": "every bird twice",
    "again": "every bird twice",
    "pin": "",
}


@pytest.fixture
def link(database: Database, set_clock: SetClock) -> str:
    """The path of a link that opens."""
    set_clock("12:00")
    with database.writing() as session:
        return f"/begin/{register.issue_set_up_link(session, at=cast.moment('12:00'))[0]}"


def begin(browser: Browser, link: str, code: str = "us_food_code_2022", **typed: str) -> Page:
    """Fill in the page of the kitchen."""
    return browser.get(f"{link}/kitchen?code={code}&places=breast,thigh").send("/kitchen", **{**KITCHEN, **typed})


def sites(database: Database) -> list[str]:
    """Give the codes of the kitchens."""
    with database.reading() as session:
        return [site.code for site in register.list_sites(session)]


def test_every_code_is_offered_by_country_with_what_it_means(browser: Browser, link: str) -> None:
    said = browser.get(link).words
    for words in ("United States", "Canada", "United Kingdom", "Australia", "law", "model code"):
        assert words in said
    # FDA Food Code 2013, 3-401.11(A)(3); England: SI 2013/2996, Schedule 4.
    assert "FDA Food Code 2013 model code Cooked to 165 °F / 74 °C for 15 s." in said
    assert "Schedule 4 law Cooked to 158 °F / 70 °C for 2 min. Held hot at 145.4 °F / 63 °C or above." in said


def test_the_kitchen_its_plan_and_who_is_in_charge_are_there(browser: Browser, link: str, database: Database) -> None:
    page = begin(browser, link)
    assert (page.path, "you are in charge" in page.words) == ("/setup/first-day/equipment", True)
    with database.reading() as session:
        site, plan = ledger.read_site(session, "mill-road"), ledger.read_plans(session, "mill-road")[-1]
    assert site is not None
    assert (site.name, site.timezone.key, site.unit, site.clock) == ("Mill Road", "America/Denver", "F", 12)
    assert (site.people["max"].role, plan.adopted_by, plan.authority) == ("in_charge", "max", "Boulder County")
    assert plan.settings == (("places_per_bird", "breast,thigh"),)


def test_a_link_sets_up_one_kitchen(browser: Browser, link: str, database: Database) -> None:
    begin(browser, link)
    page = browser.get(link)
    assert (page.status, "It was used already" in page.words) == (410, True)
    assert sites(database) == ["S1", "S2", "mill-road"]


def test_a_link_that_ended_says_so(browser: Browser, link: str, set_clock: SetClock) -> None:
    set_clock(cast.moment("12:00").replace(day=15))
    page = browser.get(f"{link}/kitchen?code=us_food_code_2022")
    assert (page.status, "It has ended" in page.words) == (410, True)


def test_a_guessed_link_opens_nothing(browser: Browser, link: str) -> None:
    page = browser.get("/begin/guess")
    assert (page.status, "flask --app app init" in page.words) == (410, True)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"name": " "}, "Name: this is needed."),
        ({"timezone": "Mars/Olympus"}, "Mars/Olympus is not known here"),
        ({"your_name": ""}, "Your name: this is needed."),
        ({"login": "two words"}, "Sign-in name: write it like this"),
        ({"password": "short", "again": "short"}, "Password: at least 8 characters."),
        ({"again": "another one"}, "This is not the same password."),
        ({"pin": "1234"}, "This PIN is among the first that people try."),
        ({"unit": "K"}, "K is not known here"),
        ({"authority": "x" * 201}, "Adopted here by: at most 200 characters."),
    ],
)
def test_what_cannot_be_keeps_nothing_and_loses_nothing(
    browser: Browser, link: str, database: Database, typed: dict[str, str], said: str
) -> None:
    page = begin(browser, link, **typed)
    assert (page.status, said in page.words) == (422, True), page.words
    assert sites(database) == ["S1", "S2"]
    assert begin(browser, link).path == "/setup/first-day/equipment"


def test_a_code_that_there_is_not_is_asked_for_again(browser: Browser, link: str) -> None:
    assert browser.get(f"{link}/kitchen?code=uk_1066").path == link


def test_habits_of_the_country_are_preset(browser: Browser, link: str) -> None:
    fields = dict(browser.get(f"{link}/kitchen?code=england_2013").form("/kitchen").fields)
    assert (fields["unit"], fields["clock"]) == ("C", "24")
