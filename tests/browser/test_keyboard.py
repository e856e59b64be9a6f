"""A keyboard alone is enough: a reading from the first page on, where the focus stands, and how it is seen."""

from collections.abc import Callable
from datetime import datetime

import pytest
from playwright.sync_api import Page, expect

from app.db import Database
from tests.support import cast
from tests.support.drafts import assessed, keep, loaded
from tests.support.screen import sign_in

SetClock = Callable[[datetime | str], None]
_MOST_TABS = 120
"""More than any page here has to tab to: whoever needs more is caught in a trap."""


@pytest.fixture
def cook(page: Page, database: Database, set_clock: SetClock) -> Page:
    """The cook at noon, signed in on a machine with a keyboard."""
    set_clock("12:00")
    page.clock.set_fixed_time(cast.moment("12:00"))
    sign_in(page, "cook")
    return page


def tab_to(page: Page, selector: str) -> None:
    for _tab in range(_MOST_TABS):
        if page.evaluate("(selector) => document.activeElement.matches(selector)", selector):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{selector} is not reached from {page.url}")


def follow(page: Page, selector: str) -> None:
    tab_to(page, selector)
    with page.expect_navigation():
        page.keyboard.press("Enter")


def test_two_readings_and_a_correction_without_a_pointer(cook: Page, database: Database) -> None:
    keep(database, *loaded())
    cook.goto("/")
    follow(cook, "a[href='/loads/A-L1/spits/1/probe']")
    tab_to(cook, "[name=probe]")
    cook.keyboard.press("Space")
    for bird in (1, 2):
        while not cook.evaluate("document.activeElement.id === 'temperature'"):
            cook.keyboard.press("Shift+Tab" if bird == 1 else "Tab")
        cook.keyboard.type("171")
        cook.keyboard.press("Enter")
        expect(cook.locator("main > .message")).to_contain_text(f"bird {bird}, breast, 171 °F")
    first, second = assessed(database).loads[0].spits[0].readings
    assert (first.bird, second.bird) == (1, 2)
    cook.goto("/entries")
    follow(cook, f"a[href='/entries/{second.id}']")
    tab_to(cook, "#temperature")
    cook.keyboard.press("Control+a")
    cook.keyboard.type("172")
    tab_to(cook, "[name=reason_phrase]")
    cook.keyboard.press("Space")
    cook.keyboard.press("Enter")
    expect(cook.locator("main > .message")).to_contain_text("Corrected.")


_RING = """() => {
    const one = document.activeElement;
    if (!one || one === document.body) return null;
    const rings = [one, one.closest(".choice, .bird")].filter(Boolean).map((part) => getComputedStyle(part));
    const ring = rings.find((style) => style.outlineStyle !== "none") || rings[0];
    const place = one.outerHTML.slice(0, 80);
    return [place, ring.outlineStyle === "none" ? 0 : parseFloat(ring.outlineWidth), ring.outlineColor];
}"""
_PAPER = "getComputedStyle(document.body).backgroundColor"


def luminance(colour: str) -> float:
    """Give the relative luminance of `rgb(…)`, as WCAG 2.2 defines it."""
    parts = [int(part) / 255 for part in colour.strip("rgba()").split(",")[:3]]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", ["/", "/loads/A-L1/spits/1/probe", "/loads/new"])
def test_each_stop_of_the_tab_key_is_seen_and_none_is_a_trap(
    cook: Page, database: Database, path: str, scheme: str
) -> None:
    """WCAG 2.2: 2.1.2 no keyboard trap, 2.4.7 focus visible; 1.4.11 asks for 3 to 1, 2.4.13 (AAA) for 2 px."""
    keep(database, *loaded())
    cook.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    cook.goto(path)
    paper, stops = cook.evaluate(_PAPER), []
    for _tab in range(_MOST_TABS):
        cook.keyboard.press("Tab")
        found = cook.evaluate(_RING)
        if found is None or (stops and found[0] == stops[0][0]):
            break
        stops.append(found)
    else:
        raise AssertionError(f"the tab key does not come round: {stops[-3:]}")
    assert len(stops) > 5
    assert [place for place, width, ring in stops if width < 2 or contrast(ring, paper) < 3] == []


@pytest.mark.parametrize("path", ["/", "/loads/A-L1/spits/1/probe", "/checks", "/days"])
def test_nothing_moves_where_less_motion_is_asked_for(cook: Page, database: Database, path: str) -> None:
    keep(database, *loaded())
    cook.emulate_media(reduced_motion="reduce")
    cook.goto(path)
    moves = """() => [...document.querySelectorAll("*")].filter((one) => {
        const style = getComputedStyle(one);
        const lasts = style.transitionDuration.split(",").some((time) => parseFloat(time) > 0);
        return style.animationName !== "none" || lasts;
    }).map((one) => one.outerHTML.slice(0, 80))"""
    assert cook.evaluate(moves) == []
    button = cook.locator(".button").first
    button.hover()
    cook.mouse.down()
    assert button.evaluate("(one) => getComputedStyle(one).transform") == "none"
