"""The plan: what is in force with its sources, its versions, and adopting a new one."""

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from flask import Flask

from app import ledger
from app.db import Database
from app.rules.plans import settings as plan_settings
from app.web.setup import plan_page
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, ordinary_day, pulled
from tests.support.plan_pages import adopt, change
from tests.support.terminal import Terminal


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password."""
    return browser.sign_in("pat")


def test_every_setting_stands_in_one_group() -> None:
    names = [name for group in plan_page.GROUPS.values() for name in group]
    assert sorted(names) == sorted(plan_settings.SETTINGS)


@pytest.mark.parametrize(
    "said",
    [
        "Chicken is pulled at 165 °F (74 °C) or above in the thickest part. Model code, FDA Food Code 2022",
        "FDA Food Code 2022, 3-401.11(A)(3)",
        "Hot chicken is held at 135 °F (57 °C) or above. Model code, FDA Food Code 2022, 3-501.16(A)(1)",
        "At least 2 birds of each spit are probed before a pull. House rule, birds probed: house",
        "Approved for this kitchen by Pat Porter",
        "A model code binds where a state or local authority adopted it",
    ],
)
def test_the_plan_shows_each_limit_with_its_source(pat: Browser, said: str) -> None:
    assert said in pat.get("/setup/plan").words


def test_what_the_site_tightened_is_shown_beside_the_code(pat: Browser) -> None:
    page = adopt(pat, hot_holding="140F/60C", authority="Cook County Department of Public Health")
    assert "Version 2 of the plan is in force from now on." in page.words
    assert "Hot chicken is held at 140 °F (60 °C) or above. house" in page.words
    assert "The code says 135 °F / 57 °C (model code, FDA Food Code 2022, 3-501.16(A)(1))." in page.words
    assert "Cook County Department of Public Health" in page.words


def test_an_earlier_version_can_be_read(pat: Browser) -> None:
    adopt(pat, hot_holding="140F/60C")
    words = pat.get("/setup/plan/1").words
    assert "Plan, version 1 no longer in force" in words
    assert "140 °F (60 °C)" not in words


def test_a_version_names_who_approved_it(database: Database, browser: Browser) -> None:
    adopt(browser.sign_in("sam"), check_interval_min="60")
    with database.reading() as session:
        newest = ledger.read_plans(session, "S1")[-1]
    assert (newest.version, newest.adopted_by, newest.settings) == (2, "sam", (("check_interval_min", "60"),))


@pytest.mark.parametrize(
    ("name", "typed", "field"),
    [
        ("cook_core", {"number": ""}, "number"),
        ("cook_core", {"number": "hot"}, "number"),
        ("cook_core", {"number": "165.123"}, "number"),
        ("cook_core", {"number": "9999"}, "number"),
        ("cook_core", {"number": "74", "unit": "F"}, "unit"),
        ("cold_holding", {"number": "41", "unit": "C"}, "unit"),
        ("cool_first", {"number": "21", "unit": "F"}, "unit"),
        ("hot_holding", {"number": "57", "unit": "F"}, "unit"),
        ("check_interval_min", {"number": "-5"}, "number"),
        ("check_interval_min", {"number": "1.5"}, "number"),
        ("check_interval_min", {"number": "1.33", "unit": "h"}, "number"),
        ("birds_checked_per_spit", {"line": "501"}, "line"),
        ("places_per_bird", {"ticked": []}, "ticked"),
        ("day_starts", {"line": "25:00"}, "line"),
        ("day_starts", {"line": "four"}, "line"),
        ("probe_tolerance_c", {"line": "NaN"}, "line"),
        ("time_control_procedure", {"line": "x" * 201}, "line"),
        ("start_checks", {"own": "x" * 101}, "own"),
    ],
)
def test_what_cannot_be_is_refused_where_it_is_typed(
    pat: Browser, name: str, typed: dict[str, str | list[str]], field: str
) -> None:
    page = pat.get(f"/setup/plan/change/{name}").send(f"/change/{name}", **typed)
    assert page.status == 422
    assert f'id="{field}-errors"' in page.html or f'id="{field}" tabindex' in page.html
    assert all(text in page.html for text in typed.values() if isinstance(text, str))


@pytest.mark.parametrize("unit", ["F", "C"])
def test_a_limit_in_the_wrong_unit_is_asked_about(pat: Browser, unit: str) -> None:
    number = {"F": "74", "C": "165"}[unit]
    page = pat.get("/setup/plan/change/cook_core").send("/change/cook_core", number=number, unit=unit)
    assert f"{number} °{unit} is far from 165 °F / 74 °C. Is the scale right?" in page.words


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ({"number": "140", "unit": "F"}, "140 °F (60 °C)"),
        ({"number": "60", "unit": "C"}, "140 °F (60 °C)"),
        ({"number": "150", "unit": "F"}, "150 °F (65.6 °C)"),
        ({"number": "135", "unit": "F"}, "135 °F (57 °C)"),
        ({"number": "57,5", "unit": "C"}, "135.5 °F (57.5 °C)"),
    ],
    ids=["exact", "typed in °C", "rounded to the stricter side", "as the code prints it", "a decimal comma"],
)
def test_a_number_and_a_unit_make_a_limit_in_both(pat: Browser, typed: dict[str, str], expected: str) -> None:
    page = pat.get("/setup/plan/change/hot_holding").send("/change/hot_holding", **typed)
    assert f"Hot chicken is held at {expected} or above." in page.words


@pytest.mark.parametrize(
    ("number", "said"),
    [
        ("140", "Stricter than the code."),
        ("130", "Looser than the code."),
        ("135", "The same as the code."),
    ],
)
def test_it_is_told_at_once_whether_a_limit_is_stricter_looser_or_the_same(
    pat: Browser, number: str, said: str
) -> None:
    told = pat.get(f"/setup/plan/change/hot_holding?number={number}&unit=F", **{"X-Fragment": "told"})
    assert said in told.words
    assert ("This needs a variance" in told.words) == (number == "130")
    assert "The code says 135 °F / 57 °C (model code, FDA Food Code 2022, 3-501.16(A)(1))." in told.words


def test_nothing_is_in_force_until_the_next_version_is_adopted(pat: Browser, database: Database) -> None:
    page = change(pat, "hot_holding", "140F/60C")
    assert "It is in the next version. Adopt that version to bring it into force." in page.words
    assert "Hot chicken is held at 140 °F (60 °C) or above. stricter than the code" in page.words
    with database.reading() as session:
        assert len(ledger.read_plans(session, "S1")) == 1
    assert "A next version is being prepared." in pat.get("/setup/plan").words


def test_the_next_version_says_who_changed_it_last_and_when(
    browser: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    assert "Last changed by" not in browser.sign_in("sam").get("/setup/plan/new").words
    change(browser, "hot_holding", "140F/60C")
    set_clock("12:20")
    change(browser.sign_in("pat"), "check_interval_min", "60")
    assert (
        "Last changed by Pat Porter, Tue 14 April 2026, 12:20 CDT."
        in browser.sign_in("sam").get("/setup/plan/new").words
    )


def test_a_change_is_taken_out_again(pat: Browser) -> None:
    change(pat, "hot_holding", "140F/60C")
    page = pat.get("/setup/plan/new").send("/draft/forget")
    assert "Nothing yet." in page.words


def test_a_limit_goes_back_to_what_the_code_says(pat: Browser) -> None:
    adopt(pat, hot_holding="140F/60C")
    form = pat.get("/setup/plan/change/hot_holding").form("/change/hot_holding")
    pat.send("/setup/plan/change/hot_holding", {**form.with_typed({}), "reset": ["1"]})
    words = pat.get("/setup/plan/new").send("/setup/plan", password=cast.PASSWORD).words
    assert "Hot chicken is held at 135 °F (57 °C) or above. Model code" in words


def test_a_variance_is_named_with_the_authority_that_gave_it(pat: Browser) -> None:
    change(pat, "hot_holding", "130F/54C", variance="V-9", variance_by="Cook County")
    assert dict(pat.get("/setup/plan/new").form("/setup/plan").fields)["variance"] == "V-9, Cook County"


def test_checks_of_the_kitchens_own_stand_in_its_words(
    pat: Browser, browser: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    adopt(pat, start_checks="water,lid")
    assert "Before an oven is started: Water pan filled; Lid of the fryer closed." in pat.get("/setup/plan").words
    set_clock(cast.moment("12:00") + timedelta(days=1))  # a day begins with the plan of its start
    assert "Lid of the fryer closed" in browser.sign_in("cook").get("/loads/new").words


def test_what_it_would_have_changed_is_told_before_it_is_adopted(pat: Browser, database: Database) -> None:
    keep(database, *ordinary_day()[:-1], at="12:00")
    change(pat, "hot_holding", "160F/71.2C")
    effect = pat.get("/setup/plan/effect").words
    assert "Hot-holding temperature 1 new" in effect
    assert "28 of 28 days counted." in effect


HELD = [cast.draft("hold_reading", at="11:50"), cast.draft("time_control_started", at="11:55")]


def test_a_procedure_that_trays_rely_on_is_not_dropped(pat: Browser, database: Database) -> None:
    adopt(pat, time_control_procedure="TC-1")
    keep(database, *pulled(), *HELD)
    page = change(pat, "time_control_procedure", "")
    assert page.status == 422
    assert "Held by time alone right now: A-T1. Empty them first, or keep the procedure." in page.words
    assert 'id="line-errors"' in page.html


def test_the_terminal_refuses_it_with_the_same_sentence(
    pat: Browser, app: Flask, database: Database, tmp_path: Path
) -> None:
    adopt(pat, time_control_procedure="TC-1")
    keep(database, *pulled(), *HELD)
    terminal = Terminal(app, tmp_path)
    line = ("plan", "S1", "--login", "pat", "--password-file", terminal.password)
    said = terminal.fail(*line, "--set", "time_control_procedure=")
    assert said.endswith("Held by time alone right now: A-T1. Empty them first, or keep the procedure.")
    terminal.run(*line, "--set", "hot_holding=140F/60C")
    with database.reading() as session:
        assert [plan.version for plan in ledger.read_plans(session, "S1")] == [1, 2, 3]


def test_another_code_that_drops_the_procedure_is_refused(pat: Browser, database: Database) -> None:
    adopt(pat, time_control_procedure="TC-1")
    keep(database, *pulled(), *HELD)
    pat.get("/setup/plan/new").send("/setup/plan/draft/code", code="england_2013")
    page = pat.get("/setup/plan/new").send("/setup/plan", password=cast.PASSWORD)
    assert page.status == 422
    assert "Held by time alone right now: A-T1." in page.words


def test_a_procedure_that_no_tray_relies_on_may_go(pat: Browser, database: Database) -> None:
    adopt(pat, time_control_procedure="TC-1")
    keep(database, *pulled())
    assert "No written procedure for time as the control is named." in adopt(pat, time_control_procedure="").words


@pytest.mark.parametrize("field", ["variance", "authority"])
def test_a_line_that_is_too_long_is_refused_at_its_field(pat: Browser, field: str) -> None:
    page = adopt(pat, **{field: "x" * 201})
    assert page.status == 422
    assert f'id="{field}-errors"' in page.html


def test_a_plan_is_adopted_with_the_password_only(database: Database, pat: Browser) -> None:
    page = adopt(pat, hot_holding="140F/60C", password="wrong")
    assert page.status == 422
    assert "This is not your password." in page.words
    assert "Hot chicken is held at 140 °F (60 °C) or above." in page.words
    with database.reading() as session:
        assert len(ledger.read_plans(session, "S1")) == 1


@pytest.mark.parametrize("code", ["no_such_code", "house", "../us_food_code_2022", ""])
def test_a_code_that_there_is_not_is_not_there(pat: Browser, code: str) -> None:
    assert pat.get("/setup/plan/new").send("/draft/code", code=code).status == 404


@pytest.mark.parametrize("number", ["0", "2", "99999999999999999999", "one"])
def test_a_version_that_there_is_not_is_not_there(pat: Browser, number: str) -> None:
    assert pat.get(f"/setup/plan/{number}").status == 404


def test_a_past_day_stays_judged_by_the_plan_of_its_day(pat: Browser, database: Database) -> None:
    adopt(pat, hot_holding="140F/60C")
    with database.reading() as session:
        past = ledger.assess_day(session, "S1", cast.DAY.replace(day=13), as_of=cast.moment("12:00"))
    assert past.plan.version == 1
