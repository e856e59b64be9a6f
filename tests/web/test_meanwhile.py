"""What a pad that is open asks for: what was saved of its subject since, and that as it stands now."""

import pytest

from app.db import Database
from app.web.kitchen import meanwhile
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import Draft, assessed, chilled, keep, loaded, mending, pulled

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


def reheating() -> list[Draft]:
    """Two birds of batch A-B1 chilled, one of them being reheated since 11:50."""
    return [*chilled(), cast.draft("reheat_started", at="11:50")]


def test_the_latest_reading_is_told_on_every_pad(tablet: Browser, database: Database) -> None:
    keep(database, *reheating())
    known = since(database)
    for kind in ("cooling_reading", "reheat_reading", "unit_check", "probe_check"):
        keep(database, cast.draft(kind, at="11:55"), by="robin")
    keep(database, cast.draft("unit_check", at="11:56", unit_code="pass", temperature="150"), by="robin")
    for place, says in {
        "batches/A-B1": "This batch was checked at 11:55 by Robin Reyes: 65 °F.",
        "reheats/A-R1": "This reheat was checked at 11:55 by Robin Reyes: 170 °F.",
        "units/walk-in": "This unit was checked at 11:55 by Robin Reyes: 38 °F.",
        "units/pass": "This unit was checked at 11:56 by Robin Reyes: 150 °F.",
        "probes/blue": "This probe was checked at 11:55 by Robin Reyes: 32.4 °F.",
    }.items():
        said = tablet.get(f"/{place}/meanwhile{known}")
        assert said.words.count("Robin Reyes") == 1
        assert says in said.words


def test_food_read_in_a_unit_is_told_as_food(tablet: Browser, database: Database) -> None:
    keep(database, cast.draft("unit_check", at="11:55", of="food"))
    said = tablet.get("/units/walk-in/meanwhile?since=0").words
    assert "Food in this unit was read at 11:55 by Casey Cook: 38 °F." in said


def test_a_batch_that_is_finished_says_how(tablet: Browser, database: Database) -> None:
    keep(database, *reheating())
    known = since(database)
    keep(database, cast.draft("batch_out", at="11:55", birds="0.5"))
    said = tablet.get("/batches/A-B1/meanwhile" + known)
    assert "½ bird left. Served cold: ½ bird at 11:55 by Casey Cook." in said.words
    assert 'class="gone"' not in said.html
    keep(database, cast.draft("reheat_started", at="11:56", birds="0.5", reheat="A-R2"))
    said = tablet.get("/batches/A-B1/meanwhile" + known)
    assert "The batch is finished. Reheat started: ½ bird at 11:56 by Casey Cook." in said.words
    assert "Served cold" not in said.words
    assert 'class="gone"' in said.html


@pytest.mark.parametrize(
    ("done", "says"),
    [
        ({}, "Put into tray T2 at 11:56 by Casey Cook."),
        (
            {"birds": "0", "tray": ..., "hot_unit": ..., "discarded": "1"},
            "Thrown away: 1 bird at 11:56 by Casey Cook.",
        ),
    ],
)
def test_a_reheat_that_has_ended_says_how(
    tablet: Browser, database: Database, done: dict[str, object], says: str
) -> None:
    keep(database, *reheating(), cast.draft("reheat_reading", at="11:55"))
    known = since(database)
    keep(database, cast.draft("reheat_done", at="11:56", **done))
    said = tablet.get("/reheats/A-R1/meanwhile" + known)
    assert f"The reheat has ended. {says}" in said.words
    assert 'class="gone"' in said.html


def test_a_kitchen_in_which_nothing_was_saved_is_not_assessed(
    tablet: Browser, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep(database, *pulled())
    first = tablet.client.get(TRAY)
    monkeypatch.setattr(meanwhile.made_once, "day_at_present", lambda: pytest.fail("assessed"))
    again = tablet.client.get(TRAY, headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.get_data()) == (304, b"")


@pytest.mark.parametrize(
    "path",
    [
        *("/loads/A-L9/spits/1/meanwhile", SPIT.replace("1/mean", "9/mean"), "/trays/A-T9/meanwhile"),
        *("/batches/A-B9/meanwhile", "/reheats/A-R9/meanwhile", "/units/pan/meanwhile", "/probes/pan/meanwhile"),
    ],
)
def test_what_is_not_there_is_not_found(tablet: Browser, database: Database, path: str) -> None:
    keep(database, *loaded())
    assert tablet.get(path).status == 404
