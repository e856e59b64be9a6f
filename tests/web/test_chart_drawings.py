"""Drawings apart from the words: the day's page names them, a browser fetches each later, and anew if it changed."""

import re
from collections.abc import Callable
from datetime import datetime
from xml.etree import ElementTree as ET

import pytest

from app.db import Database
from app.logs.charts import FILE_STYLE_SOURCE
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.cast import draft
from tests.support.drafts import keep, low_reading

DAY = "/day/2026-04-14"
LOAD = "/charts/load/A-L1/drawing.svg?day=2026-04-14"


@pytest.fixture
def pat(database: Database, browser: Browser) -> Browser:
    """Somebody in charge on a day with a load, a tray too cold once and a batch; another tray was well."""
    chilled = draft(
        "tray_out", at="11:30", to="chilled", birds="2", batch="A-B1", temperature="140", unit="F", probe="blue"
    )
    second = [
        draft("spit_loaded", at="09:05", spit=2, ties=5),
        draft("cook_reading", at="10:40", spit=2, temperature="172"),
        draft("cook_reading", at="10:41", spit=2, bird=4, temperature="171"),
        draft("spit_pulled", at="10:45", spit=2, tray="A-T2", ties_removed=5),
        draft("hold_reading", at="11:45", tray="A-T2", temperature="149"),
    ]
    keep(database, *low_reading()[:-1], *second, chilled, draft("cooling_reading", at="11:55", temperature="120"))
    return browser.sign_in("pat")


def drawings(html: str) -> list[str]:
    """Give the addresses of the images of a page."""
    return [source.replace("&amp;", "&") for source in re.findall(r'<img [^>]*src="([^"]*)"', html)]


def test_the_page_of_a_day_draws_nothing_itself(pat: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("matplotlib.figure.Figure", None)
    html = pat.get(DAY).html
    assert 'class="drawing"' not in html
    assert drawings(html) == [
        f"/charts/{one}/drawing.svg?day=2026-04-14" for one in ("load/A-L1", "tray/A-T1", "batch/A-B1")
    ]


def test_a_drawing_on_the_page_keeps_its_place_and_says_what_it_shows(pat: Browser) -> None:
    html = pat.get(DAY).html
    images = re.findall(r"<img [^>]*>", html)
    assert all('loading="lazy"' in one and re.search(r'width="\d+" height="\d+"', one) for one in images)
    said = 'alt="Load A-L1, started 09:00: 4 readings against the limit of 165 °F / 74 °C."'
    assert said in html.replace("\N{NO-BREAK SPACE}", " ")


def test_what_was_well_is_one_link_away(pat: Browser) -> None:
    page = pat.get(DAY)
    for words in ("Chart of tray A-T2", "Chart of probe blue", "Chart of unit walk-in"):
        assert page.follow(words).status == 200


@pytest.mark.parametrize("path", ["load/A-L1", "tray/A-T1", "batch/A-B1", "probe/blue", "unit/walk-in", "probe/green"])
def test_a_drawing_is_a_file_of_its_own(pat: Browser, path: str) -> None:
    answer = pat.client.get(f"/charts/{path}/drawing.svg")
    assert answer.status_code == 200
    assert answer.mimetype == "image/svg+xml"
    assert ET.fromstring(answer.text).tag.endswith("svg")


def test_a_drawing_may_use_its_own_style_and_nothing_else(pat: Browser) -> None:
    answer = pat.client.get(LOAD)
    assert answer.headers.getlist("Content-Security-Policy") == [
        f"default-src 'none'; style-src {FILE_STYLE_SOURCE}; frame-ancestors 'none'"
    ]
    assert answer.headers["Cache-Control"] == "private, no-cache"


def test_a_drawing_that_still_holds_is_not_made_again(pat: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    tag = pat.client.get(LOAD).headers["ETag"]
    monkeypatch.setattr("matplotlib.figure.Figure", None)
    again = pat.client.get(LOAD, headers={"If-None-Match": tag})
    assert (again.status_code, again.data) == (304, b"")


def test_a_drawing_is_made_anew_after_an_entry(pat: Browser, database: Database) -> None:
    tag = pat.client.get(LOAD).headers["ETag"]
    keep(database, draft("note", at="11:59", text="Something else."))
    assert pat.client.get(LOAD, headers={"If-None-Match": tag}).status_code == 200


def test_a_drawing_is_made_anew_while_its_day_runs(pat: Browser, set_clock: Callable[[datetime | str], None]) -> None:
    tag = pat.client.get(LOAD).headers["ETag"]
    set_clock("12:05")
    assert pat.client.get(LOAD, headers={"If-None-Match": tag}).status_code == 200


def test_nobody_elses_drawing_is_taken_for_ones_own(pat: Browser, database: Database) -> None:
    tag = pat.client.get(LOAD).headers["ETag"]
    pat.client.delete_cookie("roast_ledger")
    answer = pat.client.get(LOAD, headers={"If-None-Match": tag})
    assert "/signin" in answer.headers.get("Location", "")


def test_the_checks_of_a_probe_end_with_the_day_that_is_looked_at(
    pat: Browser, database: Database, set_clock: Callable[[datetime | str], None]
) -> None:
    tomorrow = cast.moment("08:00", day=cast.DAY.replace(day=15))
    later = {**draft("probe_check", at="08:00"), "observed_at": tomorrow.isoformat()}
    set_clock(tomorrow + cast.minutes(5))
    keep(database, later, at=tomorrow)
    pat.sign_in("pat")
    assert "Probe blue: 2 checks" in pat.get("/charts/probe/blue").words
    assert "Probe blue: 1 check;" in pat.get("/charts/probe/blue?day=2026-04-14").words


def test_air_and_food_of_a_unit_are_not_one_series(pat: Browser, database: Database) -> None:
    readings = [draft("unit_check", at=at, temperature=value) for at, value in (("07:40", "38"), ("08:40", "39"))]
    food = draft("unit_check", at="11:30", temperature="40.5")
    keep(database, *readings, {**food, "of": "food"})
    words = pat.get("/charts/unit/walk-in").words
    assert "Unit walk-in, 3 checks" in words
    assert "1 reading of the other is not drawn" in words


def test_every_subjects_page_leads_to_its_chart(browser: Browser, pat: Browser) -> None:
    pat.client.delete_cookie("roast_ledger")
    cook = browser.sign_in("cook")
    for page, words in (
        ("/loads/A-L1", "Load A-L1"),
        ("/trays/A-T1", "Tray A-T1"),
        ("/batches/A-B1", "Batch A-B1"),
        ("/probes", "Probe blue"),
        ("/units", "Unit walk-in"),
    ):
        assert words in cook.get(page).follow("Chart").words
