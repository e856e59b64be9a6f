"""Every page and chart judges a subject by the plan in force when it was opened, whatever plan came after."""

import pytest

from app import register
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, ordinary_day

READING = {"probe": "blue", "unit": "F"}


@pytest.fixture
def stricter(database: Database) -> Database:
    """A tray that was filled at 10:36; from 11:00 on the plan holds hot food at 140 °F and cooks it to 170 °F."""
    drafts = ordinary_day()[:-1]
    keep(database, *drafts[:-1], at="11:00")
    with database.writing() as session:
        site = register.get_site(session, "S1")
        settings = {"hot_holding": "140F/60C", "cook_core": "170F/77C"}
        cast.add_plan(session, site, 2, settings=settings, adopted_at=cast.moment("11:00"))
    keep(database, drafts[-1])
    return database


def test_a_tray_filled_before_is_held_to_the_plan_it_was_filled_under(cook: Browser, stricter: Database) -> None:
    page = cook.get("/trays/A-T1/check").send(temperature="137", **READING)
    assert "137 °F: at or above 135 °F." in page.words
    assert "140 °F" not in page.send().words


def test_a_tray_filled_after_is_held_to_the_new_plan(cook: Browser, stricter: Database) -> None:
    keep(stricter, cast.draft("load_started", at="11:10", load="A-L2", oven="west"))
    keep(stricter, cast.draft("spit_loaded", at="11:11", load="A-L2", birds=2))
    keep(stricter, cast.draft("cook_reading", at="11:50", load="A-L2", bird=1, temperature="171"))
    keep(stricter, cast.draft("spit_pulled", at="11:51", load="A-L2", birds=2, tray="A-T2"))
    page = cook.get("/trays/A-T2/check").send(temperature="137", **READING)
    assert "137 °F: under 140 °F." in page.words


def test_a_spit_loaded_before_is_cooked_to_the_plan_of_its_load(cook: Browser, database: Database) -> None:
    keep(database, *ordinary_day()[:6], at="11:00")
    with database.writing() as session:
        site = register.get_site(session, "S1")
        cast.add_plan(session, site, 2, settings={"cook_core": "170F/77C"}, adopted_at=cast.moment("11:00"))
    page = cook.get("/loads/A-L1/spits/1/probe").send(temperature="166", bird="1", place="breast", **READING)
    assert "166 °F: at or above 165 °F." in page.words


def test_the_chart_of_a_tray_draws_the_limit_it_is_held_to(cook: Browser, stricter: Database) -> None:
    said = cook.get("/charts/tray/A-T1").words
    assert "the limit of 135 °F / 57 °C" in said
    assert "140" not in said


def test_the_page_of_the_day_lists_each_version_with_its_variance(browser: Browser, stricter: Database) -> None:
    with stricter.writing() as session:
        site = register.get_site(session, "S1")
        pat, at = register.get_person(session, site, "pat"), cast.moment("12:00")
        looser = {"hot_holding": "130F/54C"}
        register.adopt_plan(session, site, None, looser, by=pat, at=at, variance="County variance 2026-17")
    words = browser.sign_in("pat").get(f"/day/{cast.DAY}").words
    assert "HACCP plan until 11:00 FDA Food Code 2022 (us_food_code_2022), version 1" in words
    assert "HACCP plan from 11:00 to 12:00 FDA Food Code 2022 (us_food_code_2022), version 2" in words
    assert "HACCP plan from 12:00 FDA Food Code 2022 (us_food_code_2022), version 3" in words
    assert "Variance County variance 2026-17, for: Hot holding, at least" in words
