"""Set-up of the kitchen itself: name, address, permit, height and time zone, from the next noon on."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app import ledger
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser

SetClock = Callable[[datetime | str], None]
ABOUT = {"name": "Kitchen S1", "address": "12 Mill Road", "permit": "FS-0417", "altitude_m": "1600,5"}


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password."""
    return browser.sign_in("pat")


def test_the_kitchen_is_changed_on_its_page(pat: Browser, database: Database) -> None:
    page = pat.get("/setup/site").send("/setup/site", **ABOUT, timezone="America/Denver")
    assert "Saved. Earlier days keep the old values." in page.words
    with database.reading() as session:
        site = ledger.read_site(session, "S1")
    assert site is not None
    assert (site.address, site.permit, str(site.altitude_m), site.timezone.key) == (
        *("12 Mill Road", "FS-0417", "1600.5", "America/Denver"),
    )


def test_the_page_says_from_which_day_a_change_counts(pat: Browser, set_clock: SetClock) -> None:
    set_clock("11:59")
    assert "counts from Tue 14 Apr" in pat.get("/setup/site").words
    set_clock("12:01")
    assert "counts from Wed 15 Apr" in pat.get("/setup/site").words


def test_a_day_that_is_past_its_noon_keeps_its_zone(pat: Browser, database: Database, set_clock: SetClock) -> None:
    set_clock("12:01")
    pat.get("/setup/site").send("/setup/site", **ABOUT, timezone="America/New_York")
    with database.reading() as session:
        calendar = ledger.calendar_of(session, "S1")
    zones = [calendar.zone_of(cast.DAY).key, calendar.zone_of(cast.DAY.replace(day=cast.DAY.day + 1)).key]
    assert zones == ["America/Chicago", "America/New_York"]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"name": " "}, "Name: this is needed."),
        ({"timezone": "Chicago"}, "Chicago is not known here"),
        ({"altitude_m": "high"}, "Altitude in m: write it like this"),
        ({"altitude_m": "9001"}, "Altitude in m: from −500 to 9000."),
        ({"address": "x" * 201}, "Address: at most 200 characters."),
    ],
)
def test_what_cannot_be_is_refused_at_its_field_and_nothing_is_lost(
    pat: Browser, typed: dict[str, str], said: str
) -> None:
    page = pat.get("/setup/site").send("/setup/site", **{**ABOUT, "timezone": "America/Denver", **typed})
    assert (page.status, said in page.words) == (422, True)
    assert "FS-0417" in page.html


def test_nothing_changed_is_said_and_not_written_down(pat: Browser, database: Database) -> None:
    with database.reading() as session:
        before = ledger.head(session, "S1")
    assert "Nothing was changed." in pat.get("/setup/site").send("/setup/site").words
    with database.reading() as session:
        assert ledger.head(session, "S1") == before
