"""Tracing: one search, back to the delivery and on to every way out; the same as CSV."""

import csv
import io
from urllib.parse import quote

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
    kinds = ["receiving", "spit_loaded", "spit_pulled", "tray_out", "tray_out", "not_loaded", "still_here"]
    assert [row["kind"] for row in rows] == kinds
    assert [row["birds"] for row in rows] == ["40", "5", "5", "3", "2", "35", "2"]
    strange = next(csv.DictReader(io.StringIO(lead.get("/trace.csv?name=%3D1%2B1").html.lstrip("\ufeff"))))
    assert (strange["lot"], strange["supplier"]) == ("'=1+1", "'@sum")


# ---- raw birds, and lots found by part -------------------------------------------------------------------------------


def test_raw_birds_that_nobody_loaded_are_named_with_the_cold_unit_last_named(
    lead: Browser, database: Database
) -> None:
    keep(database, draft("raw_out", at="08:20", birds=2, reason="torn"), draft("unit_check", at="08:30"))
    words = lead.get(f"/trace?name={LOT}").words
    assert "delivered 40, loaded 5, raw out 2" in words
    assert "Delivered, not loaded on record: 33 birds. Look in walk-in." in words
    assert "Raw, not loaded: thrown away torn" in words


def test_without_a_cold_unit_on_record_every_one_is_to_be_looked_in(lead: Browser) -> None:
    assert "Delivered, not loaded on record: 35 birds. Look in every cold unit." in lead.get(f"/trace?name={LOT}").words


def test_the_table_has_raw_birds_out_and_those_not_loaded(lead: Browser, database: Database) -> None:
    keep(database, draft("raw_out", at="08:20", birds=2, to="returned_to_supplier"), draft("unit_check", at="08:30"))
    rows = csv.DictReader(io.StringIO(lead.get(f"/trace.csv?name={LOT}").html.lstrip("\ufeff")))
    raw = [(row["kind"], row["lot"], row["to"], row["into"], row["birds"]) for row in rows if "5" not in row["birds"]]
    assert ("raw_out", LOT, "returned_to_supplier", "", "2") in raw
    assert ("not_loaded", LOT, "", "walk-in", "33") in raw


@pytest.mark.parametrize(
    ("term", "lots"),
    [
        ("B-7", ["B-7"]),
        ("b-7", ["B-7"]),
        ("B-", ["B-7", "B-70"]),
        ("-7", [LOT, "B-7", "B-70"]),
        ("prairie", [LOT, "B-70"]),
        ("HILL FARM", ["B-7"]),
        ("hill", ["B-7"]),
        ("raw", ["raw-9"]),
    ],
)
def test_lots_and_suppliers_are_found_whatever_the_case_and_by_part(
    lead: Browser, database: Database, term: str, lots: list[str]
) -> None:
    keep(
        database,
        draft("receiving", at="08:01", lot="B-7", supplier="Hill Farm"),
        draft("receiving", at="08:02", lot="B-70"),
        draft("raw_out", at="08:20", lot="raw-9"),
    )
    words = lead.get(f"/trace?name={quote(term)}").words
    assert [lot for lot in [LOT, "B-7", "B-70", "raw-9"] if f"Lot {lot} delivered" in words] == lots


def test_the_lot_of_a_rejected_delivery_was_not_delivered(lead: Browser, database: Database) -> None:
    keep(database, draft("receiving", at="08:40", lot="bad", decision="rejected", reason="warm"))
    words = lead.get("/trace?name=bad").words
    assert "delivered 0, loaded 0, raw out 0" in words
    assert "not loaded on record" not in words


# ---- what went out while it was set aside ----------------------------------------------------------------------------


@pytest.fixture
def undercooked(lead: Browser, database: Database) -> Browser:
    """Another spit of the lot, pulled at 149 °F: two were served, two thrown away, one is here."""
    keep(
        database,
        draft("spit_loaded", at="08:11", spit=2),
        draft("cook_reading", at="09:31", spit=2, temperature="149"),
        draft("spit_pulled", at="09:40", spit=2, tray="A-T2"),
        draft("tray_out", at="09:50", tray="A-T2", birds=2),
        draft("tray_out", at="09:55", tray="A-T2", birds=2, to="discarded"),
    )
    return lead


@pytest.mark.parametrize("name", [LOT, "prairie", "A-T2"])
def test_the_answer_lists_what_went_out_while_it_was_set_aside(undercooked: Browser, name: str) -> None:
    words = undercooked.get(f"/trace?name={name}").words
    listed = words[words.index("Went out while it was set aside") : words.index("Where it came from")]
    assert all(said in listed for said in ("Tray A-T2", "Core temperature when pulled", "2 served", "2 thrown away"))


def test_what_was_not_set_aside_is_not_listed(lead: Browser, database: Database) -> None:
    drafts = [draft("cook_reading", at="09:31", spit=2, bird=bird, temperature="170") for bird in (1, 4)]
    pull = draft("spit_pulled", at="09:40", spit=2, tray="A-T2")
    keep(database, draft("spit_loaded", at="08:11", spit=2), *drafts, pull, draft("tray_out", at="09:50", tray="A-T2"))
    assert "Went out while it was set aside" not in lead.get("/trace?name=A-T2").words


def test_readings_of_a_probe_that_failed_later_set_what_was_left_aside(lead: Browser, database: Database) -> None:
    """The check that fails is about no food: the trace asks for it all the same."""
    drafts = [draft("cook_reading", at="09:31", spit=2, bird=bird, temperature="166") for bird in (1, 4)]
    keep(
        database,
        draft("probe_check", at="07:00"),
        draft("spit_loaded", at="08:11", spit=2),
        *drafts,
        draft("spit_pulled", at="09:40", spit=2, tray="A-T2"),
        draft("tray_out", at="09:50", tray="A-T2", birds=2),
        draft("probe_check", at="10:30", temperature="36"),
        draft("tray_out", at="11:00", tray="A-T2", birds=1),
    )
    words = lead.get("/trace?name=A-T2").words
    listed = words[words.index("Went out while it was set aside") : words.index("Where it came from")]
    assert ("1 served" in listed, "2 served" in listed) == (True, False)


def test_the_table_says_for_what_it_was_set_aside(undercooked: Browser) -> None:
    rows = csv.DictReader(io.StringIO(undercooked.get(f"/trace.csv?name={LOT}").html.lstrip("\ufeff")))
    aside = [(row["to"], row["birds"], row["set_aside"]) for row in rows if row["set_aside"]]
    why = "cook.core_temperature"  # the first spit was pulled without a reading
    assert aside == [("served", "2", why), ("discarded", "2", why), ("served", "3", why)]


def test_a_batch_that_cooled_as_it_should_is_not_set_aside(lead: Browser, database: Database) -> None:
    """What the lot went into is judged by its readings, too."""
    hot = [draft("cook_reading", at="08:40", spit=2, bird=bird, temperature="170") for bird in (1, 4)]
    cooled = [("09:30", "68"), ("10:30", "40")]
    keep(
        database,
        draft("spit_loaded", at="08:11", spit=2),
        *hot,
        draft("spit_pulled", at="08:45", spit=2, tray="A-T2"),
        draft("tray_out", at="08:50", tray="A-T2", birds=5, to="chilled", batch="A-B2"),
        *(draft("cooling_reading", at=at, batch="A-B2", temperature=value) for at, value in cooled),
        draft("batch_out", at="11:00", batch="A-B2", birds=5),
    )
    words = lead.get(f"/trace?name={LOT}").words
    listed = words[words.index("Went out while it was set aside") : words.index("Where it came from")]
    assert ("Batch A-B2" in listed, "Tray A-T1" in listed) == (False, True)
