"""Files for a spreadsheet in a real browser: how far it is, and whole at the end. Pages of verification."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from app.db import Database
from tests.support import accessibility, cast
from tests.support.drafts import keep, low_reading
from tests.support.screen import sign_in


@pytest.fixture
def in_charge(database: Database, page: Page, set_clock: Callable[[datetime | str], None]) -> Page:
    """The person in charge after a day with a low reading."""
    keep(database, *low_reading())
    set_clock(cast.moment("09:00", day=cast.DAY.replace(day=20)))
    sign_in(page, "pat")
    return page


def test_a_file_says_how_far_it_is_and_is_saved(in_charge: Page, tmp_path: Path) -> None:
    day = cast.DAY.isoformat()
    in_charge.goto(f"/export?table=days&first={day}&last={day}")
    with in_charge.expect_download() as saving:
        in_charge.click("[data-download]")
    saving.value.save_as(tmp_path / "days.csv")
    assert (tmp_path / "days.csv").read_text("utf-8").startswith("\ufeffbusiness_day,state,")
    expect(in_charge.locator("[data-said]")).to_have_text("The file is saved.")


@pytest.mark.parametrize(
    "path",
    [
        *(
            "/weeks",
            "/weeks/2026-04-13",
            "/calibration",
            "/export",
            "/export?table=days&first=2026-04-14&last=2026-04-14",
        ),
        *("/write/thawing", "/write/work_observed", "/write/training"),
    ],
)
def test_every_page_can_be_read(in_charge: Page, path: str) -> None:
    in_charge.goto(path)
    accessibility.check(in_charge)
    in_charge.set_viewport_size({"width": 768, "height": 1024})
    assert in_charge.evaluate("document.documentElement.scrollWidth <= innerWidth")
