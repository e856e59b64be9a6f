"""The first page of the kitchen: batches that cool, reheats and last days stand there by urgency."""

from collections.abc import Callable
from datetime import datetime

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import chilled, keep

SetClock = Callable[[datetime | str], None]


def test_a_batch_that_cools_says_what_is_due_by_when(cook: Browser, database: Database) -> None:
    keep(database, *chilled(("12:00", "100")))
    page = cook.get("/")
    assert "1 h 15 down to 70 °F / 21 °C pending Batch B1 2 birds · walk-in · 100 °F" in page.words
    assert page.words.index("Nothing is due in the next minutes") < page.words.index("Batch B1")


def test_a_batch_that_will_likely_miss_comes_before_what_is_later(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    keep(database, *chilled(("11:45", "134"), ("12:10", "126"), ("12:35", "118"), ("12:50", "114")), at="12:50")
    set_clock("12:50")
    page = cook.get("/")
    assert page.words.index("it will likely not be down to 70 °F") < page.words.index("Start a load")
    assert page.follow("Cool it faster").path == "/batches/A-B1"


def test_a_mark_that_is_due_soon_is_to_be_read(cook: Browser, database: Database, set_clock: SetClock) -> None:
    keep(database, *chilled())
    set_clock("13:00")
    page = cook.sign_in("cook").get("/")
    assert "15 min down to 70 °F / 21 °C" in page.words
    assert "Nothing is due in the next minutes" not in page.words


def test_a_reheat_is_read_and_then_put_into_a_tray(cook: Browser, database: Database) -> None:
    keep(database, *chilled(), cast.draft("reheat_started", at="11:50"))
    page = cook.get("/")
    assert "1 h 50 hot by pending Reheat R1 1 bird · batch B1" in page.words
    keep(database, cast.draft("reheat_reading", at="11:59"))
    assert cook.get("/").follow("Into a tray").path == "/reheats/A-R1/done"


def test_the_last_day_of_a_batch_is_said_from_the_day_before(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    # FDA Food Code 2022, 3-501.17(A): 7 days with the day of preparation as day 1: cooked 14 April, day 7 is 20 April.
    keep(database, *chilled(("12:00", "40")))
    set_clock(cast.moment("10:00", day=cast.DAY.replace(day=18)))
    assert "Batch B1" not in cook.sign_in("cook").get("/").words
    set_clock(cast.moment("10:00", day=cast.DAY.replace(day=19)))
    assert "tomorrow use by pending Batch B1 2 birds · walk-in · 40 °F" in cook.sign_in("cook").get("/").words
    set_clock(cast.moment("10:00", day=cast.DAY.replace(day=20)))
    assert "last day use by pending Batch B1 2 birds · walk-in · 40 °F" in cook.sign_in("cook").get("/").words
    set_clock(cast.moment("10:00", day=cast.DAY.replace(day=21)))
    words = cook.sign_in("cook").get("/").words
    assert words.index("Set aside: do not serve") < words.index("Batch B1")
