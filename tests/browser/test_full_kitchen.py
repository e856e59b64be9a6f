"""A full kitchen: twelve spits in two ovens, twenty trays, an empty form, a wrong PIN, the longest names on a phone.

What is tapped is as large and as far apart as on an ordinary day, and what is asked next is in sight.
"""

from collections.abc import Callable, Iterator
from datetime import datetime

import pytest
from playwright.sync_api import Browser, Page, ViewportSize, expect

from app.db import Database
from tests.support import accessibility, cast
from tests.support.drafts import Draft, keep
from tests.support.screen import TABLET, cook_at_tablet, press

SetClock = Callable[[datetime | str], None]
SIZES = [TABLET, {"width": 768, "height": 1024}]
LONG = "Tray-by-the-window-abcdefghijklm"


@pytest.fixture(params=SIZES, ids=["landscape", "portrait"])
def cook(
    request: pytest.FixtureRequest, browser: Browser, server: str, database: Database, set_clock: SetClock
) -> Iterator[Page]:
    """The cook at tablet A at noon, with every oven and every shelf taken."""
    size: ViewportSize = request.param
    keep(database, *full_ovens(), *trays())
    set_clock("12:00")
    with cook_at_tablet(browser, server, size) as page:
        yield page


def full_ovens() -> list[Draft]:
    drafts = []
    for load, oven in (("A-L4", "east"), ("A-L5", "west")):
        drafts.append(cast.draft("load_started", at="11:00", load=load, oven=oven))
        drafts += [cast.draft("spit_loaded", at="11:02", load=load, spit=spit, birds=8) for spit in range(1, 7)]
    return drafts


def trays() -> list[Draft]:
    drafts = [cast.draft("load_started", at="09:00", load="A-L1")]
    for spit in range(1, 21):
        own = {"load": "A-L1", "spit": spit}
        drafts.append(cast.draft("spit_loaded", at="09:02", birds=5, **own))
        drafts += [cast.draft("cook_reading", at="10:31", bird=bird, temperature="171", **own) for bird in (1, 4)]
        drafts.append(cast.draft("spit_pulled", at="10:36", birds=5, tray=LONG if spit == 20 else f"A-T{spit}", **own))
    return drafts


@pytest.mark.parametrize("path", ["/", "/checklists/closing", "/trays/A-T1/out/other_tray", "/loads/new"])
def test_what_is_tapped_is_large_and_apart(cook: Page, path: str) -> None:
    cook.goto(path)
    assert accessibility.targets_too_small_or_near(cook) == []


def test_what_is_wrong_is_led_to_by_large_links(cook: Page) -> None:
    cook.goto("/trays/A-T1/out/chilled")
    cook.locator("#birds").fill("")
    cook.evaluate("for (const one of document.querySelectorAll('main [type=radio]')) one.checked = false")
    press(cook.get_by_role("button", name="Save"))
    expect(cook.get_by_role("alert").get_by_role("link")).to_have_count(2)
    assert accessibility.targets_too_small_or_near(cook) == []


def test_where_chilled_birds_go_is_asked_beside_the_keys(cook: Page) -> None:
    cook.goto("/trays/A-T1/out/chilled")
    keys, asked = cook.locator(".pad.counts").bounding_box(), cook.locator("#batch_of").bounding_box()
    assert keys
    assert asked
    assert asked["y"] < keys["y"] + keys["height"]


def test_what_a_number_means_stays_while_something_else_is_needed(cook: Page) -> None:
    cook.goto("/deliveries/new")
    cook.locator("label:has([name=probe][value=blue])").click()
    for digit in "45":
        cook.locator(f"[data-pad=temperature] [data-key='{digit}']").click()
    expect(cook.locator("[data-meaning]")).to_contain_text("Lot: this is needed.")
    expect(cook.locator(".meaning-now")).to_contain_text("45 °F: over 41 °F")


def test_the_keys_are_in_sight_below_a_wrong_pin(cook: Page) -> None:
    cook.goto("/person")
    cook.get_by_label("Robin Reyes").check()
    cook.fill("#pin", "1111")
    press(cook.get_by_role("button", name="This is me"))
    expect(cook.get_by_role("alert")).to_contain_text("Try again.")
    expect(cook.locator("[data-pad=pin] [data-key='0']")).to_be_in_viewport(ratio=1)


def test_that_every_oven_is_full_is_said_before_anything_is_asked(cook: Page) -> None:
    cook.goto("/loads/new")
    expect(cook.get_by_text("Every oven has birds in it. Pull them first.")).to_be_in_viewport(ratio=1)
    expect(cook.locator(".button.main")).to_have_count(0)


@pytest.mark.parametrize("path", [f"/trays/{LONG}", f"/trays/{LONG}/check", f"/trays/{LONG}/move"])
def test_the_longest_name_makes_no_page_of_a_phone_wider(cook: Page, path: str) -> None:
    cook.set_viewport_size({"width": 320, "height": 640})
    cook.goto(path)
    heading = cook.get_by_role("heading", level=1)
    assert cook.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert heading.evaluate("(one) => one.scrollWidth <= one.clientWidth + 1")
