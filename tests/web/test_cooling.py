"""A chilled batch on the pages: its clock, both marks with their forecast, readings, and every way out."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import assessed, chilled, keep, ordinary_day, pulled

SetClock = Callable[[datetime | str], None]
READING = {"probe": "blue", "unit": "F"}


def read(browser: Browser, temperature: str, /, **typed: str) -> Page:
    """Check batch A-B1; what the number means is then on the page."""
    return browser.get("/batches/A-B1/reading").send(temperature=temperature, **{**READING, **typed})


def test_a_batch_shows_its_clock_and_what_is_due_by_when(cook: Browser, database: Database) -> None:
    # FDA Food Code 2022, 3-501.14(A): to 70 °F within 2 h and to 41 °F within 6 h in total; last known hot at 11:15.
    keep(database, *chilled())
    page = cook.get("/batches/A-B1")
    assert "The clock started 11:15" in page.words
    assert "First stage down to 70 °F / 21 °C · No forecast: nothing was read yet. 13:15 at the latest" in page.words
    assert "Second stage down to 41 °F / 5 °C · No forecast: nothing was read yet. 17:15 at the latest" in page.words


def test_who_chills_a_tray_is_told_by_when_it_has_to_be_cold(cook: Browser, database: Database) -> None:
    # FDA Food Code 2022, 3-501.14(A): to 70 °F within 2 h; the tray was last known hot at 11:15.
    keep(database, *ordinary_day()[:-1])
    page = cook.get("/trays/A-T1/out/chilled")
    said = "Down to 70 °F / 21 °C by 13:15. The clock runs since 11:15, when it was last known hot."
    assert said in page.words
    assert "Down to" not in cook.get("/trays/A-T1/out/served").words
    keep(database, cast.draft("tray_out", at="12:00", to="chilled", birds="5", batch="A-B1"))
    assert "13:15 at the latest" in cook.get("/batches/A-B1").words


def test_who_chills_a_tray_too_late_is_told_so_before_and_led_to_check_it(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    keep(database, *pulled())
    set_clock("12:31")
    page = cook.get("/trays/A-T1/out/chilled")
    assert "It had to be down to 70 °F / 21 °C by 12:31. That time is over." in page.words
    assert "Check the temperature first" in page.words


def test_a_forecast_says_about_with_a_range(cook: Browser, database: Database, set_clock: SetClock) -> None:
    keep(database, *chilled(("11:45", "130"), ("12:05", "100"), ("12:25", "80")), at="12:30")
    set_clock("12:30")
    page = cook.get("/batches/A-B1")
    assert "about 12:" in page.words
    assert ", between 12:" in page.words
    assert "likely" not in page.words


def test_a_batch_that_will_likely_miss_is_told_in_time_to_act(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    keep(database, *chilled(("11:45", "134"), ("12:10", "126"), ("12:35", "118"), ("12:50", "114")), at="12:50")
    set_clock("12:50")
    page = cook.get("/batches/A-B1")
    assert "First stage: it will likely not be down to 70 °F / 21 °C in time." in page.words
    assert "A forecast is never a verdict" in page.words
    # FDA Food Code 2022, 3-501.15(A): the methods that facilitate rapid cooling.
    assert "shallow pans" in page.words
    assert "bath of ice and water" in page.words
    assert "Batch B1, cooling" not in page.words


def test_a_batch_in_a_warm_unit_is_told_that_it_will_never_get_there(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    readings = chilled(("11:45", "130"), ("12:05", "98"), ("12:25", "78"), ("12:45", "66"))
    keep(database, cast.draft("unit_check", at="11:30", temperature="48"), *readings, at="12:50")
    set_clock("12:50")
    page = cook.get("/batches/A-B1")
    assert "Second stage: it will likely not be down to 41 °F / 5 °C in time." in page.words
    assert "The air of walk-in was last at 48 °F" in page.words
    assert "Cool it faster" in cook.get("/").words


@pytest.mark.parametrize(
    ("temperature", "says"),
    [
        ("70", "70 °F: at or under 70 °F, not yet 41 °F."),
        ("70.1", "70.1 °F: still over 70 °F."),
        ("41", "41 °F: at or under 41 °F."),
    ],
)
def test_a_reading_says_what_it_means_and_is_saved(
    cook: Browser, database: Database, temperature: str, says: str
) -> None:
    keep(database, *chilled())
    page = read(cook, temperature)
    assert says in page.words
    page.send()
    assert str(assessed(database).batches[0].history[-1].reading.value) == temperature


def test_a_reading_over_the_mark_when_it_is_due_leads_to_its_corrective_action(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    keep(database, *chilled())
    set_clock("13:15")
    cook.sign_in("cook")
    page = read(cook, "71")
    assert "First stage: not met" in page.words
    assert page.send().asks_about("cool.first_stage")


def test_the_list_puts_what_still_cools_first(cook: Browser, database: Database) -> None:
    keep(database, *chilled(("12:00", "100")))
    page = cook.get("/batches")
    assert "Batch B1 2 birds · walk-in · 100 °F" in page.words
    assert "13:15 down to 70 °F / 21 °C by then" in page.words


def test_the_list_says_what_is_set_aside(cook: Browser, database: Database, set_clock: SetClock) -> None:
    keep(database, *chilled(("12:00", "100")))
    assert "Set aside: do not serve" not in cook.get("/batches").words
    set_clock("13:20")
    page = cook.sign_in("cook").get("/batches")
    assert "Batch B1 Set aside: do not serve" in page.words
    assert page.follow("Open").path == "/batches/A-B1"


def test_a_batch_moves(cook: Browser, database: Database) -> None:
    keep(database, *chilled())
    page = cook.get("/batches/A-B1/move").send(cold_unit="blast")
    assert "Batch B1 is in blast now." in page.words
    assert assessed(database).batches[0].cold_unit == "blast"


@pytest.mark.parametrize("to", ["served_cold", "reheated_to_order", "prepared", "donated", "discarded"])
def test_birds_go_out_of_a_batch(cook: Browser, database: Database, to: str) -> None:
    keep(database, *chilled())
    page = cook.get("/batches/A-B1/out").send(to=to, birds="1½")
    assert page.path == "/", page.words
    assert str(assessed(database).batches[0].birds_left) == "0.5"


def test_what_is_prepared_of_a_batch_may_be_kept_cold(cook: Browser, database: Database) -> None:
    keep(database, *chilled())
    page = cook.get("/batches/A-B1/out").send(to="prepared", birds="1", kept="cold", product="salad", into="A-B7")
    assert page.path == "/", page.words
    assert {one.batch: one.product for one in assessed(database).batches} == {"A-B1": None, "A-B7": "salad"}


def test_a_batch_past_its_date_warns_before_anything_goes_out(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    # FDA Food Code 2022, 3-501.17 and 3-501.18: 7 days, the day of preparation being day 1: 14 April to 20 April.
    keep(database, *chilled(("12:00", "40")))
    set_clock(cast.moment("10:00", day=cast.DAY.replace(day=21)))
    cook.sign_in("cook")
    assert "Its last day was Mon 20 April 2026." in cook.get("/batches/A-B1/out").words
    assert "Batch A-B1 not met" in cook.get("/batches/A-B1").words
    set_clock(cast.moment("10:00", day=cast.DAY.replace(day=23)))
    page = cook.sign_in("cook").get("/batches/A-B1")
    why = "Birds of this batch were still there, or were used, after Mon 20 April 2026."
    assert f"Batch A-B1 not met Set aside: do not serve {why}" in page.words
    assert dict(page.follow("Throw away").form().fields)["to"] == "discarded"


def test_a_batch_served_before_its_marks_is_not_called_met(cook: Browser, database: Database) -> None:
    keep(database, *chilled(), cast.draft("batch_out", at="11:50", birds="2"))
    page = cook.get("/batches/A-B1")
    assert "Batch A-B1 Birds left 0 of 2" in page.words
    assert "Batch B1 0 birds · walk-in nothing left" in cook.get("/batches").words


@pytest.mark.parametrize(
    ("page", "typed", "says"),
    [
        ("out", {"birds": "3", "to": "prepared"}, "Only 2 left here."),
        ("out", {"birds": "1"}, "this is needed"),
        ("out", {"birds": "1", "to": "eaten"}, "choose one of"),
        ("move", {}, "this is needed"),
        ("reheat", {"birds": "0"}, "Birds: from"),
        ("reheat", {"reheat": "no spaces"}, "letters, digits"),
        ("reading", {"temperature": "cool", **READING}, "write it like this"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    cook: Browser, database: Database, page: str, typed: dict[str, str], says: str
) -> None:
    keep(database, *chilled())
    answer = cook.get(f"/batches/A-B1/{page}").send(**typed)
    assert answer.status == 422
    assert says in answer.words
    assert len(assessed(database).batches[0].history) == 1


@pytest.mark.parametrize("page", ["", "/reading", "/move", "/out", "/reheat"])
def test_a_batch_that_is_not_there_is_said_to_be_so(cook: Browser, page: str) -> None:
    assert cook.get(f"/batches/A-B9{page}").status == 404
