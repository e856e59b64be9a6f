"""Trends in a real browser: every page can be read and hit, and a figure leads through its list to the day."""

from collections.abc import Callable
from datetime import date, datetime

import pytest
from playwright.sync_api import Page, expect

from app.db import Database
from tests.support import accessibility, cast
from tests.support.drafts import keep, low_reading
from tests.support.screen import sign_in

TWO_DAYS_LATER = cast.moment("12:00", day=date(2026, 4, 16))


@pytest.fixture
def in_charge(database: Database, page: Page, set_clock: Callable[[datetime | str], None]) -> Page:
    """The person in charge, two days after a day with a low reading and a bird thrown away."""
    thrown_away = cast.draft("tray_out", at="11:20", birds="0.5", to="discarded", reason="temperature")
    keep(database, *low_reading()[:-1], thrown_away)
    set_clock(TWO_DAYS_LATER)
    sign_in(page, "pat")
    return page


@pytest.mark.parametrize(
    "path",
    [
        "/trends",
        "/trends?span=year",
        "/trends?first=nope&last=2026-04-14",
        "/trends/findings?span=4w",
        "/trends/missed?span=4w",
        "/trends/holding?span=4w",
        "/trends/cooking?span=4w",
        "/trends/discarded?span=4w",
        "/trends/chart/weeks?span=4w",
        "/trends/chart/hours?span=4w",
        "/setup/cost",
    ],
)
def test_every_page_of_trends_can_be_read_and_hit_by_everybody(in_charge: Page, path: str) -> None:
    in_charge.goto(path)
    accessibility.check(in_charge)
    in_charge.set_viewport_size({"width": 768, "height": 1024})
    assert in_charge.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_a_figure_leads_through_its_list_to_the_day(in_charge: Page) -> None:
    in_charge.goto("/days")
    in_charge.get_by_role("link", name="Trends", exact=True).click()
    row = in_charge.get_by_role("row", name="Hot-holding temperature")
    row.get_by_role("link", name="1").first.click()
    expect(in_charge.get_by_role("heading", level=1)).to_have_text("Hot-holding temperature: not met")
    in_charge.get_by_role("link", name="Tue 14 April 2026").first.click()
    expect(in_charge.get_by_role("heading", level=1)).to_contain_text("14 April 2026")
