"""A plan that asks for a temperature to be held: for how long it was is typed in sight of what the number means."""

from collections.abc import Callable
from datetime import datetime

import pytest
from playwright.sync_api import Browser, ViewportSize, expect

from app import models
from app.db import Database
from tests.support import cast
from tests.support.drafts import chilled, keep, loaded
from tests.support.screen import TABLET, cook_at_tablet
from tests.support.spit_pad import PAD, readings, type_number

SetClock = Callable[[datetime | str], None]
UPRIGHT: ViewportSize = {"width": 768, "height": 1024}


@pytest.mark.parametrize("size", [TABLET, UPRIGHT], ids=["landscape", "portrait"])
def test_for_how_long_it_was_held_is_typed_in_sight_and_saved_with_the_number(
    browser: Browser, server: str, database: Database, set_clock: SetClock, size: ViewportSize
) -> None:
    with database.writing() as session:
        settings = {"cook_dwell_s": "15"}
        cast.add_plan(session, session.get_one(models.Site, 1), 2, settings=settings, adopted_by="pat")
    keep(database, *loaded())
    set_clock("12:00")
    with cook_at_tablet(browser, server, size) as pad:
        pad.goto(PAD)
        pad.locator("label:has([name=probe][value=blue])").click()
        type_number(pad, "171")
        expect(pad.locator(".meaning .says")).to_be_visible()
        held, bar = pad.locator("#held_s").bounding_box(), pad.locator(".pad-form .bar").bounding_box()
        assert held is not None
        assert bar is not None
        assert held["y"] + held["height"] <= bar["y"], "no scroll to it, and nothing lies over it"
        pad.fill("#held_s", "20")
        pad.locator(".save").click()
        expect(pad.locator("#temperature")).to_have_value("")
    assert readings(database) == [(1, "171")]


@pytest.mark.parametrize("size", [TABLET, UPRIGHT], ids=["landscape", "portrait"])
def test_of_a_reheat_both_are_in_sight_what_a_number_means_and_for_how_long_it_was_held(
    browser: Browser, server: str, database: Database, set_clock: SetClock, size: ViewportSize
) -> None:
    keep(database, *chilled(), cast.draft("reheat_started", at="11:50"))
    set_clock("12:00")
    with cook_at_tablet(browser, server, size) as pad:
        pad.goto("/reheats/A-R1/reading")
        pad.locator("label:has([name=probe][value=blue])").click()
        type_number(pad, "165")
        expect(pad.locator(".meaning .says")).to_be_visible()
        bar = pad.locator(".pad-form .bar").bounding_box()
        assert bar is not None
        for shown in ("#held_s", ".meaning .says"):
            box = pad.locator(shown).first.bounding_box()
            assert box is not None
            assert box["y"] + box["height"] <= bar["y"], shown
