"""Set-up, Kitchen: by which clock every screen, chart and log says its times, and in which scale a pad begins."""

import re

import pytest

from app import ledger, register, words
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, low_reading


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password."""
    return browser.sign_in("pat")


def set_habits(pat: Browser, **typed: str) -> str:
    """Set clock and scale on their page; give what the page then says."""
    return pat.get("/setup/site").send("/setup/site", **typed).words


def written(database: Database) -> tuple[int, int, str | None]:
    """Give the number of the last entry, and clock and scale as the ledger has them."""
    with database.reading() as session:
        site = ledger.read_site(session, "S1")
        assert site is not None
        return ledger.head(session, "S1")[0], site.clock, site.unit


def test_clock_and_scale_are_set_and_written_down(pat: Browser, database: Database) -> None:
    head = written(database)[0]
    assert "Saved. Earlier days keep the old values." in set_habits(pat, clock="12", unit="C")
    assert written(database) == (head + 1, 12, "C")


def test_a_kitchen_that_said_nothing_reads_24_hours(pat: Browser) -> None:
    assert re.search(r"\b\d\d:\d\d\b", pat.get("/").words)


@pytest.mark.parametrize("path", ["/", f"/day/{cast.DAY}", "/trays/A-T1", "/entries", "/setup/site"])
def test_times_are_said_by_the_clock_of_the_kitchen(pat: Browser, database: Database, path: str) -> None:
    keep(database, *low_reading())
    set_habits(pat, clock="12", unit="F")
    said = pat.get(path).words.replace("24-hour clock: 15:39", "")
    assert re.search(r"\d:\d\d [ap]m", said)
    assert re.findall(r"\d:\d\d(?! [ap]m|:?\d)", said) == []


def test_the_clock_of_one_kitchen_is_not_said_to_another(pat: Browser, browser: Browser) -> None:
    set_habits(pat, clock="12", unit="F")
    assert words.clock_hours() == 24
    other = Browser(browser.client.application.test_client()).sign_in("other-lead")
    assert re.search(r"\b\d\d:\d\d\b", other.get("/").words)


@pytest.mark.parametrize(("unit", "checked"), [("F", "F"), ("C", "C")])
def test_a_pad_begins_with_the_scale_of_the_kitchen(pat: Browser, database: Database, unit: str, checked: str) -> None:
    keep(database, *low_reading())
    set_habits(pat, clock="24", unit=unit)
    assert dict(pat.get("/trays/A-T1/check").form().fields)["unit"] == checked


@pytest.mark.parametrize("typed", [{"clock": "13"}, {"unit": "K"}, {"clock": "noon"}])
def test_what_is_neither_is_refused_at_its_field(pat: Browser, database: Database, typed: dict[str, str]) -> None:
    before = written(database)
    assert "is not known here" in set_habits(pat, **{"clock": "12", "unit": "C", **typed})
    assert written(database) == before


@pytest.mark.parametrize("wrong", [{"clock": 13, "unit": "F"}, {"clock": 12, "unit": "K"}])
def test_the_register_takes_no_other_clock_or_scale(database: Database, wrong: dict[str, int | str]) -> None:
    with database.writing() as session, pytest.raises(register.Refused):
        register.change_site(session, register.get_site(session, "S1"), at=cast.moment("12:00"), **wrong)
