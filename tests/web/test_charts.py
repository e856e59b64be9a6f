"""Charts as pages: the drawing, its sentence, its numbers, and what is forecast."""

import re

import pytest

from app import ledger
from app.db import Database
from app.logs import day_charts
from app.rules.forecasts.cook_records import record_of_view
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.cast import draft
from tests.support.drafts import keep, ordinary_day


@pytest.fixture
def cook(database: Database, browser: Browser) -> Browser:
    """A cook on a day with a load served, another in the oven, and a batch chilled."""
    turning = {"load": "A-L2", "oven": "west"}
    keep(
        database,
        *ordinary_day()[:-1],
        draft("tray_out", at="11:40", birds=3),
        draft("tray_out", at="11:41", birds=2, to="chilled", batch="A-B1", temperature="140", unit="F", probe="blue"),
        draft("cooling_reading", at="11:59", temperature="120"),
        draft("load_started", at="10:50", **turning),
        draft("spit_loaded", at="10:50", load="A-L2"),
        *(draft("cook_reading", at=at, load="A-L2", temperature=t) for at, t in (("11:25", "130"), ("11:45", "150"))),
        draft("cook_reading", at="11:55", load="A-L2", temperature="158"),
    )
    return browser.sign_in("cook")


@pytest.mark.parametrize(
    ("path", "says"),
    [
        ("load/A-L2", "3 readings against the limit of 165 °F / 74 °C"),
        ("tray/A-T1", "against the limit of 135 °F / 57 °C"),
        ("batch/A-B1", "it has to be down to 70 °F / 21 °C by"),
        ("probe/blue", "Probe blue: 1"),
        ("unit/walk-in", "It takes two checks or more"),
        ("probe/green", "No check of this probe is recorded."),
    ],
)
def test_a_chart_says_what_it_shows(cook: Browser, path: str, says: str) -> None:
    page = cook.get(f"/charts/{path}")
    assert page.status == 200
    assert says in page.words


def test_a_spit_that_turns_has_a_forecast_with_a_range_and_its_lethality_for_information(cook: Browser) -> None:
    words = cook.get("/charts/load/A-L2").words
    assert re.search(r"Spit 1 at the limit: about 1[12]:\d\d, between 1[12]:\d\d and 1[12]:\d\d \(from", words)
    assert "A forecast is never a verdict" in words
    assert "For information, not a verdict: spit 1, bird 1. The FSIS 2021 chicken table asks for" in words


def test_the_page_of_a_load_says_about_when_and_what_its_readings_add_up_to(cook: Browser) -> None:
    words = cook.get("/loads/A-L2").words
    assert re.search(r"Spit 1 at the limit: about \d\d:\d\d", words)
    assert "A forecast is never a verdict" in words
    assert "For information, not a verdict: spit 1, bird 1." in words


def test_what_is_known_of_a_spit_that_turns_goes_into_its_forecast(cook: Browser, database: Database) -> None:
    """Size of the birds, their number and the drum's speed are compared with those of past loads."""
    keep(
        database,
        draft("spit_loaded", at="11:56", load="A-L2", spit=2, birds=4, mean_weight="4", weight_unit="lb"),
        draft("oven_setting", at="11:57", oven="west", rotation="80"),
    )
    with database.reading() as session:
        day = ledger.assess_day(session, "S1", cast.DAY, as_of=cast.moment("12:00"))
    load = next(one for one in day.loads if one.load == "A-L2")
    record = record_of_view(load, load.spits[1], day_charts.oven_settings(day))
    assert record.bird_kg == pytest.approx(4 * 0.45359237)
    assert (record.birds, record.rotation_percent) == (4, 80)


def test_a_batch_that_cools_has_a_forecast_for_each_pending_mark(cook: Browser, database: Database) -> None:
    at = (("11:45", "134"), ("11:52", "127"))
    keep(database, *(draft("cooling_reading", at=when, temperature=degrees) for when, degrees in at))
    words = cook.get("/charts/batch/A-B1").words
    assert re.search(r"First stage: about 1\d:\d\d, between 1\d:\d\d and 1\d:\d\d", words)
    assert "A forecast is never a verdict" in words


@pytest.mark.parametrize(
    "path", ["load/nope", "tray/nope", "batch/nope", "probe/east", "unit/blue", "tray/A-T1?day=2099-01-01"]
)
def test_what_there_is_not_is_not_there(cook: Browser, path: str) -> None:
    assert cook.get(f"/charts/{path}").status == 404
