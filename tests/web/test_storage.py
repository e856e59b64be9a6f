"""Cold and hot units and deliveries on the pages: read, owed today, and what a number means before it is saved."""

from collections.abc import Callable
from datetime import date, datetime

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import assessed, keep

SetClock = Callable[[datetime | str], None]
DELIVERY = {"product": "whole chicken", "lot": "0414-2", "supplier": "Prairie Poultry", "birds": "40"} | {
    "decision": "accepted"
}
COLD = {"temperature": "38", "unit": "F", "probe": "blue"}


def read(browser: Browser, name: str = "walk-in", /, **typed: str) -> Page:
    """Fill in a check of a unit; what it means is then on the page."""
    return browser.get(f"/units/{name}/check").send(**typed)


def receive(browser: Browser, **typed: str) -> Page:
    """Fill in a delivery; what it means is then on the page."""
    return browser.get("/deliveries/new").send(**{**DELIVERY, **typed})


def test_the_list_says_what_was_read_and_what_is_owed_today(cook: Browser, database: Database) -> None:
    keep(database, cast.draft("unit_check", at="06:40"))
    page = cook.get("/units")
    assert "walk-in air 06:40 · 1 of 2 checks today 38 °F" in page.words
    assert "blast not checked in the last two weeks · 0 of 2 checks today" in page.words


@pytest.mark.parametrize(
    ("unit", "typed", "says"),
    [
        # FDA Food Code 2022, 3-501.16(A): 41 °F (5 °C) or less cold, 135 °F (57 °C) or above hot.
        ("walk-in", {"temperature": "41", "unit": "F"}, "41 °F: at or under 41 °F."),
        ("walk-in", {"temperature": "5.1", "unit": "C"}, "5.1 °C: over 5 °C."),
        ("walk-in", {"temperature": "44", "unit": "F"}, "Check the food in it within 30 minutes"),
        ("pass", {"temperature": "135", "unit": "F"}, "135 °F: at or above 135 °F."),
        ("pass", {"temperature": "134", "unit": "F"}, "134 °F: under 135 °F."),
        ("pass", {"temperature": "134", "unit": "F"}, "Check a tray in it within 30 minutes"),
    ],
)
def test_a_reading_says_what_it_means_and_is_saved(
    cook: Browser, database: Database, unit: str, typed: dict[str, str], says: str
) -> None:
    page = read(cook, unit, **typed)
    assert says in page.words
    assert page.send().path == "/units"
    assert [entry.unit_code for entry in assessed(database).entries] == [unit]


def test_warm_food_leads_to_its_corrective_action(cook: Browser) -> None:
    page = read(cook, of="food", **{**COLD, "temperature": "46"})
    assert "Food at 46 °F" in page.words
    assert page.send().asks_about("cold.temperature")


def test_hot_food_is_read_in_its_tray_and_not_as_its_unit(cook: Browser) -> None:
    assert 'value="food"' in cook.get("/units/walk-in/check").html
    assert 'value="food"' not in cook.get("/units/pass/check").html


def test_a_second_check_makes_the_day_whole(cook: Browser, database: Database) -> None:
    keep(database, cast.draft("unit_check", at="06:40"))
    page = read(cook, temperature="39", unit="F").send()
    assert "2 of 2 checks today" in page.words


@pytest.mark.parametrize("typed", [{"temperature": "warm", "unit": "F"}, {"temperature": ""}, {"of": "door"}])
def test_what_is_no_reading_of_a_unit_is_refused(cook: Browser, database: Database, typed: dict[str, str]) -> None:
    assert read(cook, **{"temperature": "38", "unit": "F", **typed}).status == 422
    assert assessed(database).entries == ()


@pytest.mark.parametrize("unit", ["cellar", "east", "blue"])
def test_what_is_no_unit_is_not_there(cook: Browser, unit: str) -> None:
    assert cook.get(f"/units/{unit}/check").status == 404


def test_a_cold_delivery_is_received(cook: Browser, database: Database) -> None:
    page = receive(cook, use_by="2026-04-18", **COLD)
    assert "38 °F: at or under 41 °F." in page.words
    assert "Lot 0414-2: accepted" in page.send().words
    (delivery,) = assessed(database).receiving
    assert (delivery.verdict, delivery.birds) == ("met", 40)


def test_a_warm_delivery_is_told_before_it_is_taken(cook: Browser) -> None:
    # FDA Food Code 2022, 3-202.11(A): 41 °F (5 °C) or below when received.
    page = receive(cook, **{**COLD, "temperature": "41.1"})
    assert "41.1 °F: over 41 °F. Do not accept it." in page.words
    assert page.send().asks_about("receive.temperature")


def test_a_warm_delivery_that_goes_back_is_no_deviation(cook: Browser, database: Database) -> None:
    page = receive(cook, **{**COLD, "temperature": "50"}, decision="rejected", reason="warm")
    assert "Rejected: it goes back" in page.words
    page.send()
    assert assessed(database).receiving[0].verdict == "met"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"state": "frozen"}, "Frozen: no temperature is asked for."),
        ({"state": "chilled"}, "Without a temperature nothing shows that it came cold."),
    ],
)
def test_a_delivery_without_a_number_says_what_that_means(cook: Browser, typed: dict[str, str], says: str) -> None:
    assert says in receive(cook, **typed).words


def test_product_and_supplier_are_filled_in_from_the_last_delivery(cook: Browser) -> None:
    receive(cook, **COLD).send()
    fields = dict(cook.get("/deliveries/new").form().fields)
    assert (fields["product"], fields["supplier"], fields["lot"]) == ("whole chicken", "Prairie Poultry", "")


def test_the_first_delivery_of_a_day_is_filled_in_from_an_earlier_day(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    keep(database, cast.draft("receiving", at="06:30", supplier="Prairie Poultry"))
    later = cast.moment("06:30", day=date(2026, 4, 20))
    set_clock(later)
    fields = dict(cook.sign_in("cook").get("/deliveries/new").form().fields)
    assert (fields["product"], fields["supplier"], fields["lot"]) == ("whole chicken", "Prairie Poultry", "")


@pytest.mark.parametrize(
    ("of", "at", "verdict"),
    [("air", "11:45", "pending"), ("air", "11:00", "not recorded"), ("food", "11:45", "not met")],
)
def test_warm_air_alone_says_nothing_of_the_food(
    cook: Browser, database: Database, of: str, at: str, verdict: str
) -> None:
    keep(database, cast.draft("unit_check", at=at, of=of, temperature="44"))
    assert f"{verdict} walk-in {of}" in cook.get("/units").words


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"lot": ""}, "Lot: this is needed."),
        ({"birds": "0"}, "Birds: from"),
        ({"birds": "many"}, "write it like this"),
        ({"decision": ""}, "this is needed"),
        ({"use_by": "soon"}, "write it like this"),
        ({"temperature": "38", "unit": "F", "probe": "pink"}, "Probe"),
    ],
)
def test_what_is_no_delivery_is_refused_at_its_field(
    cook: Browser, database: Database, typed: dict[str, str], says: str
) -> None:
    page = receive(cook, **{**COLD, **typed})
    assert page.status == 422
    assert says in page.words
    assert assessed(database).receiving == ()


def test_deliveries_of_the_day_before_are_a_tap_away(cook: Browser, database: Database, set_clock: SetClock) -> None:
    keep(database, cast.draft("receiving", at="06:30"))
    set_clock(cast.moment("12:00", day=date(2026, 4, 15)))
    page = cook.sign_in("cook").get("/deliveries")
    assert "Nothing was delivered on this day." in page.words
    assert "Lot 0412-7: accepted" in page.follow("The day before").words
