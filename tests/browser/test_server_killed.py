"""The server is killed (SIGKILL, with all its processes) under a tablet in use, and started again.

What is typed stays on the screen, is sent by itself when the server is there again, and is kept once.
"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import TypeVar

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from app import ledger
from app.db import Database
from app.kinds import CookReading, CorrectiveAction, Entry, HoldReading, of_kind
from tests.support import cast
from tests.support.drafts import Draft, keep, loaded, pulled
from tests.support.real_server import RealServer
from tests.support.screen import PATIENCE_MS, press

E = TypeVar("E", bound=Entry)
NOT_SAVED = "Not saved. Trying again."

pytestmark = pytest.mark.long


@pytest.fixture
def real(database: Database) -> Iterator[RealServer]:
    """A server under gunicorn, on the database of this test."""
    with RealServer(database.engine.url.render_as_string(hide_password=False)) as running:
        yield running


@pytest.fixture
def tablet(browser: Browser, real: RealServer) -> Iterator[Page]:
    """Tablet A with the cook at it, by the clock of this machine."""
    with browser.new_context(
        base_url=real.address,
        viewport={"width": 768, "height": 1024},
        timezone_id=cast.TIMEZONE,
        has_touch=True,
    ) as context:
        context.set_default_timeout(PATIENCE_MS)
        context.add_cookies([{"name": "tablet", "value": cast.token("A"), "url": real.address}])
        page = context.new_page()
        page.goto("/person")
        page.get_by_label("Casey Cook").check()
        page.fill("#pin", cast.PIN)
        press(page.get_by_role("button", name="This is me"))
        yield page


def keep_until_now(database: Database, drafts: list[Draft], *, ago: timedelta) -> None:
    """Keep entries, each moved by as much, so that the last of them was seen so long ago."""
    seen = [datetime.fromisoformat(draft["observed_at"]) for draft in drafts]
    moved = datetime.now(UTC) - ago - max(seen)
    moved_drafts = [{**draft, "observed_at": (at + moved).isoformat()} for draft, at in zip(drafts, seen, strict=True)]
    keep(database, *moved_drafts, at=datetime.now(UTC))


def kept(database: Database, kind: type[E]) -> list[E]:
    """Give every entry of a kind that is in the ledger."""
    with database.reading() as session:
        since = cast.OPENED
        return list(of_kind(ledger.entries_since(session, "S1", kind, since=since, as_of=datetime.now(UTC)), kind))


def tap(page: Page, digits: str) -> None:
    """Type on the number pad."""
    for digit in digits:
        page.locator(f"[data-pad=temperature] [data-key='{digit}']").tap()


def test_a_number_that_is_being_typed_is_saved_once_the_server_is_back(
    tablet: Page, real: RealServer, database: Database
) -> None:
    keep_until_now(database, loaded(spits=1), ago=timedelta(minutes=60))
    tablet.goto("/loads/A-L1/spits/1/probe")
    tablet.check("[name=probe][value=blue]")
    tap(tablet, "17")
    real.kill()
    tap(tablet, "1")
    expect(tablet.locator("main [data-now]")).to_contain_text("171 °F")  # what it means is said all the same
    tablet.locator(".save").tap()
    expect(tablet.locator("[data-saving]")).to_have_text(NOT_SAVED)
    expect(tablet.locator("#temperature")).to_have_value("171")
    real.start()
    expect(tablet.locator("main > .message")).to_contain_text("Saved: spit 1, bird 1, breast, 171 °F.")
    assert [str(one.reading.value) for one in kept(database, CookReading)] == ["171"]


def test_a_save_that_was_on_its_way_is_kept_once(tablet: Page, real: RealServer, database: Database) -> None:
    keep_until_now(database, pulled(), ago=timedelta(minutes=20))
    tablet.goto("/trays/A-T1/check")
    tablet.check("[name=probe][value=blue]")
    tap(tablet, "150")
    expect(tablet.locator("[data-meaning]")).not_to_have_attribute("aria-busy", "true")
    with database.writing(), tablet.expect_request("**/trays/A-T1/check"):  # the server has to wait for this one
        tablet.locator(".save").tap()
        expect(tablet.locator("[data-saving]")).to_have_text("Saving…")
        real.kill()
    expect(tablet.locator("[data-saving]")).to_have_text(NOT_SAVED)
    real.start()
    expect(tablet.locator("main")).to_contain_text("Saved: tray T1, 150 °F.")
    assert [str(one.reading.value) for one in kept(database, HoldReading)] == ["150"]


def test_a_save_whose_answer_was_lost_is_kept_once(tablet: Page, real: RealServer, database: Database) -> None:
    keep_until_now(database, pulled(), ago=timedelta(minutes=20))
    lost: list[int] = []

    def lose_answer(route: Route) -> None:
        """Let the server keep it, and kill it before the tablet hears of that."""
        if "X-Fragment" in route.request.headers or route.request.method != "POST" or lost:
            return route.continue_()
        lost.append(route.fetch().status)
        real.kill()
        return route.abort()

    tablet.goto("/trays/A-T1/check")
    tablet.check("[name=probe][value=blue]")
    tap(tablet, "150")
    expect(tablet.locator("[data-meaning]")).not_to_have_attribute("aria-busy", "true")
    tablet.route("**/trays/A-T1/check", lose_answer)
    tablet.locator(".save").tap()
    expect(tablet.locator("[data-saving]")).to_have_text(NOT_SAVED)
    assert len(kept(database, HoldReading)) == len(lost) == 1
    real.start()
    expect(tablet.locator("main")).to_contain_text("Saved: tray T1, 150 °F.")
    assert len(kept(database, HoldReading)) == 1


def test_the_first_page_says_since_when_it_is_old(tablet: Page, real: RealServer, database: Database) -> None:
    keep_until_now(database, pulled(), ago=timedelta(minutes=20))
    tablet.clock.install()
    tablet.goto("/")
    expect(tablet.locator(".stale")).to_be_hidden()
    real.kill()
    tablet.clock.run_for(61_000)
    expect(tablet.locator(".stale")).to_contain_text("Not updated since")
    expect(tablet.locator(".stale")).to_be_visible()
    expect(tablet.locator("main")).to_contain_text("Tray T1")
    real.start()
    tablet.clock.run_for(21_000)
    expect(tablet.locator(".stale")).to_be_hidden()


def test_a_form_is_kept_on_the_screen_until_the_server_is_back(
    tablet: Page, real: RealServer, database: Database
) -> None:
    low = cast.draft("hold_reading", at="10:50", temperature="128")
    keep_until_now(database, [*pulled(), low], ago=timedelta(minutes=5))
    tablet.goto("/findings")
    press(tablet.get_by_role("button", name="Record corrective action"))
    tablet.get_by_role("radio", name="serve now").check()
    tablet.get_by_label("In other words").nth(0).fill("The cabinet was not plugged in")
    tablet.get_by_label("In other words").nth(1).fill("Served within the quarter of an hour")
    real.kill()
    tablet.get_by_label("In other words").nth(2).fill("Look at the lamp at opening")
    tablet.locator(".save").tap()
    expect(tablet.locator(".unsent")).to_have_text("No connection: not sent yet. Trying again.")
    tablet.locator(".save").tap()
    expect(tablet.get_by_label("In other words").nth(0)).to_have_value("The cabinet was not plugged in")
    real.start()
    expect(tablet.locator("main")).to_contain_text("The corrective action is recorded.")
    assert [one.cause for one in kept(database, CorrectiveAction)] == ["The cabinet was not plugged in"]
