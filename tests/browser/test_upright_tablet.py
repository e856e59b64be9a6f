"""Pages on a tablet that stands upright: nothing is wider than the screen, and what belongs together stands in line."""

from collections import Counter
from collections.abc import Callable
from datetime import datetime

import pytest
from playwright.sync_api import Page, expect

from app.db import Database
from tests.support import cast
from tests.support.drafts import action, chilled, finding, keep, low_reading, pulled
from tests.support.screen import sign_in

SetClock = Callable[[datetime | str], None]
DOOR = "The door of the unit stood open."


@pytest.fixture
def upright(page: Page, set_clock: SetClock) -> Page:
    """A cook signed in at noon, on a screen 768 px wide."""
    set_clock("12:00")
    page.clock.set_fixed_time(cast.moment("12:00"))
    page.set_viewport_size({"width": 768, "height": 1024})
    sign_in(page, "cook")
    return page


def test_a_batch_of_the_day_before_is_no_wider_than_the_screen(
    upright: Page, database: Database, set_clock: SetClock
) -> None:
    keep(database, *chilled(("12:30", "65"), ("15:00", "40")), at="15:01")
    tomorrow = cast.moment("09:00", day=cast.DAY.replace(day=cast.DAY.day + 1))
    set_clock(tomorrow)
    sign_in(upright, "cook")
    upright.goto("/batches/A-B1")
    expect(upright.locator(".row .when .big").first).to_contain_text("Tue 14 Apr")
    assert upright.evaluate("document.documentElement.scrollWidth") <= 768


@pytest.mark.parametrize(("width", "birds", "rows"), [(768, 6, [3, 3]), (768, 5, [5]), (320, 7, [4, 3])])
def test_birds_to_be_thrown_away_lie_in_even_rows(
    upright: Page, database: Database, width: int, birds: int, rows: list[int]
) -> None:
    keep(database, cast.draft("load_started", at="09:00"), cast.draft("spit_loaded", at="09:02", birds=birds))
    upright.set_viewport_size({"width": width, "height": 1024})
    upright.goto("/loads/A-L1/spits/1/pull")
    boxes = [one.bounding_box() for one in upright.locator("#discarded_birds .choice").all()]
    lines = Counter(round(box["y"]) for box in boxes if box)
    assert [lines[y] for y in sorted(lines)] == rows
    assert max(box["x"] + box["width"] for box in boxes if box) <= width


def test_the_parts_of_a_corrective_action_stand_in_line(upright: Page, database: Database) -> None:
    keep(database, *low_reading())
    upright.goto(f"/findings/act?finding={finding(database, 'hold.temperature')}")
    firsts = [part.locator("label").first.bounding_box() for part in upright.locator(".phrases").all()]
    assert len({round(first["y"]) for first in firsts if first}) == 1
    assert len(firsts) == 3


def test_what_was_sent_back_comes_with_its_phrases_tapped(upright: Page, database: Database) -> None:
    keep(database, *low_reading())
    key = finding(database, "hold.temperature")
    keep(database, action(key, cause=DOOR, action="Looked at"), by="robin")
    keep(database, cast.draft("action_verified", at="11:50", findings=[key], outcome="sent_back"), by="pat")
    upright.goto(f"/findings/act?finding={key}")
    expect(upright.get_by_role("radio", name=DOOR)).to_be_checked()
    upright.get_by_text("The tray stood out.").click()
    expect(upright.locator("#cause")).to_have_value("The tray stood out.")


def test_food_that_is_not_put_away_is_not_asked_whether_it_is_after_all(upright: Page, database: Database) -> None:
    keep(database, *pulled())
    upright.goto("/checklists/closing")
    put_away = upright.get_by_label("They are put away. That is not recorded yet.")
    upright.locator("[name=checks-0-answer][value=no]").check()
    upright.get_by_label("All of these are right").check()
    expect(upright.locator("[name=checks-1-answer][value=yes]")).to_be_checked()
    expect(put_away).to_be_hidden()
    upright.locator("[name=checks-0-answer][value=yes]").check()
    expect(put_away).to_be_visible()
