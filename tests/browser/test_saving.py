"""A tablet with nobody at it, in a real browser: the work is there, and who it is is asked on saving."""

from collections.abc import Callable, Iterator
from datetime import datetime

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from app.db import Database
from tests.support import accessibility, cast
from tests.support.drafts import assessed, keep, pulled
from tests.support.screen import PATIENCE_MS, TABLET, press, sign_in

SetClock = Callable[[datetime | str], None]


@pytest.fixture(params=[True, False], ids=["with scripts", "without scripts"])
def page(
    request: pytest.FixtureRequest, browser: Browser, server: str, database: Database, set_clock: SetClock
) -> Iterator[Page]:
    """Tablet A with nobody at it at noon, once with scripts and once without; tray A-T1 is in hot holding."""
    keep(database, *pulled())
    set_clock("12:00")
    has_scripts: bool = request.param
    with browser.new_context(
        base_url=server, viewport=TABLET, timezone_id=cast.TIMEZONE, has_touch=True, java_script_enabled=has_scripts
    ) as context:
        context.set_default_timeout(PATIENCE_MS)
        enrol(context, server)
        page = context.new_page()
        page.clock.set_fixed_time(cast.moment("12:00"))
        yield page


def enrol(context: BrowserContext, server: str) -> None:
    """Make this browser tablet A."""
    context.add_cookies([{"name": "tablet", "value": cast.token("A"), "url": server}])


def has_scripts(page: Page) -> bool:
    """Whether the page's scripts run."""
    return page.locator("html.script").count() == 1


def type_digits(page: Page, field: str, digits: str) -> None:
    """Type on the number pad where there are scripts, on the keyboard where there are none."""
    if not has_scripts(page):
        page.fill(f"#{field}", digits)
        return
    for digit in digits:
        page.locator(f"[data-pad={field}] [data-key='{digit}']").click()


def read_tray(page: Page, temperature: str) -> None:
    """Read tray A-T1 and press Save, as somebody who did not say who they are."""
    page.goto("/trays/A-T1/check")
    page.check("[name=probe][value=blue]")
    type_digits(page, "temperature", temperature)
    if not has_scripts(page):
        press(page.get_by_role("button", name="Check this number"))
    expect(page.locator(".meaning")).to_contain_text("Next check at")
    page.locator(".save").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Who is saving this?")


def test_a_reading_is_saved_by_whoever_says_who_they_are(page: Page, database: Database) -> None:
    read_tray(page, "150")
    expect(page.locator(".typed")).to_contain_text("Tray T1, reading: 150 °F")
    if has_scripts(page):
        accessibility.check(page)
    page.get_by_label("Robin Reyes").check()
    type_digits(page, "pin", "1111")
    press(page.get_by_role("button", name="Save"))
    expect(page.get_by_role("alert")).to_have_text("The name or the PIN is wrong. Try again.")
    expect(page.get_by_label("Robin Reyes")).to_be_checked()
    if has_scripts(page):
        accessibility.check(page)
    type_digits(page, "pin", cast.PIN)
    press(page.get_by_role("button", name="Save"))
    expect(page.locator("main")).to_contain_text("Saved: tray T1, 150 °F.")
    (held,) = [one.entry for one in assessed(database).trays[0].held]
    assert (str(held.reading.value), held.person, held.identified) == ("150", "robin", "pin")


def test_who_was_here_before_saves_by_one_tap_on_the_name(page: Page, database: Database) -> None:
    for name in ("Robin Reyes", "Casey Cook"):
        page.goto("/person")
        page.get_by_label(name).check()
        type_digits(page, "pin", cast.PIN)
        press(page.get_by_role("button", name="This is me"))
    page.goto("/person")
    press(page.get_by_role("button", name="Nobody: ask on saving"))
    read_tray(page, "150")
    press(page.get_by_role("button", name="Robin Reyes"))
    (held,) = [one.entry for one in assessed(database).trays[0].held]
    assert (held.person, held.identified) == ("robin", "recent")


def test_the_enter_key_after_a_pin_never_takes_a_name_that_was_not_tapped(page: Page, database: Database) -> None:
    for name in ("Robin Reyes", "Casey Cook"):
        page.goto("/person")
        page.get_by_label(name).check()
        page.fill("#pin", cast.PIN)
        page.press("#pin", "Enter")
        expect(page.locator(".who")).to_contain_text(name)
    page.goto("/person")
    page.fill("#pin", cast.PIN)
    page.press("#pin", "Enter")
    expect(page.get_by_role("alert")).to_have_text("Tap your name.")
    expect(page.locator(".who")).to_contain_text("Casey Cook")


# ---- with scripts --------------------------------------------------------------------------------------------------

scripted = pytest.mark.parametrize("page", [True], ids=["with scripts"], indirect=True)


@scripted
def test_the_header_says_so_when_the_person_has_left(page: Page, set_clock: SetClock) -> None:
    page.goto("/person")
    page.get_by_label("Casey Cook").check()
    type_digits(page, "pin", cast.PIN)
    page.clock.install(time=cast.moment("12:00"))
    press(page.get_by_role("button", name="This is me"))
    page.goto("/trays/A-T1/check")
    type_digits(page, "temperature", "15")
    set_clock("12:10:01")
    page.clock.fast_forward("10:02")
    expect(page.locator(".who")).to_contain_text("Nobody asked when you save")
    expect(page.locator("#temperature")).to_have_value("15")


@scripted
def test_a_clock_that_is_off_is_said_on_every_screen(page: Page) -> None:
    page.goto("/")
    expect(page.locator(".clock-off")).to_be_hidden()
    page.clock.set_fixed_time(cast.moment("12:07"))
    for path in ("/", "/trays/A-T1/check", "/person", "/checks"):
        page.goto(path)
        expect(page.locator(".clock-off")).to_have_text(
            "This tablet's clock is off by 7 min. The records use the server's clock."
        )
    accessibility.check(page)


@scripted
def test_a_server_whose_clock_is_behind_is_not_said_to_be_the_tablet(page: Page, set_clock: SetClock) -> None:
    page.goto("/")
    expect(page.locator(".clock-off")).to_be_hidden()
    set_clock("10:00")
    with page.expect_response("**/"):  # by itself, on the page that is open
        page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    said = "The server's clock is behind its records, by 120 min. Nothing is saved until it is right."
    expect(page.locator(".clock-off")).to_have_text(said)
    page.goto("/checks")
    expect(page.locator(".clock-off")).to_have_text(said)


@scripted
def test_the_screen_of_a_tablet_is_kept_awake(page: Page) -> None:
    page.add_init_script(
        "window.kept = [];"
        "Object.defineProperty(navigator, 'wakeLock', {value: {request: async (what) => { kept.push(what); }}});"
    )
    page.goto("/")
    assert page.evaluate("kept") == ["screen"]
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    assert page.evaluate("kept") == ["screen", "screen"]


@scripted
def test_a_phone_may_sleep(page: Page) -> None:
    page.context.clear_cookies()
    page.add_init_script(
        "window.kept = [];"
        "Object.defineProperty(navigator, 'wakeLock', {value: {request: async (what) => { kept.push(what); }}});"
    )
    sign_in(page, "pat")
    page.goto("/")
    assert page.evaluate("kept") == []


@scripted
def test_a_browser_that_cannot_stay_awake_is_not_told(page: Page) -> None:
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.add_init_script(
        "Object.defineProperty(navigator, 'wakeLock', {value: {request: () => Promise.reject(new Error('no'))}});"
    )
    page.goto("/")
    page.wait_for_load_state("networkidle")
    assert complaints == []


@pytest.fixture
def phone(browser: Browser, server: str, database: Database, set_clock: SetClock) -> Iterator[Page]:
    """The phone of the person in charge, 320 px wide, signed in with the password."""
    set_clock("12:00")
    with browser.new_context(base_url=server, viewport={"width": 320, "height": 640}, has_touch=True) as context:
        context.set_default_timeout(PATIENCE_MS)
        page = context.new_page()
        page.clock.set_fixed_time(cast.moment("12:00"))
        sign_in(page, "pat")
        yield page


def test_a_lost_tablet_is_ended_in_two_taps_on_a_phone(phone: Page) -> None:
    phone.goto("/")
    press(phone.get_by_role("link", name="Lost a tablet?"))
    assert phone.evaluate("document.documentElement.scrollWidth") <= 320
    accessibility.check(phone)
    press(phone.get_by_role("button", name="Revoke tablet A"))
    expect(phone.locator("main")).to_contain_text("Tablet A was revoked")
