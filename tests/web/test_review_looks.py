"""What a reviewer would look at twice, and how promptly the day was written: on the day's page and the first page."""

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, loaded, mending, ordinary_day

DAY = "/day/2026-04-14"


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password."""
    return browser.sign_in("pat")


def test_a_pattern_is_pointed_out_with_its_entries_and_without_a_verdict(database: Database, pat: Browser) -> None:
    pair = [
        cast.draft("cook_reading", at="11:58", temperature="150"),
        cast.draft("cook_reading", at="11:59", temperature="171", confirmed=True),
    ]
    keep(database, *loaded(), *pair)
    words = pat.get(DAY).words
    looks = words[words.index("Worth a second look") : words.index("Pointed out by the program. It is no verdict.")]
    assert "One bird was read twice within 2 minutes, far apart." in looks
    for said in ("11:58", "150 °F", "11:59", "171 °F", "Casey Cook", "asked whether it is right: yes"):
        assert said in looks


def test_a_day_without_patterns_points_at_nothing(database: Database, pat: Browser) -> None:
    keep(database, cast.draft("unit_check", at="11:58"))
    assert "Worth a second look" not in pat.get(DAY).words


def test_readings_typed_together_are_pointed_out(database: Database, pat: Browser) -> None:
    keep(database, *ordinary_day())  # all of it at noon
    assert "Readings seen over 60 minutes or more were written within 5 minutes." in pat.get(DAY).words


@pytest.mark.parametrize("path", [DAY, "/"])
def test_late_and_corrected_entries_are_counted_with_who_wrote_them(
    database: Database, pat: Browser, path: str
) -> None:
    drafts = ordinary_day()
    keep(database, *drafts, at="11:41")
    keep(database, cast.draft("hold_reading", at="11:20"), by="robin", at="11:42")
    keep(database, mending(drafts[9], temperature="151"), by="sam", at="11:43")
    words = pat.get(path).words
    late = words[words.index("Written late") : words.index("Corrected or withdrawn")]
    assert "Robin Reyes" in late
    assert "1 entry: Sam Silva" in words[words.index("Corrected or withdrawn") :]


def test_a_cook_s_first_page_leaves_it_out(database: Database, cook: Browser) -> None:
    keep(database, *ordinary_day())
    assert "Written late" not in cook.get("/").words
