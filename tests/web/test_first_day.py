"""The list of a new kitchen's first day: it ticks itself, each step can be skipped, nothing is half made."""

import pytest

from app import register
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser, Page


@pytest.fixture
def kim(browser: Browser, database: Database) -> Browser:
    """Who is in charge of a kitchen that was only just set up."""
    password = register.hash_password(cast.PASSWORD, login="kim")
    with database.writing() as session:
        site = register.add_site(session, "S3", name="Kitchen S3", timezone=cast.TIMEZONE, at=cast.OPENED)
        kim = register.add_person(session, site, "kim", name="Kim", role="in_charge", password=password, at=cast.OPENED)
        register.adopt_plan(session, site, None, {}, by=kim, at=cast.OPENED)
    browser.get("/signin").send(site="S3", login="kim", password=cast.PASSWORD)
    return browser


def waiting(browser: Browser) -> list[str]:
    """Give the steps that the list still asks for."""
    forms = browser.get("/setup").forms
    return [form.action.rpartition("/")[2] for form in forms if "/first-day/skip/" in form.action]


def add_equipment(browser: Browser, **typed: str) -> Page:
    """Fill in the page of equipment."""
    return browser.get("/setup/first-day/equipment").send("/equipment", **typed)


def test_the_list_ticks_itself(kim: Browser) -> None:
    assert waiting(kim) == ["kitchen", "ovens", "units", "probes", "probe_check", "delivery", "people", "tablet"]
    add_equipment(kim, ovens="east west", hot_units="cabinet", cold_units="walk-in", probes="red, blue", scale="F")
    assert waiting(kim) == ["kitchen", "probe_check", "delivery", "people", "tablet"]
    kim.get("/setup/site").send("/setup/site", unit="F")
    kim.get("/setup/first-day/people").send("/people", name="Ana Ruiz", pin="4711")
    kim.get("/setup/tablets").send("/setup/tablets", tablet="A", where="elsewhere")
    assert waiting(kim) == ["probe_check", "delivery"]


def test_a_step_is_skipped_and_taken_up_again(kim: Browser) -> None:
    kim.get("/setup").send("/skip/delivery")
    assert "delivery" not in waiting(kim)
    kim.get("/setup").send("/take-up/delivery")
    assert "delivery" in waiting(kim)


def test_what_is_all_done_or_skipped_is_no_list_any_more(kim: Browser) -> None:
    for step in waiting(kim):
        kim.get("/setup").send(f"/skip/{step}")
    page = kim.get("/setup")
    assert "First day" not in page.words
    assert "Equipment" in page.words


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({}, "Type at least one code."),
        ({"ovens": "east", "probes": "red east"}, "Code: this is taken already."),
        ({"ovens": "east", "cold_units": "walk/in"}, "Code: write it like this"),
        ({"probes": "red", "scale": "K"}, "choose one of"),
    ],
)
def test_equipment_is_listed_whole_or_not_at_all(kim: Browser, typed: dict[str, str], said: str) -> None:
    page = add_equipment(kim, **typed)
    assert (page.status, said in page.words) == (422, True)
    assert "ovens" in waiting(kim)


def test_the_error_stands_at_the_field_of_the_code(kim: Browser) -> None:
    html = add_equipment(kim, ovens="east", cold_units="walk/in").html
    assert 'id="cold_units-errors"' in html
    assert "walk/in" in html


def test_who_works_the_list_off_is_led_to_what_the_first_reading_needs(kim: Browser) -> None:
    assert kim.get("/setup").send("/first-day/next").path == "/setup/first-day/equipment"
    page = add_equipment(kim, ovens="east", probes="red")
    assert (page.path, "First day: A probe check" in page.words) == ("/probes/red/check", True)
    page = page.send("/skip/probe_check")
    assert (page.path, "First day: A delivery" in page.words) == ("/deliveries/new", True)
    assert page.send("/skip/delivery").path == "/setup/site"


def test_a_step_that_there_is_not_is_not_there(kim: Browser) -> None:
    page = kim.get("/setup")
    form = page.form("/skip/people")
    assert kim.send("/setup/first-day/skip/lunch", form.with_typed({})).status == 404


def test_an_old_kitchen_that_has_everything_is_asked_for_nothing_of_it(browser: Browser) -> None:
    assert set(waiting(browser.sign_in("pat"))) <= {"kitchen", "probe_check", "delivery", "tablet"}


def test_the_first_page_leads_to_the_list_until_the_first_reading_has_what_it_needs(kim: Browser) -> None:
    page = kim.get("/")
    assert "The first reading still needs: ovens, probes, a probe check, a delivery." in page.words
    assert page.follow("To the list of the first day").path == "/setup"
    for step in ("ovens", "probes", "probe_check", "delivery"):
        kim.get("/setup").send(f"/skip/{step}")
    assert "The first reading still needs" not in kim.get("/").words
