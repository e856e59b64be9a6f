"""Two people or two devices at one thing, and pages that are older than what happened since: nothing typed is lost."""

import pytest
from flask import Flask

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, keep, loaded, pulled

READING = {"probe": "blue", "unit": "F", "bird": "2", "place": "breast"}
SPIT = "/loads/A-L1/spits/1"


@pytest.fixture
def phone(app: Flask) -> Browser:
    """Another device at the same kitchen: Robin Reyes, signed in."""
    return Browser(app.test_client()).sign_in("robin")


def readings(database: Database) -> list[tuple[str, str]]:
    """Give number and writer of each reading of spit 1."""
    found = assessed(database).loads[0].spits[0].readings
    return [(str(one.reading.value), one.person) for one in found]


def test_two_devices_read_one_bird_and_both_readings_are_kept(
    tablet: Browser, phone: Browser, database: Database
) -> None:
    keep(database, *loaded())
    pads = [device.get(f"{SPIT}/probe") for device in (tablet, phone)]
    for pad, number in zip(pads, ("166", "171"), strict=True):
        assert pad.send(temperature=number, **READING).send().status == 200
    assert sorted(readings(database)) == [("166", "cook"), ("171", "robin")]


def test_two_devices_pull_one_spit_and_the_second_is_told(tablet: Browser, phone: Browser, database: Database) -> None:
    keep(database, *pulled()[:-1])
    first, second = tablet.get(f"{SPIT}/pull"), phone.get(f"{SPIT}/pull")
    assert first.send().status == 200
    told = second.send(note="Robin has them.")
    assert told.status == 422
    assert "None are left here." in told.words
    assert dict(told.form().fields)["note"] == "Robin has them."
    assert sum(one.birds_in for one in assessed(database).trays) == 5


def test_a_reading_from_a_page_that_is_older_than_the_pull_is_kept(
    tablet: Browser, phone: Browser, database: Database
) -> None:
    keep(database, *pulled()[:-1])
    old = phone.get(f"{SPIT}/probe")
    tablet.get(f"{SPIT}/pull").send()
    assert old.send(temperature="168", **READING).send().status == 200
    assert ("168", "robin") in readings(database)


def test_two_devices_start_a_load_in_one_oven_and_the_second_is_told(
    tablet: Browser, phone: Browser, database: Database
) -> None:
    first, second = tablet.get("/loads/new"), phone.get("/loads/new")
    load = {"oven": "west", "all_right": "y", "spits-0-birds": "5"}
    assert first.send(**load).status == 200
    told = second.send(**load)
    assert told.status == 422
    assert "Load A-L1 is in the west oven by now." in told.words.replace("Load L1 ", "Load A-L1 ")
    assert dict(told.form().fields)["spits-0-birds"] == "5"
    assert len(assessed(database).loads) == 1
    assert told.send(oven="east", load="L2").status == 200
    assert [one.oven for one in assessed(database).loads] == ["west", "east"]


def test_two_pages_that_propose_one_new_tray_fill_it_both(tablet: Browser, phone: Browser, database: Database) -> None:
    keep(database, *pulled()[:-1], cast.draft("spit_loaded", at="10:33", spit=2))
    pages = [tablet.get(f"/loads/A-L1/spits/{spit}/pull") for spit in (1, 2)]
    for page in pages:  # both pages propose the same new tray: the second adds to it
        assert page.send(receivers_shown="").status == 200
    assert {one.tray: int(one.birds_in) for one in assessed(database).trays} == {"A-T1": 10}
