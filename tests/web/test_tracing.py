"""Tracing: one search, back to the delivery and on to every way out; the same as CSV."""

import csv
import io

import pytest

from app.db import Database
from tests.support.browsing import Browser
from tests.support.cast import draft
from tests.support.drafts import keep

LOT = "0412-7"


@pytest.fixture
def lead(database: Database, browser: Browser) -> Browser:
    """Somebody in charge of a kitchen that received, roasted, served and chilled a lot."""
    keep(
        database,
        draft("receiving", at="08:00"),
        draft("load_started", at="08:10"),
        draft("spit_loaded", at="08:10"),
        draft("spit_pulled", at="09:36"),
        draft("tray_out", at="10:00", birds=3),
        draft("tray_out", at="10:10", birds=2, to="chilled", batch="A-B1"),
    )
    return browser.sign_in("pat")


def test_a_lot_is_traced_to_where_its_birds_went(lead: Browser) -> None:
    words = lead.get(f"/trace?name={LOT}").words
    assert "Prairie Poultry" in words
    assert "tray A-T1 served 3" in words
    assert "Still here Batch A-B1 2 birds Gone: 3 served" in words


def test_a_batch_is_traced_back_to_its_delivery(lead: Browser) -> None:
    assert "Prairie Poultry" in lead.get("/trace?name=A-B1").words


def test_what_nobody_knows_is_said(lead: Browser) -> None:
    page = lead.get("/trace?name=%3Cb%3Enope")
    assert page.status == 404
    assert "Nothing here is called <b>nope." in page.words


def test_the_table_for_other_programs_has_every_movement_and_no_formula(lead: Browser, database: Database) -> None:
    keep(database, draft("receiving", at="08:05", lot="=1+1", supplier="@sum"))
    rows = list(csv.DictReader(io.StringIO(lead.get(f"/trace.csv?name={LOT}").html.lstrip("\ufeff"))))
    kinds = ["receiving", "spit_loaded", "spit_pulled", "tray_out", "tray_out", "still_here"]
    assert [row["kind"] for row in rows] == kinds
    assert [row["birds"] for row in rows] == ["40", "5", "5", "3", "2", "2"]
    strange = next(csv.DictReader(io.StringIO(lead.get("/trace.csv?name=%3D1%2B1").html.lstrip("\ufeff"))))
    assert (strange["lot"], strange["supplier"]) == ("'=1+1", "'@sum")
