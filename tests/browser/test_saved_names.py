"""What was saved is said with its spit and bird, where Save stands, on a phone and on a tablet that stands upright."""

from collections.abc import Callable, Iterator
from datetime import datetime

import pytest
from playwright.sync_api import Browser, FloatRect, Locator, Page, expect

from app.db import Database
from tests.support import cast
from tests.support.drafts import keep
from tests.support.screen import cook_at_tablet

SetClock = Callable[[datetime | str], None]
WIDTHS = {320: 640, 768: 1024}


@pytest.fixture(params=WIDTHS)
def pad(
    browser: Browser, server: str, database: Database, set_clock: SetClock, request: pytest.FixtureRequest
) -> Iterator[Page]:
    """The pad of the last bird of spit 11, of which all others are read; spit 12 comes next."""
    set_clock("12:00")
    spits = [cast.draft("spit_loaded", at="09:02", spit=spit, birds=12) for spit in (11, 12)]
    read = cast.draft("cook_reading", at="11:50", spit=11, bird=1, temperature="171.2")
    keep(database, cast.draft("load_started", at="09:00"), *spits, read)
    size = {"width": request.param, "height": WIDTHS[request.param]}
    with cook_at_tablet(browser, server, size) as page:
        page.goto("/loads/A-L1/spits/11/probe?bird=12")
        page.locator("label:has([name=probe][value=blue])").click()
        yield page


def box(of: Locator) -> FloatRect:
    found = of.bounding_box()
    assert found
    return found


def test_what_was_saved_names_its_spit_also_when_the_next_spit_is_there(pad: Page) -> None:
    for key in "171.2":
        pad.locator(f"[data-pad] [data-key='{key}']").click()
    pad.locator(".save").click()
    said = pad.locator("main > .message.done")
    expect(said).to_have_text("Saved: spit 11, bird 12, breast, 171.2 °F.")
    expect(pad.get_by_role("heading", level=1)).to_have_text("East oven · Spit 12")
    expect(said).to_be_in_viewport(ratio=1)
    assert pad.evaluate("document.documentElement.scrollWidth <= innerWidth")
    words, save = box(said), box(pad.locator(".save"))
    assert words["x"] + words["width"] <= save["x"] or words["y"] + words["height"] <= save["y"]
