"""The longest names that there can be: a pad is whole above its button without a scroll.

Names are cut where they stand beside something else, never on their own page.
"""

from collections.abc import Callable, Iterator
from datetime import datetime

import pytest
from playwright.sync_api import Browser, Locator, Page, ViewportSize, expect

from app import register
from app.db import Database
from tests.support import cast
from tests.support.drafts import keep
from tests.support.screen import TABLET, cook_at_tablet

SetClock = Callable[[datetime | str], None]
SIZES = [TABLET, {"width": 768, "height": 1024}]


def longest(begins: str) -> str:
    """Give a name of 32 characters."""
    return f"{begins}-abcdefghijklmnopqrstuvwxyz0123456789"[:32]


LOAD, TRAY, LOT = longest("Saturday-evening"), longest("Big-tray-by-the-window"), longest("lot")
OVEN, UNIT, PROBE = longest("oven-by-the-door"), longest("glass-cabinet"), longest("needle-with-yellow-handle")
KITCHEN = "The Rotisserie and Delicatessen of the Old Market Hall at the Corner of Cathedral Street and Harbour Lane"[
    :100
]
SPIT_PAD, TRAY_PAD = f"/loads/{LOAD}/spits/1/probe", f"/trays/{TRAY}/check"
CONTROLS = (
    "[data-pad] button, #temperature, label.bird, .choices label:visible, .meaning .says, .bar button, "
    ".spit-head, .heading"
)


@pytest.fixture(params=SIZES, ids=["landscape", "portrait"])
def cook(
    request: pytest.FixtureRequest, browser: Browser, server: str, database: Database, set_clock: SetClock
) -> Iterator[Page]:
    """The cook at tablet A in a kitchen whose names are all as long as they can be."""
    size: ViewportSize = request.param
    name_all(database)
    set_clock("12:00")
    with cook_at_tablet(browser, server, size) as page:
        yield page


def name_all(database: Database) -> None:
    with database.writing() as session:
        site = register.get_site(session, "S1")
        register.change_site(session, site, at=cast.moment("08:00"), name=KITCHEN)
        for kind, code, scale in (("oven", OVEN, None), ("hot_unit", UNIT, None), ("probe", PROBE, "dual")):
            register.add_equipment(session, site, kind, code, at=cast.moment("08:00"), scale=scale)
    of = {"load": LOAD, "spit": 2}
    keep(
        database,
        cast.draft("receiving", at="08:30", lot=LOT),
        cast.draft("load_started", at="09:00", load=LOAD, oven=OVEN),
        *(cast.draft("spit_loaded", at="09:02", load=LOAD, spit=spit, birds=8, lot=LOT) for spit in (1, 2)),
        *(cast.draft("cook_reading", at="10:31", bird=bird, temperature="171.2", **of) for bird in (1, 4)),
        cast.draft("spit_pulled", at="10:36", tray=TRAY, hot_unit=UNIT, birds=8, **of),
    )


def type_number(pad: Page) -> None:
    pad.locator(f"label:has([name=probe][value={PROBE}])").click()
    for digit in "150":
        pad.locator(f"[data-pad] [data-key='{digit}']").click()
    expect(pad.locator(".meaning .says")).to_contain_text("150 °F")


def is_cut(text: Locator) -> bool:
    return bool(
        text.evaluate("(one) => one.scrollWidth > one.clientWidth + 1 || one.scrollHeight > one.clientHeight + 2")
    )


def hidden_controls(pad: Page) -> list[str]:
    """Give what of a pad is not whole in sight above its bar."""
    script = """(controls) => {
        const bar = document.querySelector(".bar").getBoundingClientRect().top;
        const isHidden = (one) => {
            const box = one.getBoundingClientRect(), lowest = one.closest(".bar") ? innerHeight : bar;
            return box.top < 0 || box.left < 0 || box.right > innerWidth || box.bottom > lowest;
        };
        return controls.filter(isHidden).map((one) => one.textContent.trim() || one.id);
    }"""
    return list(pad.locator(CONTROLS).evaluate_all(script))


@pytest.mark.parametrize("path", [SPIT_PAD, TRAY_PAD], ids=["spit", "tray"])
def test_a_pad_is_whole_without_a_scroll(cook: Page, path: str) -> None:
    cook.goto(path)
    assert hidden_controls(cook) == []
    type_number(cook)
    assert hidden_controls(cook) == []
    assert cook.evaluate("[scrollX, scrollY, document.documentElement.scrollWidth - innerWidth]") == [0, 0, 0]


def test_the_head_of_a_pad_is_cut_before_the_number_of_the_spit(cook: Page) -> None:
    cook.goto(SPIT_PAD)
    heading, number = cook.get_by_role("heading", level=1), cook.locator("h1 > :last-child")
    expect(heading).to_contain_text(f"{OVEN[1:]} oven · Spit 1")
    assert not is_cut(number)
    box, whole = number.bounding_box(), cook.locator(".spit-head > div").first.bounding_box()
    assert box
    assert whole
    assert box["x"] + box["width"] <= whole["x"] + whole["width"] + 1
    assert box["height"] < 40  # one line


@pytest.mark.parametrize(("path", "name"), [(f"/trays/{TRAY}", TRAY), (f"/loads/{LOAD}", LOAD)], ids=["tray", "load"])
def test_a_name_stands_whole_on_its_own_page(cook: Page, path: str, name: str) -> None:
    cook.goto(path)
    heading = cook.get_by_role("heading", level=1)
    expect(heading).to_contain_text(name)
    assert not is_cut(heading)
    assert cook.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.parametrize("path", ["/", SPIT_PAD, TRAY_PAD])
def test_the_name_of_a_kitchen_has_two_lines_at_most(cook: Page, path: str) -> None:
    cook.goto(path)
    name = cook.locator(".masthead .site")
    lines = name.evaluate("(one) => one.clientHeight / parseFloat(getComputedStyle(one).lineHeight)")
    assert round(lines, 1) <= 2
    assert name.get_attribute("title") == KITCHEN
    expect(cook.locator(".masthead")).to_be_in_viewport(ratio=1)
