"""The charts of a day in a real browser: the words do not wait for them, and then each is there, in light and dark."""

from collections.abc import Callable
from datetime import datetime

import pytest
from playwright.sync_api import BrowserContext, Page, Route, expect

from app.db import Database
from tests.support import accessibility
from tests.support.cast import draft
from tests.support.drafts import keep, low_reading
from tests.support.screen import PATIENCE_MS, press, sign_in

_STEP_MS = 50

DAY = "/day/2026-04-14"
_INK = """image => {
    const canvas = Object.assign(document.createElement("canvas"), { width: 518, height: 223 });
    const pen = canvas.getContext("2d");
    pen.drawImage(image, 0, 0, 518, 223);
    const dots = pen.getImageData(0, 0, 518, 223).data;
    const inked = [...Array(518 * 223).keys()].filter((dot) => dots[4 * dot + 3] > 127);
    return [inked.length, Math.max(...inked.map((dot) => dots[4 * dot]))];
}"""
"""How many dots of a picture have ink, and how light the lightest of them is (its red, of 255)."""


@pytest.fixture
def six_charts(database: Database, set_clock: Callable[[datetime | str], None]) -> Database:
    """A day with four loads, a tray too cold that nobody has answered, and a batch chilled from it."""
    chilled = draft("tray_out", at="11:30", to="chilled", birds="2", batch="A-B1", temperature="140", unit="F")
    loads = [one for number in (2, 3, 4) for one in _load(number)]
    cooled = [draft("cooling_reading", at=at, temperature=value) for at, value in (("11:45", "128"), ("11:55", "120"))]
    keep(database, *low_reading()[:-1], chilled, *cooled, *loads)
    set_clock("12:05")
    return database


def _load(number: int) -> list[dict[str, object]]:
    own = {"load": f"A-L{number}"}
    readings = [("11:30", "140"), ("11:40", "151"), ("11:50", "160")]
    return [
        draft("load_started", at="10:00", oven="west", **own),
        draft("spit_loaded", at="10:05", **own),
        *(draft("cook_reading", at=at, temperature=value, **own) for at, value in readings),
    ]


def unfold(page: Page) -> None:
    """Open every load and tray that is folded to a line."""
    for summary in page.locator("details.block:not([open]) > summary").all()[::-1]:
        summary.click()


def see_all(page: Page) -> None:
    """Open what is folded, scroll to each chart, and wait until it is there."""
    unfold(page)
    for image in page.locator("a.chart img").all():
        image.scroll_into_view_if_needed()
        expect(image).to_have_js_property("complete", True)


@pytest.mark.usefixtures("six_charts")
def test_nobody_waits_for_the_charts(page: Page) -> None:
    sign_in(page, "pat")
    held = _hold_the_charts(page)
    page.goto(DAY)
    _ask_for_all(page, held)
    assert page.evaluate("[...document.querySelectorAll('a.chart img')].every((one) => one.naturalWidth === 0)")
    expect(page.get_by_role("heading", name="Load A-L4, oven west")).to_be_attached()
    page.get_by_role("link", name="Signature").click()
    page.get_by_role("link", name="Record corrective action").click()
    _act(page)

    held.clear()
    page.goto(DAY)
    expect(page.locator(".day-state")).to_contain_text("1 action to review")
    _ask_for_all(page, held)
    for route in held:
        route.continue_()
    for image in page.locator("a.chart img").all():
        expect(image).to_have_js_property("complete", True)
        assert image.evaluate(_INK)[0] > 1000


def _hold_the_charts(page: Page) -> list[Route]:
    """Keep back every answer with a chart; gives what is kept back so far."""
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    page.route("**/drawing.svg*", hold)
    return held


def _ask_for_all(page: Page, held: list[Route]) -> None:
    expect(page.locator("a.chart img")).to_have_count(6)
    unfold(page)
    for image in page.locator("a.chart img").all():
        image.scroll_into_view_if_needed()
    for _ in range(PATIENCE_MS // _STEP_MS):
        if len(held) == 6:
            return
        page.wait_for_timeout(_STEP_MS)  # requests are handed over only while the page is waited for
    raise AssertionError(f"{len(held)} of 6 charts were asked for")


def _act(page: Page) -> None:
    page.get_by_label("What caused it").fill("The cabinet door stood open")
    page.get_by_label("What was done").fill("Door shut, tray reheated")
    page.get_by_label("reheat", exact=False).first.check()
    page.get_by_label("How to stop it happening again").fill("A closer on the door")
    press(page.get_by_role("button", name="Record corrective action"))
    expect(page.get_by_role("button", name="Record corrective action")).to_have_count(0)


@pytest.mark.usefixtures("six_charts")
@pytest.mark.parametrize(("scheme", "is_light"), [("light", False), ("dark", True)])
def test_each_chart_arrives_with_the_ink_of_its_page(page: Page, scheme: str, is_light: bool) -> None:
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    sign_in(page, "pat")
    page.goto(DAY)
    see_all(page)
    for image in page.locator("a.chart img").all():
        dots, lightest = image.evaluate(_INK)
        assert dots > 1000
        assert (lightest > 127) is is_light


@pytest.mark.usefixtures("six_charts")
def test_a_charts_own_page_is_chalk_on_slate_in_the_dark(page: Page) -> None:
    page.emulate_media(color_scheme="dark")
    sign_in(page, "pat")
    page.goto("/charts/load/A-L2")
    drawing = page.locator("figure.chart svg")
    ink, ground = drawing.evaluate("one => [getComputedStyle(one).color, getComputedStyle(one).backgroundColor]")
    assert (ink, ground) == ("rgb(240, 237, 228)", "rgb(39, 46, 50)")


@pytest.mark.usefixtures("six_charts")
def test_only_what_is_scrolled_to_is_asked_for(page: Page) -> None:
    sign_in(page, "pat")
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url) if "drawing.svg" in request.url else None)
    page.set_viewport_size({"width": 1024, "height": 400})
    page.goto(DAY)
    page.wait_for_load_state("networkidle")
    assert len(asked) < 6


@pytest.mark.usefixtures("six_charts")
def test_a_chart_leads_to_its_numbers(page: Page) -> None:
    sign_in(page, "pat")
    page.goto(DAY)
    page.get_by_role("link", name="Tray A-T1: 1 reading against the limit").click()
    page.get_by_text("The numbers as a table").click()
    expect(page.get_by_role("cell", name="128 °F")).to_be_visible()


@pytest.mark.usefixtures("six_charts")
def test_the_page_with_its_charts_can_be_read_and_hit_by_everybody(page: Page) -> None:
    sign_in(page, "pat")
    page.goto(DAY)
    see_all(page)
    accessibility.check(page)


@pytest.mark.usefixtures("six_charts")
def test_the_charts_are_there_without_scripts(context: BrowserContext, page: Page, server: str) -> None:
    sign_in(page, "pat")
    browser = context.browser
    assert browser is not None
    with browser.new_context(base_url=server, java_script_enabled=False) as plain:
        plain.add_cookies(context.cookies())
        sheet = plain.new_page()
        arrived: list[int] = []
        sheet.on("response", lambda answer: arrived.append(answer.status) if "drawing.svg" in answer.url else None)
        sheet.goto(DAY)
        unfold(sheet)
        sheet.wait_for_load_state("networkidle")
        assert arrived == [200] * 6
