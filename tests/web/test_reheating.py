"""A reheat on the pages: started from a batch, read until it is hot and held, done into a tray."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import assessed, chilled, keep

SetClock = Callable[[datetime | str], None]
READING = {"probe": "blue", "unit": "F"}


@pytest.fixture
def kept(database: Database) -> None:
    """One bird of batch A-B1 is being reheated since 11:50."""
    keep(database, *chilled(), cast.draft("reheat_started", at="11:50"))


def read(browser: Browser, temperature: str, /, **typed: str) -> Page:
    """Check reheat A-R1; what the number means is then on the page."""
    return browser.get("/reheats/A-R1/reading").send(temperature=temperature, **READING, **typed)


def test_a_reheat_is_started_from_its_batch(cook: Browser, database: Database) -> None:
    keep(database, *chilled())
    page = cook.get("/batches/A-B1/reheat").send(birds="1")
    assert page.path == "/reheats/R1"
    # FDA Food Code 2022, 3-403.11(D): within 2 h.
    assert "Hot by 14:00" in page.words
    assert str(assessed(database).batches[0].birds_left) == "1"


@pytest.mark.usefixtures("kept")
@pytest.mark.parametrize(
    ("temperature", "held", "says"),
    [
        # FDA Food Code 2022, 3-403.11(A): 165 °F (74 °C) for 15 s.
        ("164.9", "20", "164.9 °F: under 165 °F. Keep heating it."),
        ("165", "15", "165 °F: at or above 165 °F, and held."),
        ("165", "14", "165 °F: at or above 165 °F, but not yet shown for 15 s."),
        ("165", "", "165 °F: at or above 165 °F, but not yet shown for 15 s."),
    ],
)
def test_a_reading_says_what_it_means_and_is_saved(
    cook: Browser, database: Database, temperature: str, held: str, says: str
) -> None:
    page = read(cook, temperature, held_s=held)
    assert says in page.words
    assert page.send().path == "/reheats/A-R1"
    assert str(assessed(database).reheats[0].history[-1].reading.value) == temperature


@pytest.mark.usefixtures("kept")
def test_two_readings_apart_show_it_held(cook: Browser, database: Database) -> None:
    keep(database, cast.draft("reheat_reading", at="11:59", held_s=1))
    assert "and held." in read(cook, "168").words


@pytest.mark.usefixtures("kept")
def test_a_hot_reheat_goes_into_a_tray(cook: Browser, database: Database) -> None:
    read(cook, "170", held_s="15").send()
    page = cook.get("/reheats/A-R1").follow("Into a tray").send(tray="T1", hot_unit="pass")
    assert page.path == "/trays/T1", page.words
    assert [(one.tray, one.hot_unit, str(one.birds_left)) for one in assessed(database).trays if one.tray == "T1"] == [
        ("T1", "pass", "1")
    ]
    assert assessed(database).reheats[0].verdict == "met"


@pytest.mark.usefixtures("kept")
def test_a_reheat_that_was_not_hot_leads_to_its_corrective_action(cook: Browser, database: Database) -> None:
    keep(database, cast.draft("reheat_reading", at="11:58", temperature="150"))
    page = cook.get("/reheats/A-R1/done")
    assert "The readings do not show it hot and held." in page.words
    assert page.send(hot_unit="pass").asks_about("reheat.temperature")


@pytest.mark.usefixtures("kept")
def test_a_part_goes_into_a_tray_that_is_there(cook: Browser, database: Database) -> None:
    keep(database, cast.draft("reheat_reading", at="11:59"))
    cook.get("/reheats/A-R1/done").send(tray="A-T1", birds="½")
    (reheat,) = assessed(database).reheats
    assert str(reheat.birds_left) == "0.5"


def test_a_part_goes_into_a_tray_and_a_part_is_thrown_away(cook: Browser, database: Database) -> None:
    keep(database, *chilled(), cast.draft("reheat_started", at="11:50", birds="2"))
    keep(database, cast.draft("reheat_reading", at="11:59"))
    cook.get("/reheats/A-R1/done").send(birds="1", discarded="1", hot_unit="pass")
    day = assessed(database)
    assert (str(day.reheats[0].birds_left), str(day.birds.discarded)) == ("0", "1")


@pytest.mark.usefixtures("kept")
@pytest.mark.parametrize(
    ("page", "typed", "says"),
    [
        ("done", {"birds": "2"}, "Only 1 left here."),
        ("done", {"tray": ""}, "this is needed"),
        ("done", {"discarded": "half"}, "write it like this"),
        ("reading", {"temperature": "hot", **READING}, "write it like this"),
        ("reading", {"temperature": "170", **READING, "held_s": "a while"}, "write it like this"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    cook: Browser, database: Database, page: str, typed: dict[str, str], says: str
) -> None:
    answer = cook.get(f"/reheats/A-R1/{page}").send(**typed)
    assert answer.status == 422
    assert says in answer.words
    assert len(assessed(database).reheats[0].history) == 1


@pytest.mark.parametrize("page", ["", "/reading", "/done"])
def test_a_reheat_that_is_not_there_is_said_to_be_so(cook: Browser, page: str) -> None:
    assert cook.get(f"/reheats/A-R9{page}").status == 404


@pytest.mark.usefixtures("kept")
def test_birds_that_were_served_cannot_be_reheated(cook: Browser, database: Database) -> None:
    keep(database, cast.draft("batch_out", at="11:55", birds="1"))
    page = cook.get("/batches/A-B1/reheat").send(birds="1")
    assert page.status == 422
    assert "empty" in page.words or "left" in page.words
