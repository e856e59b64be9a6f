"""Every page that anybody can open, with the weeks of the demo kitchen: the rules of accessibility, light and dark, no
sideways scroll at 320 px or at twice the size of a tablet, no words cut or crushed into a column of letters, and on the
kitchen's screens targets and contrast for steam.

One browser walks them all, each page once: as a cook at a tablet where a cook may, else as whoever may.
"""

from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask
from playwright.sync_api import BrowserContext, Page

import demo_data
from app import ledger, register
from app.db import Database
from app.kinds.permissions import Permission
from demo_data import kitchen
from docs.list_access import permission_of
from tests.support import accessibility
from tests.support.routes import NAMES, path_of, read_table, walk
from tests.support.screen import TABLET, press

NOW = datetime(2026, 6, 18, 17, 10, tzinfo=UTC)
"""Ten past twelve in the demo kitchen, with work in its ovens."""
_FOOD_HELD_BACK = timedelta(days=14)
"""How long ago its food was set aside that may be released."""

_NO_PAGES = ("/api/", "/static/", "/healthz", "/due", "/who", "/inspection/ledger", "/files/", "/meanwhile", ".")
"""Files (they have a dot in their name), parts of pages and what only programs read."""
_KITCHEN = {Permission.RECORD_KITCHEN_ENTRY, Permission.MEND_ENTRY, Permission.ANSWER_FINDING}
_AT_A_DESK = ("/from-paper",)
"""Typed on a keyboard after an outage, many rows at once: no screen for gloves."""
_NARROW = ((320, 640), (TABLET["width"] // 2, TABLET["height"] // 2))
"""A phone (WCAG 2.2, 1.4.10 reflow: 320 CSS pixels), and a tablet at 200 % (1.4.4)."""

_UPRIGHT = (TABLET["height"], TABLET["width"])
_CUT = """[...document.querySelectorAll("main *")].filter((one) => one.checkVisibility() &&
    getComputedStyle(one).webkitLineClamp !== "none" && one.scrollHeight > one.clientHeight + 2)
    .map((one) => one.textContent.trim())"""
"""What is cut after so many lines although no name in the demo kitchen is long."""
_CRUSHED = """[...document.querySelectorAll("main :is(p, td, dd, li, span, div)")]
    .filter((one) => one.checkVisibility() && one.textContent.trim().length > 9)
    .map((one) => [one.textContent.trim().slice(0, 80), one.getBoundingClientRect()])
    .filter(([_, box]) => box.width > 1 && box.width < 70 && box.height > 2.5 * box.width)
    .map(([words]) => words)"""
"""Words in a column so narrow that a line holds a few letters."""

Problems = list[tuple[str, str, object]]
SetClock = Callable[[datetime | str], None]


@pytest.fixture
def database(sqlite_database: Database) -> Database:
    """The demo kitchen, three weeks after it opened."""
    demo_data.load(sqlite_database, at=NOW)
    return sqlite_database


@pytest.fixture
def ids(database: Database) -> Mapping[str, object]:
    """What the places of a route are filled with: things of the running day and of the day before."""
    with database.reading() as session:
        day = ledger.today(session, kitchen.SITE, NOW)
        now = ledger.assess_day(session, kitchen.SITE, day, as_of=NOW)
        earlier = ledger.assess_day(session, kitchen.SITE, day - _FOOD_HELD_BACK, as_of=NOW)
    load = next(load for load in now.loads if any(spit.birds_on for spit in load.spits))
    return {
        **NAMES,
        "day": (day - timedelta(days=1)).isoformat(),
        "login": "tomas",
        "code": "east",
        "text": "guess",
        "setting": "hot_holding",
        "part": "flow",
        "to": "chilled",
        "unit": "walk-in",
        "probe": "blue",
        "load": load.load,
        "spit": next(spit.spit for spit in load.spits if spit.birds_on),
        "tray": next(tray.tray for tray in now.trays if tray.birds_left),
        "batch": now.batches[0].batch,
        "reheat": now.reheats[0].reheat,
        "finding": now.findings[0].key,
        "releasable": next(one.key for one in earlier.findings if one.rule == "cook.interrupted"),
        "entry_id": next(entry.id for entry in reversed(now.entries) if entry.AMENDABLE),
    }


@pytest.mark.long
def test_every_page_is_for_everybody(
    app: Flask, database: Database, ids: Mapping[str, object], context: BrowserContext, set_clock: SetClock
) -> None:
    set_clock(NOW)
    page, problems = context.new_page(), Problems()
    page.clock.set_fixed_time(NOW)
    for visitor, paths in _pages(app, ids).items():
        _come_in(page, database, visitor)
        for path, is_kitchen in paths:
            page.goto(path)
            assert page.locator("main").count() == 1, f"{path} is no page: is it among _NO_PAGES?"
            problems += [(path, visitor, found) for found in _look_at(page, is_kitchen=is_kitchen)]
    assert problems == []


def _pages(app: Flask, ids: Mapping[str, object]) -> dict[str, list[tuple[str, bool]]]:
    """Give by visitor the paths to walk, each with whether it is a screen of the kitchen."""
    table = read_table()
    found: dict[str, list[tuple[str, bool]]] = {visitor: [] for visitor in _VISITORS}
    for row, rule in walk(app):
        if row[0] == "GET" and not any(part in rule.rule for part in _NO_PAGES):
            visitor = next(visitor for visitor, column in _VISITORS.items() if table[row][column] == "yes")
            is_kitchen = (
                visitor == "wren"
                and rule.rule not in _AT_A_DESK
                and (rule.rule == "/" or permission_of(app, rule) in _KITCHEN)
            )
            found[visitor].append((path_of(app, rule, ids), is_kitchen))
    return found


_VISITORS = {"wren": "cook", "ines": "person in charge", "halima": "inspector", "tablet": "tablet alone", "": "nobody"}
"""Who walks, and the column of docs/access.md that says what they may open; the first who may opens a page."""


def _come_in(page: Page, database: Database, visitor: str) -> None:
    """Come in as a visitor: a cook by PIN at a tablet, others with their password."""
    page.context.clear_cookies()
    if visitor in ("wren", "tablet"):
        with database.writing() as session:
            site = register.get_site(session, kitchen.SITE)
            _, credential = register.issue_tablet(session, site, kitchen.TABLET, at=NOW)
        page.goto("/signin")
        page.context.add_cookies([{"name": "tablet", "value": credential, "url": page.url}])
    if visitor == "wren":
        page.goto("/person")
        page.check("[name=saver][value=wren]")
        page.fill("#pin", kitchen.PIN)
        press(page.locator(".who-form button.main"))
    elif visitor in ("ines", "halima"):
        page.goto("/signin")
        page.fill("#login", visitor)
        page.fill("#password", kitchen.PASSWORD)
        press(page.locator("button.main"))


def _look_at(page: Page, *, is_kitchen: bool) -> Iterator[object]:
    """Give what is wrong with the page that is open."""
    yield from accessibility.broken_in_both_schemes(page, is_kitchen=is_kitchen)
    if is_kitchen:
        yield from accessibility.targets_too_small_or_near(page)
    for width, height in _NARROW:
        page.set_viewport_size({"width": width, "height": height})
        if page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"):
            yield f"wider than {width} px"
        yield from (("crushed", width, words) for words in page.evaluate(_CRUSHED))
    for width, height in (_UPRIGHT, (TABLET["width"], TABLET["height"])):
        page.set_viewport_size({"width": width, "height": height})
        yield from (("cut", width, words) for words in page.evaluate(_CUT))
