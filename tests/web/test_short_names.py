"""Names on the screen are short where that says enough; on a thing's own page and on paper they stand whole."""

from collections.abc import Iterator

import pytest

from app import words
from app.db import Database
from app.kinds import Subject
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, pulled


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
