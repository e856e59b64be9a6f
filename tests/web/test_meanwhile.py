"""What a pad that is open asks for: what was saved of its spit or tray since, and the drawing as it stands now."""

import pytest

from app.db import Database
from app.web.kitchen import meanwhile
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, keep, loaded, mending, pulled

SPIT, TRAY = "/loads/A-L1/spits/1/meanwhile", "/trays/A-T1/meanwhile"


@pytest.fixture
def tablet(browser: Browser) -> Browser:
    """A tablet with nobody at it: its pad is kept up to date all the same."""
    return browser.enrol()


def since(database: Database) -> str:
    return f"?since={assessed(database).through_seq}"


def test_nothing_is_told_of_what_the_pad_knew(tablet: Browser, database: Database) -> None:
    keep(database, *pulled()[:-1])
    assert "was read" not in tablet.get(SPIT + since(database)).words
    assert "was read" in tablet.get(SPIT + "?since=0").words


def test_only_its_own_spit_is_told(tablet: Browser, database: Database) -> None:
    keep(database, *loaded())
    known = since(database)
    keep(database, cast.draft("cook_reading", at="10:31", spit=2, temperature="171.2"), by="robin")
    assert "Bird" not in tablet.get(SPIT + known).words
    said = tablet.get(SPIT.replace("spits/1", "spits/2") + known).words
    assert "Bird 1 was read at 10:31 by Robin Reyes: 171.2 °F." in said


def test_a_correction_is_told_and_not_what_it_replaced(tablet: Browser, database: Database) -> None:
    read = cast.draft("cook_reading", at="10:31", temperature="171.2")
    keep(database, *loaded(spits=1))
    known = since(database)
    keep(database, read)
    keep(database, mending(read, temperature="161.2"), by="robin")
    said = tablet.get(SPIT + known).words
    assert "Bird 1 was corrected by Robin Reyes: 161.2 °F." in said
    assert "was read" not in said


def test_a_withdrawal_says_what_it_takes_back(tablet: Browser, database: Database) -> None:
    read = cast.draft("cook_reading", at="10:31", temperature="171.2")
    keep(database, *loaded(spits=1), read)
    known = since(database)
    keep(database, cast.withdrawal(read, at="12:00"), by="robin")
    said = tablet.get(SPIT + known).words
    assert "Withdrawn at 12:00 by Robin Reyes:" in said
    assert "171.2 °F" in said


def test_a_part_that_is_pulled_leaves_birds_to_read(tablet: Browser, database: Database) -> None:
    keep(database, *pulled()[:-1])
    known = since(database)
    keep(database, cast.draft("spit_pulled", at="10:36", birds=3))
    said = tablet.get(SPIT + known)
    assert "2 birds left. Pulled at 10:36 by Casey Cook into tray A-T1." in said.words.replace("tray T1", "tray A-T1")
    assert 'class="gone"' not in said.html


def test_birds_out_of_a_tray_are_told_and_that_it_is_empty(tablet: Browser, database: Database) -> None:
    keep(database, *pulled())
    known = since(database)
    keep(database, cast.draft("tray_out", at="11:40", birds="2"))
    assert "3 birds left. Served: 2 birds at 11:40 by Casey Cook." in tablet.get(TRAY + known).words
    keep(database, cast.draft("tray_out", at="11:41", birds="3"))
    said = tablet.get(TRAY + known)
    assert "The tray is empty. Served: 3 birds at 11:41 by Casey Cook." in said.words
    assert "2 birds at 11:40" not in said.words


def test_a_kitchen_in_which_nothing_was_saved_is_not_assessed(
    tablet: Browser, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep(database, *pulled())
    first = tablet.client.get(TRAY)
    monkeypatch.setattr(meanwhile.made_once, "day_at_present", lambda: pytest.fail("assessed"))
    again = tablet.client.get(TRAY, headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.get_data()) == (304, b"")


@pytest.mark.parametrize(
    "path", ["/loads/A-L9/spits/1/meanwhile", SPIT.replace("1/mean", "9/mean"), "/trays/A-T9/meanwhile"]
)
def test_what_is_not_there_is_not_found(tablet: Browser, database: Database, path: str) -> None:
    keep(database, *loaded())
    assert tablet.get(path).status == 404
