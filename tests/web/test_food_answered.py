"""Food about which a corrective action was recorded: the pages offer what that says, and nothing against it."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import Draft, action, assessed, finding, keep, pulled

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


# ---- A batch or a reheat that nothing sets aside: what was answered about its food in the tray came along. -----------


def into_a_batch(database: Database, low: str, disposition: str) -> None:
    """Tray A-T1 held for evaluation, chilled into A-B1; then another answer about the same food, where it is one."""
    answered(database, low, "hold_for_evaluation")
    chilled = {"to": "chilled", "birds": "5", "batch": "A-B1", "cold_unit": "walk-in"}
    keep(database, cast.draft("tray_out", at="11:32", **chilled), at="11:35")
    if disposition != "hold_for_evaluation":
        keep(database, action(low, at="11:36", disposition=disposition), at="11:40")


def reheating(*, birds: str = "5") -> Draft:
    return cast.draft("reheat_started", at="11:45", birds=birds)


@pytest.mark.parametrize(
    ("disposition", "ways"),
    [
        ("hold_for_evaluation", {"discarded"}),
        ("serve_now", {"served_cold", "discarded"}),
        ("reheat", {"reheated", "discarded"}),
        ("chill", {"discarded"}),
        ("discard", {"discarded"}),
    ],
)
def test_the_ways_left_of_a_batch_are_those_of_the_answer(
    database: Database, low: str, disposition: str, ways: set[str]
) -> None:
    into_a_batch(database, low, disposition)
    (batch,) = assessed(database).batches
    assert batch.set_aside is None
    assert set(batch.ways_in_order) == ways
    assert [one.disposition for one in batch.ordered] == [disposition]


def test_a_batch_that_nobody_answered_for_may_go_every_way(database: Database) -> None:
    keep(database, *pulled(), cast.draft("tray_out", at="11:00", to="chilled", batch="A-B1", cold_unit="walk-in"))
    (batch,) = assessed(database).batches
    assert batch.ordered == ()
    assert {"served_cold", "reheated", "donated", "discarded"} <= set(batch.ways_in_order)


def test_a_batch_held_for_evaluation_is_not_offered_to_be_served(cook: Browser, database: Database, low: str) -> None:
    into_a_batch(database, low, "hold_for_evaluation")
    assert "hold for evaluation" in cook.get("/").words
    page = cook.get("/batches/A-B1")
    assert "Answered at 11:20: hold for evaluation." in page.words
    right, others = page.words.split("Something else happened", 1)
    assert "Throw away" in right
    assert not any(way in right for way in ("Serve", "Reheat for hot holding", "Birds out", "Donate"))
    assert "The answer about this food does not allow these now." in others
    served = page.follow("Serve cold")
    assert "Allowed: thrown away." in served.words
    assert "Allowed: thrown away." in cook.get("/batches/A-B1/reheat").words


def test_where_no_answer_stands_birds_out_offers_every_way(cook: Browser, database: Database, low: str) -> None:
    into_a_batch(database, low, "serve_now")
    offered = cook.get("/batches/A-B1/out").html
    assert 'value="served_cold"' in offered
    assert 'value="donated"' not in offered


def test_a_batch_that_is_to_be_thrown_away_says_so_on_the_first_page(
    cook: Browser, database: Database, low: str
) -> None:
    into_a_batch(database, low, "discard")
    page = cook.get("/")
    assert "Batch B1: throw away" in page.words
    assert "Batch B1: 5 birds, thrown away." in page.follow("Throw away").send().words
    assert "Batch B1" not in cook.get("/").words


def test_a_batch_that_has_cooled_still_stands_on_the_first_page_with_its_answer(
    cook: Browser, database: Database, low: str
) -> None:
    into_a_batch(database, low, "serve_now")
    cold = cast.draft("cooling_reading", at="11:50", temperature="40")
    keep(database, cold)
    assert "Batch B1: serve now" in cook.get("/").words


def test_a_reheat_held_for_evaluation_is_not_offered_to_be_kept_hot(
    cook: Browser, database: Database, low: str
) -> None:
    into_a_batch(database, low, "hold_for_evaluation")
    keep(database, reheating(), cast.draft("reheat_reading", at="11:55", held_s=20))
    (reheat,) = assessed(database).reheats
    assert (reheat.set_aside, reheat.ways_in_order) == (None, ("discarded",))
    first = cook.get("/").words
    assert "hold for evaluation" in first
    assert "Into a tray" not in first
    page = cook.get("/reheats/A-R1")
    assert "Answered at 11:20: hold for evaluation." in page.words
    right, others = page.words.split("Something else happened", 1)
    assert "Into a tray" not in right
    assert "Throw away" in right
    assert "Into a tray" in others
    against = page.follow("Into a tray").words
    assert "The answer about this food does not allow this now." in against
    assert "Record what happened anyway" in against
    assert "does not allow this now" not in page.follow("Throw away").words


def test_a_reheat_that_is_to_be_thrown_away_says_so_on_the_first_page(
    cook: Browser, database: Database, low: str
) -> None:
    into_a_batch(database, low, "hold_for_evaluation")
    keep(database, reheating())
    keep(database, action(low, at="11:50", disposition="discard"))
    page = cook.get("/")
    assert "Reheat R1: throw away" in page.words
    assert "Reheat R1: thrown away." in page.follow("Throw away").send().words


def test_a_reheat_ordered_to_be_heated_goes_into_a_tray(cook: Browser, database: Database, low: str) -> None:
    into_a_batch(database, low, "reheat")
    keep(database, reheating(), cast.draft("reheat_reading", at="11:55", held_s=20))
    assert assessed(database).reheats[0].ordered == ()
    assert "Into a tray" in cook.get("/").words
