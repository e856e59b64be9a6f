"""Names on the screen are short where that says enough; on a thing's own page and on paper they stand whole."""

from collections.abc import Iterator

import pytest

from app import words
from app.db import Database
from app.kinds import Subject
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, keep, pulled


@pytest.fixture(autouse=True)
def whole_again() -> Iterator[None]:
    """Names stand whole after each test."""
    yield
    words.show_whole()


@pytest.mark.parametrize(
    ("names", "name", "shown"),
    [
        (["A-T1", "A-L1"], "A-T1", "T1"),
        (["A-T1", "B-T1"], "A-T1", "A-T1"),  # two tablets' first tray
        (["A-T1", "T1"], "A-T1", "A-T1"),
        (["A-T1", "T1"], "T1", "T1"),
        (["A-0618-T12"], "A-0618-T12", "T12"),
        (["A-0617-T1", "A-0618-T1"], "A-0618-T1", "A-0618-T1"),
        (["Pass-2b"], "Pass-2b", "Pass-2b"),
        (["breast-tray"], "breast-tray", "breast-tray"),
        ([], "A-T13", "T13"),  # one that is only proposed
        (["B-T13"], "A-T13", "A-T13"),
    ],
)
def test_a_name_is_short_where_no_other_ends_so(names: list[str], name: str, shown: str) -> None:
    words.show_short(names)
    assert words.short_name(name) == shown


def test_names_stand_whole_where_no_screen_says_otherwise() -> None:
    assert words.short_name("A-T1") == "A-T1"
    assert words.subject_words(Subject("tray", "A-T1")) == "tray A-T1"


def test_only_food_has_short_names() -> None:
    words.show_short(["A-T1", "A-P1"])
    assert words.subject_words(Subject("spit", "A-L1", 2)) == "spit 2 of load L1"
    assert words.subject_words(Subject("probe", "A-P1")) == "probe A-P1"


def test_the_first_page_has_the_short_name_and_the_trays_own_page_the_whole(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    assert "Tray T1: check the temperature" in cook.get("/").words
    assert "Check tray T1" in cook.get("/trays/A-T1/check").words
    assert "Tray A-T1" in cook.get("/trays/A-T1").words
    assert words.short_name("A-T1") == "A-T1"  # nothing is left of it for the next request


def test_two_tablets_trays_of_one_number_stand_whole(cook: Browser, database: Database) -> None:
    keep(database, *pulled(), cast.draft("tray_out", at="11:00", to="other_tray", birds="2", into="B-T1"))
    page = cook.get("/")
    assert "Tray A-T1: check the temperature" in page.words
    assert "Tray B-T1: check the temperature" in page.words


# ---- typed ---------------------------------------------------------------------------------------------------------


def half_pulled() -> list[dict[str, object]]:
    """Two birds of spit 1 in tray A-T1, three still on the spit."""
    return [*pulled()[:-1], cast.draft("spit_pulled", at="10:36", birds=2)]


def trays(database: Database) -> dict[str, int]:
    return {one.tray: int(one.birds_left) for one in assessed(database).trays}


def test_a_short_name_that_is_typed_finds_the_tray_that_screens_call_so(tablet: Browser, database: Database) -> None:
    keep(database, *half_pulled())
    tablet.get("/loads/A-L1/spits/1/pull").send(tray_name="T1")
    assert trays(database) == {"A-T1": 5}


def test_adding_by_a_short_name_is_told_like_adding_by_the_whole(tablet: Browser, database: Database) -> None:
    keep(database, *half_pulled(), cast.draft("hold_reading", at="11:15", temperature="128"))
    page = tablet.get("/loads/A-L1/spits/1/pull").send(tray_name="T1", receivers_shown="")
    assert page.status == 422
    assert "A-T1 holds birds already" in page.words
    page.send()
    assert trays(database) == {"A-T1": 5}


def test_it_is_found_in_the_form_of_any_kind_too(tablet: Browser, database: Database) -> None:
    keep(database, *pulled())
    page = tablet.get("/write/hold_reading").send(tray="T1", temperature="150", unit="F", probe="blue")
    assert page.status == 200, page.words
    assert assessed(database).trays[0].held[-1].entry.tray == "A-T1"


def test_an_empty_tray_is_not_meant_by_its_short_name(tablet: Browser, database: Database) -> None:
    keep(database, *half_pulled(), cast.draft("tray_out", at="11:00", birds="2"))
    tablet.get("/loads/A-L1/spits/1/pull").send(tray_name="T1")
    assert trays(database) == {"A-T1": 0, "T1": 3}


def test_of_two_trays_that_end_so_none_is_meant(tablet: Browser, database: Database) -> None:
    other = cast.draft("tray_out", at="11:00", to="other_tray", birds="1", into="B-T1")
    keep(database, *half_pulled(), other)
    tablet.get("/loads/A-L1/spits/1/pull").send(tray_name="T1")
    assert trays(database) == {"A-T1": 1, "B-T1": 1, "T1": 3}


def test_a_new_load_is_not_called_as_screens_call_another(tablet: Browser, database: Database) -> None:
    keep(database, *half_pulled())
    page = tablet.get("/loads/new").send(load="L1", oven="west", all_right="y", **{"spits-0-birds": "5"})
    assert page.status == 422
    assert "Screens say L1 for A-L1, which is still here. Give another name." in page.words
    assert len(assessed(database).loads) == 1


def test_a_phone_proposes_no_name_that_screens_have_already(cook: Browser, database: Database) -> None:
    keep(database, *half_pulled())
    assert "new tray T2" in cook.get("/loads/A-L1/spits/1/pull").words
    assert dict(cook.get("/loads/new").form().fields)["load"] == "L2"


def test_all_served_says_the_short_name(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    page = cook.get("/trays/A-T1").send("/emptied")
    assert "Tray T1: all served, nothing left." in page.words


def test_the_page_of_an_entry_says_how_its_writer_was_known(tablet: Browser, database: Database) -> None:
    keep(database, *pulled())
    tablet.get("/trays/A-T1/check").send(probe="blue", unit="F", temperature="150").send()
    held = assessed(database).trays[0].held[-1].entry
    assert "Casey Cook, tablet A, PIN typed" in tablet.get(f"/entries/{held.id}").words
