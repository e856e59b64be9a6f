"""Cooking by a plan with a target beside the limit, or on a table of times."""

import pytest

from app import models
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, loaded


def adopt(database: Database, **settings: str) -> None:
    """Put another version of the plan in force before the day."""
    with database.writing() as session:
        cast.add_plan(session, session.get_one(models.Site, 1), 2, settings=settings, adopted_by="pat")


def probed_twice() -> list[dict[str, object]]:
    """Two birds of spit 1 at 170 °F."""
    return [cast.draft("cook_reading", at="10:30", bird=bird) for bird in (1, 2)]


@pytest.mark.parametrize(
    ("temperature", "says"),
    [
        ("180", "180 °F: at or above 165 °F. At the house goal of 180 °F."),
        ("179.9", "179.9 °F: at or above 165 °F. Under the house goal of 180 °F."),
        ("164.9", "164.9 °F: under 165 °F. Keep it cooking"),
    ],
)
def test_a_target_stands_beside_the_limit(cook: Browser, database: Database, temperature: str, says: str) -> None:
    adopt(database, cook_target="180F/82C")
    keep(database, *loaded())
    words = cook.get("/loads/A-L1/spits/1/probe").send(temperature=temperature, probe="blue", unit="F").words
    assert says in words
    assert "House goal: 180 °F / 82 °C. The legal limit is below it." in words


def test_a_spit_under_the_target_can_be_pulled_as_any_other(cook: Browser, database: Database) -> None:
    adopt(database, cook_target="180F/82C")
    keep(database, *loaded(), *probed_twice())
    words = cook.get("/loads/A-L1/spits/1/pull").words
    assert "if pulled now: met" in words
    assert "0 of 2 at the house goal of 180 °F" in words
    assert "0 of 2 at the house goal" in cook.get("/loads/A-L1").words


def test_a_plan_on_a_table_asks_for_what_the_oven_shows(cook: Browser, database: Database) -> None:
    adopt(database, cook_table="chicken 150F 12%", cook_humidity="humid_part")
    keep(database, *loaded(), *probed_twice())
    page = cook.get("/loads/A-L1/spits/1/pull")
    assert "This plan rests on a table of times. Pulled now, the records do not show all" in page.words
    assert "Humidity in the oven, for the table of times: not recorded" in page.words
    form = cook.get("/write/oven_setting")
    assert "Saved: Oven setting." in form.send(oven="east", humidity="93").words
    assert "93 % humidity" in cook.get("/entries").words


def test_humidity_is_a_percentage(cook: Browser) -> None:
    page = cook.get("/write/oven_setting").send(oven="east", humidity="101")
    assert page.status == 422
    assert "Relative humidity in the oven as a percentage: from 0 to 100" in page.words
