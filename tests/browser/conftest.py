"""A real browser, and a server of its own for each test, on a kitchen that has just opened."""

from collections.abc import Callable, Iterator
from datetime import datetime
from threading import Thread

import pytest
from flask import Flask
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, ViewportSize, expect, sync_playwright
from werkzeug.serving import make_server

from app.db import Database
from tests.support import cast, chromium
from tests.support.drafts import keep
from tests.support.hand import Hand
from tests.support.screen import PATIENCE_MS, TABLET, cook_at_tablet
from tests.support.spit_pad import PAD

expect.set_options(timeout=PATIENCE_MS)

_ARGUMENTS = [
    "--no-sandbox",  # there is none for root, and it shows our own pages only
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture
def database(two_kitchens: Database) -> Database:
    """Kitchen S1 and the other kitchen, on SQLite."""
    return two_kitchens


@pytest.fixture
def server(app: Flask) -> Iterator[str]:
    """The address of the app, served in threads of this process, so that a test can set the clock."""
    listening = make_server("127.0.0.1", 0, app, threaded=True)
    thread = Thread(target=listening.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    yield f"http://127.0.0.1:{listening.server_port}"
    listening.shutdown()
    thread.join()
    listening.server_close()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium."""
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium.find(), args=_ARGUMENTS)
        yield opened
        opened.close()


@pytest.fixture
def context(browser: Browser, server: str) -> Iterator[BrowserContext]:
    """A browser's own cookies and storage, on the server; `context.new_page()` opens a page."""
    with browser.new_context(base_url=server, viewport=TABLET, timezone_id=cast.TIMEZONE) as context:
        context.set_default_timeout(PATIENCE_MS)
        yield context


@pytest.fixture
def page(context: BrowserContext) -> Iterator[Page]:
    """A page in which no script may fail and nothing may break the content security policy."""
    page = context.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", lambda message: complaints.extend(_complaint(message)))
    yield page
    assert complaints == []


def _complaint(message: ConsoleMessage) -> list[str]:
    # A refused form answers 4xx, which the browser reports as an error too; that one is for the test to judge.
    is_answer = message.text.startswith("Failed to load resource")
    return [message.text] if message.type == "error" and not is_answer else []


SetClock = Callable[[datetime | str], None]
_SIZES = [TABLET, {"width": 768, "height": 1024}]


@pytest.fixture(params=_SIZES, ids=["landscape", "portrait"])
def hand(request: pytest.FixtureRequest, browser: Browser, server: str, set_clock: SetClock) -> Iterator[Hand]:
    """A hand of the cook, who has chosen the name already."""
    size: ViewportSize = request.param
    set_clock("12:00")
    with cook_at_tablet(browser, server, size) as page:
        yield Hand(page)


@pytest.fixture
def pad(browser: Browser, server: str, database: Database, set_clock: SetClock) -> Iterator[Page]:
    """The pad of spit 1 at tablet A, the cook there and the blue probe in hand; nobody has probed its two spits."""
    set_clock("12:00")
    spits = [cast.draft("spit_loaded", at="09:02", spit=spit) for spit in (1, 2)]
    keep(database, cast.draft("load_started", at="09:00"), *spits)
    with cook_at_tablet(browser, server, TABLET) as page:
        page.goto(PAD)
        page.locator("label:has([name=probe][value=blue])").click()
        yield page
