"""From nothing to the first right reading, in a real browser: so many commands, so many screens, and no gap."""

import re
from collections.abc import Callable
from datetime import datetime

import pytest
from flask import Flask
from playwright.sync_api import Page, expect

from app import ledger
from app.db import Database
from app.rules.facts import Verdict
from tests.support import accessibility, cast
from tests.support.screen import press

MOST_COMMANDS, MOST_SCREENS = 2, 8
MOST_MINUTES = 10

KEY_S, POINT_S, THINK_S = 0.28, 1.1, 1.35
"""A key by somebody who types now and then, pointing at something, and making one's mind up: the keystroke-level model
(Card, Moran and Newell, Communications of the ACM 23(7), 1980; from memory)."""
WORDS_A_MINUTE = 238
"""Silent reading of English (Brysbaert, Journal of Memory and Language 109, 2019; from memory)."""
SetClock = Callable[[datetime | str], None]


@pytest.fixture
def database(sqlite_database: Database) -> Database:
    """A database in which there is no kitchen."""
    return sqlite_database


class Newcomer:
    """Somebody who has never seen this program: counts each command, and each screen that has to be looked at."""

    def __init__(self, page: Page, app: Flask, set_clock: SetClock) -> None:
        self.page, self.app, self.set_clock = page, app, set_clock
        self.commands = ["make serve"]
        """It prints the link by `init`: tests/test_putting_into_service.py types it."""
        self.screens: list[str] = []
        self.words = self.keys = self.taps = 0

    @property
    def minutes(self) -> float:
        """How long it takes by estimate: every word is read, every key typed, every tap thought about."""
        by_hand = self.keys * KEY_S + self.taps * (POINT_S + THINK_S)
        return by_hand / 60 + self.words / WORDS_A_MINUTE

    def come(self, server: str) -> None:
        """Open the link that the terminal printed."""
        self.set_clock("09:00")
        self.page.clock.set_fixed_time(cast.moment("09:00"))
        printed = self.app.test_cli_runner().invoke(args=["init", "--if-empty", "--address", server]).stdout
        self.page.goto(re.findall(r"http\S+", printed)[0])
        self.look()

    def look(self) -> None:
        """Count the screen that is there, and hold it to the rules of accessibility."""
        self.screens.append(" ".join(self.page.locator("h1").inner_text().split()))
        self.words += len(self.page.locator("main").inner_text().split())
        accessibility.check(self.page)

    def tap(self, words: str) -> None:
        """Press the button of the page, or a link, and look at the screen that it leads to."""
        main = self.page.locator("main")
        self.taps += 1
        press(main.get_by_role("button", name=words).or_(main.get_by_role("link", name=words)).first)
        self.look()

    def fill(self, **typed: str) -> None:
        """Type into fields."""
        self.taps += len(typed)
        self.keys += sum(map(len, typed.values()))
        for name, text in typed.items():
            self.page.fill(f"#{name}", text)

    def check(self, choice: str) -> None:
        """Choose one of a few."""
        self.taps += 1
        self.page.check(choice)

    def save(self, number: str) -> None:
        """Type a number on the pad and save it, once what it means is there."""
        self.taps += len(number) + 1
        for digit in number:
            self.page.locator(f"[data-pad=temperature] [data-key='{digit}']").click()
        self.page.locator(".meaning .says").first.wait_for()
        self.page.locator(".save").click()


@pytest.fixture
def newcomer(page: Page, app: Flask, server: str, set_clock: SetClock) -> Newcomer:
    """Somebody with the link open."""
    somebody = Newcomer(page, app, set_clock)
    somebody.come(server)
    return somebody


def set_up(somebody: Newcomer) -> None:
    """Work the list off, as far as the first reading needs it."""
    page = somebody.page
    somebody.tap("Next: the kitchen")
    expect(page.locator("#timezone")).to_have_value(cast.TIMEZONE)  # the browser's own
    somebody.fill(name="Mill Road", your_name="Pat Porter", password="every bird twice", again="every bird twice")
    somebody.tap("Set up the kitchen")
    somebody.fill(ovens="east", probes="red", hot_units="cabinet", cold_units="walk-in")
    somebody.tap("Add them")
    press_save(somebody, "32")
    somebody.fill(lot="0412-7", birds="12", product="whole chickens", supplier="Hill Farm")
    press_save(somebody, "38")


def press_save(somebody: Newcomer, number: str) -> None:
    """Save a reading whose page leads on to the next."""
    if somebody.page.locator("[name=probe][type=radio]").count():
        somebody.check("[name=probe][value=red]")
    if somebody.page.locator("[name=decision]").count():
        somebody.check("[name=decision][value=accepted]")
    with somebody.page.expect_navigation(url=re.compile(r"/(deliveries|loads)/new|/probes$|/deliveries$")):
        somebody.save(number)
    somebody.look()


def first_reading(somebody: Newcomer) -> None:
    """Start a load with its birds and probe one of them."""
    page = somebody.page
    for number in range(page.locator("[name^=checks-][value=yes]").count()):
        somebody.check(f"[name=checks-{number}-answer][value=yes]")
    somebody.fill(**{"spits-0-birds": "4", "spits-0-lot": "0412-7"})
    somebody.tap("Start")
    somebody.set_clock("09:55")
    page.clock.set_fixed_time(cast.moment("09:55"))
    page.reload()
    somebody.tap("Probe")
    somebody.check("[name=probe][value=red]")
    somebody.save("168")
    expect(page.locator("main > .message")).to_contain_text("168 °F")


def test_the_first_right_reading_takes_two_commands_and_eight_screens_and_leaves_no_gap(
    newcomer: Newcomer, database: Database
) -> None:
    set_up(newcomer)
    first_reading(newcomer)
    assert len(newcomer.commands) <= MOST_COMMANDS
    assert len(newcomer.screens) <= MOST_SCREENS, newcomer.screens
    assert newcomer.minutes <= MOST_MINUTES, newcomer.minutes
    assert newcomer.screens[-1] == "East oven · Spit 1"
    with database.reading() as session:
        day = ledger.assess_day(session, "mill-road", cast.DAY, as_of=cast.moment("09:56"))
    assert [(one.rule, one.verdict) for one in day.findings if one.verdict is not Verdict.PENDING] == []
    assert day.plan.limits.places_per_bird == ("breast", "thigh")
    assert [spit.birds_probed for load in day.loads for spit in load.spits] == [1]
