"""Probes: a check says what it shows before it is saved; after a failed one readings are to be reviewed."""

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import assessed, keep, ordinary_day


def check(browser: Browser, method: str = "ice_point", /, probe: str = "blue", **typed: str) -> Page:
    """Fill in a check of a probe; what it means is then on the page."""
    return browser.get(f"/probes/{probe}/check?method={method}").send(**typed)


def doubtful_day(database: Database) -> None:
    """A tray pulled at readings of 166 and 171.2 °F, held at 150 °F: the lower one is good by 1 °F only."""
    keep(database, *ordinary_day()[:-1])


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        # Ice point 32 °F / 0 °C; within ±1 °C on a dual-scale display (FDA Food Code 2022, 4-203.11(B)).
        ({"temperature": "33.8", "unit": "F"}, "error 1.8 °F, within ±1 °C (1.8 °F). It passes."),
        ({"temperature": "33.9", "unit": "F"}, "error 1.9 °F, more than ±1 °C (1.8 °F). It fails."),
        ({"temperature": "-1", "unit": "C"}, "−1 °C where 0 °C is expected: error −1 °C, within ±1 °C. It passes."),
        ({"temperature": "-1.1", "unit": "C"}, "error −1.1 °C, more than ±1 °C. It fails."),
    ],
)
def test_an_ice_point_says_what_it_shows_and_is_saved(
    cook: Browser, database: Database, typed: dict[str, str], says: str
) -> None:
    page = check(cook, **typed)
    assert says in page.words
    page.send()
    assert len(assessed(database).probes[0].checks) == 1


@pytest.mark.parametrize(
    ("reads", "says"), [("34", "within ±2 °F. It passes."), ("34.1", "more than ±2 °F. It fails.")]
)
def test_a_probe_that_has_only_fahrenheit_is_held_to_two_degrees(cook: Browser, reads: str, says: str) -> None:
    # FDA Food Code 2022, 4-203.11(B): ±2 °F for devices scaled only in Fahrenheit.
    assert says in check(cook, probe="white", temperature=reads).words


def test_a_boiling_point_goes_by_the_pressure(cook: Browser) -> None:
    # IAPWS R7-97(2012): water boils at 94.6 °C at 834.6 hPa, which is about 1,600 m of the ICAO standard atmosphere.
    page = check(cook, "boiling_point", temperature="94.6", unit="C", pressure_hpa="834.6")
    assert "94.6 °C where 94.6" in page.words
    assert "It passes." in page.words


def test_a_pressure_reduced_to_sea_level_is_warned_of_and_kept(cook: Browser, database: Database) -> None:
    page = check(cook, "boiling_point", temperature="93.3", unit="C", pressure_hpa="1013", altitude_m="2000")
    assert "looks like a weather report's, reduced to sea level" in page.words
    assert page.status == 200
    page.send()
    assert len(assessed(database).probes[0].checks) == 1


def test_the_days_page_says_of_a_reduced_pressure_that_its_reference_may_be_wrong(
    browser: Browser, database: Database
) -> None:
    high = {"temperature": "93.3", "unit": "C", "altitude_m": "2000", "method": "boiling_point"}
    keep(
        database,
        *(cast.draft("probe_check", at=at, pressure_hpa=p, **high) for at, p in (("10:00", "795"), ("11:00", "1013"))),
    )
    words = browser.sign_in("pat").get(f"/day/{cast.DAY}").words
    assert "1013 hPa looks like a weather report's" in words
    assert "795 hPa looks like" not in words


def test_a_boiling_point_asks_for_a_pressure_or_a_height(cook: Browser, database: Database) -> None:
    page = check(cook, "boiling_point", temperature="212", unit="F")
    assert page.status == 422
    assert "Give the air pressure or the altitude" in page.words
    assert assessed(database).probes == ()


def test_a_comparison_goes_by_the_other_thermometer(cook: Browser) -> None:
    page = check(cook, "comparison", temperature="140.5", unit="F", reference_temperature="140")
    assert "140.5 °F where 140 °F is expected: error 0.5 °F" in page.words


def test_a_display_that_shows_nothing_fails(cook: Browser, database: Database) -> None:
    page = check(cook, no_display="y")
    assert "A display that shows nothing fails the check." in page.words
    after = page.send()
    assert "its display showed nothing" in after.words
    assert after.follow("Record corrective action").path.startswith("/findings/act?finding=probe.accuracy")
    assert assessed(database).probes[0].verdict == "not_met"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"temperature": ""}, "Type the temperature that the display shows."),
        ({"temperature": "cold", "unit": "F"}, "write it like this"),
        ({"temperature": "900", "unit": "F"}, "from"),
    ],
)
def test_what_is_no_reading_is_refused_at_its_field(
    cook: Browser, database: Database, typed: dict[str, str], says: str
) -> None:
    page = check(cook, **typed)
    assert page.status == 422
    assert says in page.words
    assert assessed(database).probes == ()


@pytest.mark.parametrize("path", ["/probes/pink/check", "/probes/east/check", "/probes/blue/check?method=guess"])
def test_what_is_no_probe_or_method_is_not_there(cook: Browser, path: str) -> None:
    assert cook.get(path).status == 404


def test_a_failed_check_says_beforehand_what_it_will_touch(cook: Browser, database: Database) -> None:
    doubtful_day(database)
    page = check(cook, temperature="35", unit="F")
    assert "Its readings since the last good check are then to be reviewed: spit 1 of load L1" in page.words


def test_readings_to_review_name_the_food_and_what_is_still_here(cook: Browser, database: Database) -> None:
    doubtful_day(database)
    check(cook, temperature="35", unit="F").send()
    page = cook.get("/probes")
    assert "Probe blue failed its check at 12:00" in page.words
    assert "166 °F 10:32 (163 °F without the error)" in page.words
    assert "Still here: tray T1 (5 birds)" in page.words


def test_what_went_out_is_said_to_be_gone(cook: Browser, database: Database) -> None:
    keep(database, *ordinary_day())
    check(cook, temperature="35", unit="F").send()
    assert "Nothing of it is here any more." in cook.get("/probes").words


def test_one_corrective_action_answers_the_group(cook: Browser, database: Database) -> None:
    doubtful_day(database)
    keep(database, cast.draft("hold_reading", at="11:30", temperature="137"))
    check(cook, temperature="40", unit="F").send()
    reviews = [one for one in assessed(database).findings if one.rule == "probe.review"]
    page = cook.get("/probes").follow("Record corrective action about all of them")
    said = {"cause": "dropped", "action": "probed again", "prevention": "hook at the oven"}
    said["disposition"] = "hold_for_evaluation"
    after = page.send(**said)
    assert after.path == "/", after.words
    answered = [one for one in assessed(database).findings if one.rule == "probe.review"]
    assert len(answered) == len(reviews)
    assert {one.status for one in answered} == {"acted"}


def test_the_list_says_which_check_is_due(cook: Browser, database: Database) -> None:
    keep(database, cast.draft("probe_check", at="06:10"))
    page = cook.get("/probes")
    assert "blue ice point · 06:10 · error 0.4 °F" in page.words
    assert "white never checked here due" in page.words


def test_the_findings_put_the_readings_to_review_on_one_line(cook: Browser, database: Database) -> None:
    doubtful_day(database)
    keep(database, cast.draft("hold_reading", at="11:30", temperature="137"))
    check(cook, temperature="40", unit="F").send()
    page = cook.get("/").follow("answers owed")
    assert "Readings of probe blue to review spit 1 of load L1" in page.words
    assert page.follow("Review").path == "/probes"
