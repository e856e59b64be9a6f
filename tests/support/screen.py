"""What everybody does in a real browser."""

import re
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, Locator, Page, ViewportSize, expect

from tests.support import cast

TABLET: ViewportSize = {"width": 1024, "height": 768}
PATIENCE_MS = 60_000
"""How long what must come is waited for: a page that is right is there at once, however long a busy machine takes."""


@contextmanager
def cook_at_tablet(
    browser: Browser, server: str, size: ViewportSize, *, credential: str = "", name: str = "Casey Cook"
) -> Iterator[Page]:
    """Give a page of tablet A (or of that of a credential) at noon, on which a cook has said by PIN who is there."""
    credential = credential or cast.token("A")
    with browser.new_context(base_url=server, viewport=size, timezone_id=cast.TIMEZONE, has_touch=True) as context:
        context.set_default_timeout(PATIENCE_MS)
        context.add_cookies([{"name": "tablet", "value": credential, "url": server}])
        page = context.new_page()
        page.clock.set_fixed_time(cast.moment("12:00"))
        page.goto("/person")
        page.get_by_label(name).check()
        page.fill("#pin", cast.PIN)
        with page.expect_navigation():
            page.get_by_role("button", name="This is me").click()
        yield page


def sign_in(page: Page, login: str) -> None:
    """Sign in at S1 with the password of the cast, without the screen: the browser has the cookie, and no page yet."""
    token = re.search(r'name="csrf_token" value="([^"]+)"', page.request.get("/signin").text())
    assert token
    typed = {"csrf_token": token[1], "site": "S1", "login": login, "password": cast.PASSWORD}
    assert page.request.post("/signin", form=typed, max_redirects=0).status == 303


def sign_in_by_hand(page: Page, login: str) -> None:
    """Sign in at S1 with the password of the cast on the screen."""
    page.goto("/signin")
    page.get_by_label("Kitchen").fill("S1")
    page.get_by_label("Sign-in name").fill(login)
    page.get_by_label("Password").fill(cast.PASSWORD)
    press(page.get_by_role("button", name="Sign in"))
    expect(page).not_to_have_url(re.compile("/signin"))


def press(button: Locator) -> None:
    """Press a button or link and wait for the page that it leads to: only then is what it sent kept."""
    with button.page.expect_navigation():
        button.click()
