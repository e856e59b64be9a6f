"""A tray about which a corrective action was recorded: the pages offer what that says, and nothing against it."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import action, assessed, finding, keep, pulled

SetClock = Callable[[datetime | str], None]


@pytest.fixture
def low(database: Database) -> str:
    """Tray A-T1 under the limit, which sets nothing aside."""
    keep(database, *pulled(), cast.draft("hold_reading", at="11:15", temperature="128"), at="11:20")
    return finding(database, "hold.temperature", as_of="11:20")


def answered(database: Database, key: str, disposition: str) -> None:
    """Record what was done with the food."""
    keep(database, action(key, at="11:20", disposition=disposition), at="11:30")


def test_food_held_for_evaluation_is_not_offered_to_be_served(cook: Browser, database: Database, low: str) -> None:
    assert "Tray T1: serve, reheat or chill." in cook.get("/").words
    answered(database, low, "hold_for_evaluation")
    first = cook.get("/").words
    assert "Tray T1: chill. Throw away at" in first
    assert "hold for evaluation" in first
    page = cook.get("/trays/A-T1")
    assert "Answered at 11:20: hold for evaluation." in page.words
    right, others = page.words.split("Something else happened", 1)
    assert not any(way in right for way in ("All served", "Served", "Reheated", "Donated"))
    assert "The plan, or the answer about this food, does not allow these now." in others
    assert "does not allow this now" in page.follow("Served").words


def test_food_that_is_to_be_thrown_away_says_so_on_the_first_page(cook: Browser, database: Database, low: str) -> None:
    answered(database, low, "discard")
    page = cook.get("/")
    assert "Tray T1: throw away" in page.words
    done = page.follow("Throw away").send(reason="temperature")
    assert "Tray T1: 5 birds, thrown away." in done.words


@pytest.mark.parametrize(
    ("disposition", "ways"),
    [
        ("hold_for_evaluation", {"chilled", "other_tray", "discarded"}),
        ("serve_now", {"served", "other_tray", "discarded"}),
        ("discard", {"other_tray", "discarded"}),
    ],
)
def test_the_ways_left_are_those_of_the_answer(database: Database, low: str, disposition: str, ways: set[str]) -> None:
    assert assessed(database).trays[0].ways_in_order == assessed(database).trays[0].ways_out
    answered(database, low, disposition)
    (tray,) = assessed(database).trays
    assert (set(tray.ways_in_order), "served" in tray.ways_out) == (ways, True)
    assert [one.disposition for one in tray.ordered] == [disposition]
