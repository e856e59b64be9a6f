"""The kitchen's pages on a phone in the hand: the head leaves room for the work, and nothing of its name is cut."""

from collections.abc import Callable
from datetime import datetime

import pytest
from playwright.sync_api import Page, expect

from app.db import Database
from tests.support import cast
from tests.support.drafts import keep, loaded
from tests.support.screen import press, sign_in

SetClock = Callable[[datetime | str], None]
PHONE = {"width": 390, "height": 844}
_MOST_OF_SCREEN = 1 / 6
"""Of the head of a page: common practice, no source."""


@pytest.fixture(params=["cook", "pat"])
def phone(request: pytest.FixtureRequest, page: Page, database: Database, set_clock: SetClock) -> Page:
    """Somebody at noon, signed in on a phone: who is in charge has the most pages."""
    set_clock("12:00")
    keep(database, *loaded())
    page.clock.set_fixed_time(cast.moment("12:00"))
    page.set_viewport_size(PHONE)
    sign_in(page, request.param)
    return page


@pytest.mark.parametrize("path", ["/", "/checks", "/findings"])
def test_the_head_leaves_room_for_the_work(phone: Page, path: str) -> None:
    phone.goto(path)
    head = phone.locator(".masthead").bounding_box()
    assert head is not None
    assert head["height"] <= PHONE["height"] * _MOST_OF_SCREEN


@pytest.mark.parametrize("phone", ["pat"], indirect=True)
def test_a_lost_tablet_is_ended_by_two_taps_without_a_scroll(phone: Page) -> None:
    phone.goto("/")
    lost = phone.get_by_role("link", name="Lost a tablet?")
    expect(lost).to_be_in_viewport(ratio=1)
    press(lost)
    end = phone.get_by_role("button", name="Revoke tablet A")
    expect(end).to_be_in_viewport(ratio=1)
    press(end)
    expect(phone.locator("main > .message")).to_contain_text("Tablet A was revoked")


def test_the_name_of_the_kitchen_is_not_cut(phone: Page) -> None:
    phone.goto("/checks")
    name = "Riverside Street Rotisserie and Delicatessen, south hall"
    phone.locator(".masthead .site").evaluate("(site, name) => { site.textContent = name; }", name)
    is_cut = "(site) => site.scrollHeight > site.clientHeight + 1 || site.scrollWidth > site.clientWidth + 1"
    assert not phone.locator(".masthead .site").evaluate(is_cut)


def test_the_pages_unfold_by_a_tap_and_by_the_keyboard(phone: Page) -> None:
    phone.goto("/")
    pages, checks = phone.get_by_role("button", name="Pages"), phone.locator(".masthead nav a[href='/checks']")
    expect(checks).to_be_hidden()
    pages.click()
    expect(checks).to_be_visible()
    expect(pages).to_have_attribute("aria-expanded", "true")
    pages.press("Enter")
    expect(checks).to_be_hidden()
    pages.press("Space")
    phone.keyboard.press("Tab")
    expect(phone.locator(".masthead nav a").first).to_be_focused()


def test_without_the_script_every_page_is_in_reach(phone: Page) -> None:
    phone.route("**/*.js", lambda route: route.abort())
    phone.goto("/")
    expect(phone.locator(".masthead nav a[href='/checks']")).to_be_visible()
