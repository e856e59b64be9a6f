"""Frozen birds that thaw: a record with its caution, judged by no rule."""

from app import words
from app.db import Database
from tests.support.browsing import Browser
from tests.support.drafts import assessed


def test_the_page_names_the_limits_with_their_source(cook: Browser) -> None:
    page = cook.get("/write/thawing")
    for caution in words.kind_cautions("thawing"):
        assert caution in page.html.replace("&nbsp;", "\xa0")
    assert "at most 70\xa0°F / 21\xa0°C" in page.html
    assert "FDA Food Code 2022, 3-501.13" in page.words


def test_a_thawing_is_written_shown_and_judged_by_no_rule(database: Database, cook: Browser) -> None:
    before = {one.rule for one in assessed(database).findings}
    page = cook.get("/checks").follow("Thaw birds")
    page = page.send(lot="0412-7", birds="10", how="cold_unit", cold_unit="walk-in")
    assert "Saved: Frozen birds thawing." in page.words
    assert "Frozen birds thawing" in cook.get("/entries").words
    assert "in a cold unit, unit walk-in" in cook.get("/entries").words
    assert {one.rule for one in assessed(database).findings} == before


def test_in_a_cold_unit_the_unit_is_asked_for(cook: Browser) -> None:
    page = cook.get("/write/thawing").send(lot="0412-7", birds="10", how="cold_unit")
    assert page.status == 422
    assert "Cold unit" in page.words
    assert "0412-7" in page.html


def test_under_running_water_no_unit_belongs(cook: Browser) -> None:
    page = cook.get("/write/thawing").send(lot="0412-7", birds="10", how="running_water")
    assert "Saved: Frozen birds thawing." in page.words
