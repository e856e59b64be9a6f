"""What is due changes the screen by itself, on whatever page of the kitchen the tablet stands."""

from collections.abc import Callable
from datetime import datetime

from playwright.sync_api import Page, expect

from app.db import Database
from tests.support import accessibility
from tests.support.drafts import keep, ordinary_day
from tests.support.screen import sign_in


def test_a_check_that_falls_due_comes_over_the_page(
    page: Page, database: Database, set_clock: Callable[[datetime | str], None]
) -> None:
    keep(database, *ordinary_day()[:-1])
    set_clock("12:00")
    page.clock.install()
    sign_in(page, "cook")
    page.goto("/checks")
    expect(page.locator("main")).to_be_visible()
    expect(page.locator(".alarm")).to_be_empty()
    set_clock("12:46")  # the tray was read at 11:15: due 90 minutes later
    page.clock.run_for(31_000)
    expect(page.locator(".alarm")).to_contain_text("Tray T1: check the temperature")
    expect(page).to_have_title("(1) Checks · Kitchen S1")
    accessibility.check(page)
    page.locator(".alarm a").click()
    expect(page.get_by_role("link", name="Tray T1: check the temperature")).to_be_visible()
