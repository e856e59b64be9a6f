"""The plan: what is in force with its sources, its versions, and adopting a new one."""

import pytest

from app import ledger
from app.db import Database
from app.rules.plans import settings as plan_settings
from app.web.setup import plan_page
from tests.support import cast
from tests.support.browsing import Browser, Page


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password."""
    return browser.sign_in("pat")


def adopt(pat: Browser, **typed: str) -> Page:
    """Adopt a new version, as the present one but for what is given."""
    return pat.get("/setup/plan/new").send("/setup/plan", **{"password": cast.PASSWORD, **typed})


def test_every_setting_stands_in_one_group() -> None:
    names = [name for group in plan_page.GROUPS.values() for name in group]
    assert sorted(names) == sorted(plan_settings.SETTINGS)


@pytest.mark.parametrize(
    "said",
    [
        "165 °F / 74 °C model code FDA Food Code 2022, 3-401.11(A)(3)",
        "Hot holding, at least 135 °F / 57 °C model code FDA Food Code 2022, 3-501.16(A)(1)",
        "Birds probed per spit 2 house rule",
        "Approved for this kitchen by Pat Porter",
        "A model code binds where a state or local authority adopted it",
    ],
)
def test_the_plan_shows_each_limit_with_its_source(pat: Browser, said: str) -> None:
    assert said in pat.get("/setup/plan").words


def test_what_the_site_tightened_is_shown_beside_the_code(pat: Browser) -> None:
    page = adopt(pat, hot_holding="140F/60C", authority="Cook County Department of Public Health")
    assert "Version 2 of the plan is in force from now on." in page.words
    assert "140 °F / 60 °C" in page.words
    assert "set by this kitchen the code says 135 °F / 57 °C" in page.words
    assert "Cook County Department of Public Health" in page.words


def test_an_earlier_version_can_be_read(pat: Browser) -> None:
    adopt(pat, hot_holding="140F/60C")
    words = pat.get("/setup/plan/1").words
    assert "Plan, version 1 no longer in force" in words
    assert "140 °F / 60 °C" not in words


def test_a_version_names_who_approved_it(database: Database, browser: Browser) -> None:
    adopt(browser.sign_in("sam"), check_interval_min="60")
    with database.reading() as session:
        newest = ledger.read_plans(session, "S1")[-1]
    assert (newest.version, newest.adopted_by, newest.settings) == (2, "sam", (("check_interval_min", "60"),))


def test_what_is_looser_is_refused_at_its_field(pat: Browser) -> None:
    page = adopt(pat, hot_holding="130F/54C", cook_core="160F/71C", grace_min="10")
    assert page.status == 422
    assert "130F/54C is looser than FDA Food Code 2022, 3-501.16(A)(1) allows." in page.words
    assert "160F/71C is looser than FDA Food Code 2022, 3-401.11(A)(3) allows." in page.words
    assert 'value="10"' in page.html  # what was typed elsewhere is still there


def test_what_is_looser_needs_a_variance_with_a_name(pat: Browser) -> None:
    page = adopt(pat, hot_holding="130F/54C", variance="Variance 2026-17, county")
    assert "Version 2 of the plan is in force from now on." in page.words
    assert "Variance 2026-17, county" in page.words


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("cook_core", "165"),
        ("cook_core", "165F/165C"),
        ("cook_core", ""),
        ("cook_core", "hot"),
        ("check_interval_min", "-5"),
        ("check_interval_min", "1.5"),
        ("birds_checked_per_spit", "501"),
        ("places_per_bird", "wing"),
        ("places_per_bird", ""),
        ("day_starts", "25:00"),
        ("day_starts", "four"),
        ("controls", "cooking,magic"),
        ("probe_tolerance_c", "NaN"),
        ("time_control_procedure", "x" * 201),
    ],
)
def test_what_cannot_be_read_is_refused_at_its_field(pat: Browser, name: str, text: str) -> None:
    page = adopt(pat, **{name: text})
    assert page.status == 422
    assert f'id="{name}-errors"' in page.html
    assert text in page.html


@pytest.mark.parametrize("field", ["variance", "authority"])
def test_a_line_that_is_too_long_is_refused_at_its_field(pat: Browser, field: str) -> None:
    page = adopt(pat, **{field: "x" * 201})
    assert page.status == 422
    assert f'id="{field}-errors"' in page.html


def test_a_plan_is_adopted_with_the_password_only(database: Database, pat: Browser) -> None:
    page = adopt(pat, hot_holding="140F/60C", password="wrong")
    assert page.status == 422
    assert "Name and password do not belong together." in page.words
    assert "140F/60C" in page.html
    with database.reading() as session:
        assert len(ledger.read_plans(session, "S1")) == 1


@pytest.mark.parametrize("code", ["no_such_code", "house", "../us_food_code_2022", ""])
def test_a_code_that_there_is_not_is_not_there(pat: Browser, code: str) -> None:
    assert pat.get(f"/setup/plan/new?code={code}").status == 404
    assert pat.get("/setup/plan/new").send("/setup/plan", code=code, password=cast.PASSWORD).status == 404


@pytest.mark.parametrize("number", ["0", "2", "99999999999999999999", "one"])
def test_a_version_that_there_is_not_is_not_there(pat: Browser, number: str) -> None:
    assert pat.get(f"/setup/plan/{number}").status == 404


def test_a_past_day_stays_judged_by_the_plan_of_its_day(pat: Browser, database: Database) -> None:
    adopt(pat, hot_holding="140F/60C")
    with database.reading() as session:
        past = ledger.assess_day(session, "S1", cast.DAY.replace(day=13), as_of=cast.moment("12:00"))
    assert past.plan.version == 1


def test_a_target_above_the_limit_is_adopted_under_its_own_name(pat: Browser) -> None:
    words = adopt(pat, cook_target="180F/82C").words
    assert "House goal when pulled 180 °F / 82 °C" in words
    assert "Core temperature when pulled, at least 165 °F / 74 °C model code FDA Food Code 2022" in words


def test_a_target_under_the_limit_is_refused_at_its_field(pat: Browser) -> None:
    page = adopt(pat, cook_target="160F/71C")
    assert page.status == 422
    assert "160F/71C is under the limit, 165 °F / 74 °C." in page.words


def test_a_table_is_refused_without_a_variance_and_without_its_humidity(pat: Browser) -> None:
    assert "name the variance that allows this" in adopt(pat, cook_table="chicken 150F 12%").words
    page = adopt(pat, cook_table="chicken 150F 12%", variance="V-17")
    assert page.status == 422
    assert "How the humidity that this table asks for is met: this is needed." in page.words


def test_a_table_with_a_variance_gives_the_limit_and_its_source(pat: Browser) -> None:
    typed = {"cook_table": "chicken 150F 12%", "cook_humidity": "humid_part", "variance": "V-17"}
    words = adopt(pat, **typed).words
    assert "chicken, 150 °F, 12 % fat" in words
    assert "Core temperature when pulled, at least 152 °F / 66.6 °C" in words
    assert "set by this kitchen the code says 165 °F / 74 °C guidance USDA FSIS" in words
    assert "Table 3: 150 °F, 12 % fat" in words


PAIR = {"cook_table": "chicken 150F 12%", "cook_humidity": "humid_part", "variance": "V-17"}


def test_a_limit_that_a_table_gave_goes_with_the_table(pat: Browser) -> None:
    """The variance still stands in the form; without the table the limit is the code's, not a bare 152 °F."""
    adopt(pat, **PAIR)
    words = adopt(pat, cook_table="", cook_humidity="").words
    assert "Core temperature when pulled, at least 165 °F / 74 °C" in words
    assert "152" not in words


def test_another_row_of_the_table_gives_its_own_limit(pat: Browser) -> None:
    adopt(pat, **PAIR)
    assert "at least 157 °F / 69.3 °C" in adopt(pat, cook_table="chicken 155F 12%").words


def test_a_stricter_limit_beside_a_table_is_kept(pat: Browser) -> None:
    adopt(pat, **PAIR)
    assert "Core temperature when pulled, at least 165 °F / 74 °C" in adopt(pat, cook_core="165F/74C").words
    assert "Core temperature when pulled, at least 165 °F / 74 °C" in adopt(pat, check_interval_min="60").words


def test_what_was_looser_is_refused_when_the_variance_goes(pat: Browser) -> None:
    adopt(pat, **PAIR)
    page = adopt(pat, variance="")
    assert page.status == 422
    assert "name the variance that allows this" in page.words
    assert dict(page.form("/setup/plan").fields)["cook_table"] == "chicken 150F 12%"


def test_another_code_begins_without_the_table(pat: Browser) -> None:
    adopt(pat, **PAIR)
    page = pat.get("/setup/plan/new?code=us_food_code_2013").send("/setup/plan", password=cast.PASSWORD)
    assert "Core temperature when pulled, at least 165 °F / 74 °C" in page.words
