"""The long pages of the person in charge on a phone: headings first, dates that nobody reads the wrong way round."""

from collections.abc import Callable
from datetime import datetime

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, ViewportSize, expect

from app.db import Database
from tests.support import accessibility, cast
from tests.support.drafts import keep, ordinary_day
from tests.support.screen import TABLET, sign_in

PHONE = ViewportSize(width=390, height=844)
_SCREENS = 5
"""As many screens of a phone as the plan's headings take at most; with everything open it has forty."""


@pytest.fixture
def pat(context: BrowserContext, set_clock: Callable[[datetime | str], None]) -> Page:
    """The person in charge, signed in on a phone."""
    set_clock("12:00")
    page = context.new_page()
    page.set_viewport_size(PHONE)
    sign_in(page, "pat")
    return page


def hazards(page: Page) -> Locator:
    return page.get_by_role("cell", name="biological").first


def height(page: Page) -> int:
    return int(page.evaluate("document.documentElement.scrollHeight"))


def test_the_plan_shows_its_headings_and_opens_one_by_a_tap(pat: Page) -> None:
    pat.goto("/plan")
    heading = pat.get_by_role("button", name="7. Hazards of each step")
    expect(heading).to_have_attribute("aria-expanded", "false")
    assert height(pat) < _SCREENS * PHONE["height"]
    accessibility.check(pat)
    heading.click()
    expect(hazards(pat)).to_be_visible()
    expect(heading).to_have_attribute("aria-expanded", "true")
    accessibility.check(pat)
    heading.click()
    expect(hazards(pat)).to_be_hidden()


def test_all_sections_of_the_plan_open_at_once_and_one_by_its_address(pat: Page) -> None:
    pat.goto("/plan#hazards")
    expect(hazards(pat)).to_be_visible()
    expect(pat.get_by_role("button", name="10. Monitoring")).to_have_attribute("aria-expanded", "false")
    pat.get_by_role("button", name="Open all sections").click()
    assert pat.locator("[aria-expanded=false].folds").count() == 0


def test_paper_and_a_wide_screen_show_the_whole_plan(pat: Page) -> None:
    pat.goto("/plan")
    expect(hazards(pat)).to_be_hidden()
    pat.emulate_media(media="print")
    expect(hazards(pat)).to_be_visible()
    pat.emulate_media(media="screen")
    pat.set_viewport_size(TABLET)
    expect(hazards(pat)).to_be_visible()


def test_what_was_typed_from_paper_stays_open(pat: Page) -> None:
    pat.goto("/from-paper")
    rows = pat.locator("[data-fold]").first
    rows.get_by_role("button", name="Loads started").click()
    rows.get_by_role("textbox").nth(1).fill("L1")
    pat.get_by_role("button", name="Save all rows").click()
    expect(pat.get_by_role("alert")).to_be_visible()
    expect(pat.get_by_role("button", name="Loads started")).to_have_attribute("aria-expanded", "true")
    expect(pat.get_by_role("button", name="Spits loaded")).to_have_attribute("aria-expanded", "false")


def test_a_date_is_said_in_words_beside_its_field(pat: Page) -> None:
    pat.goto("/calibration")
    pat.get_by_label("From").fill("2026-04-06")
    expect(pat.locator(".field", has=pat.get_by_label("From"))).to_contain_text("Mon 6 April 2026")


def test_the_calendar_is_a_list_of_the_days_with_records(pat: Page) -> None:
    pat.goto("/calendar")
    assert height(pat) < 2 * PHONE["height"]
    assert pat.locator("main").evaluate("main => main.scrollWidth <= innerWidth")


ENTRIES, NOTES = "/day/2026-04-14/entries", 150
"""More entries than an ordinary day has; all open they are fifty screens of a phone high."""


@pytest.fixture
def notes(database: Database) -> Database:
    """A day of many entries."""
    keep(database, *ordinary_day()[:-1], *(cast.draft("note", at="11:30", text=f"No. {n}") for n in range(NOTES)))
    return database


def seq(number: int) -> int:
    """Give the number of the nth note in the ledger."""
    return cast.nth(len(ordinary_day()) - 1) + number


def test_a_days_entries_show_their_numbers_and_open_some_by_a_tap(notes: Database, pat: Page) -> None:
    pat.goto(ENTRIES)
    assert height(pat) < 2 * PHONE["height"]
    accessibility.check(pat)
    entry = pat.locator(f"#entry-{seq(NOTES)}")
    expect(entry).to_be_hidden()
    pat.locator(".folds").last.click()
    expect(entry).to_contain_text("Note, Casey Cook")
    assert height(pat) < 2 * _SCREENS * PHONE["height"]
    expect(entry.locator(".hash").first).to_be_hidden()
    entry.locator("summary").click()
    expect(entry.locator(".hash").first).to_be_visible()
    expect(entry.locator("pre")).to_contain_text(f"No. {NOTES - 1}")
    accessibility.check(pat)


def test_an_entry_that_an_address_names_is_on_the_screen(notes: Database, pat: Page) -> None:
    pat.goto(f"{ENTRIES}#entry-{seq(70)}")
    named = pat.locator(f"#entry-{seq(70)}")
    expect(named).to_be_in_viewport()
    expect(named.locator(".hash").first).to_be_visible()
    pat.evaluate(f"location.hash = 'entry-{seq(140)}'")
    expect(pat.locator(f"#entry-{seq(140)}")).to_be_in_viewport()


def test_paper_and_a_wide_screen_show_every_entry_with_its_hashes(notes: Database, pat: Page) -> None:
    pat.goto(ENTRIES)
    last = pat.locator(f"#entry-{seq(NOTES)} .hash").first
    for media, size in (("print", PHONE), ("screen", TABLET)):
        pat.emulate_media(media="print" if media == "print" else "screen")
        pat.set_viewport_size(size)
        expect(last).to_be_visible()


def test_a_day_of_few_entries_is_not_folded(database: Database, pat: Page) -> None:
    keep(database, *ordinary_day())
    pat.goto(ENTRIES)
    expect(pat.locator(f"#entry-{cast.nth(1)}")).to_be_visible()
