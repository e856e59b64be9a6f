"""A target of the house and a table of times on the plan's pages: what each asks for, and the limit that it gives."""

import pytest

from tests.support import cast
from tests.support.browsing import Browser
from tests.support.plan_pages import adopt


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password."""
    return browser.sign_in("pat")


def test_a_target_above_the_limit_is_adopted_under_its_own_name(pat: Browser) -> None:
    words = adopt(pat, cook_target="180F/82C").words
    assert "The house cooks to 180 °F (82.3 °C) for texture. The limit stays as it is." in words
    assert "Chicken is pulled at 165 °F (74 °C) or above in the thickest part. Model code" in words


def test_a_target_under_the_limit_is_refused_at_its_field(pat: Browser) -> None:
    page = adopt(pat, cook_target="160F/71C")
    assert page.status == 422
    assert "160F/71.2C is under the limit, 165 °F / 74 °C." in page.words


def test_a_table_is_refused_without_a_variance_and_without_its_humidity(pat: Browser) -> None:
    page = adopt(pat, cook_table="chicken 150F 12%", cook_humidity="humid_part")
    assert "name the variance that allows this" in page.words
    page = adopt(pat, cook_table="chicken 150F 12%", variance="V-17")
    assert page.status == 422
    assert "Say how the humidity that the table asks for is met." in page.words


def test_a_table_with_a_variance_gives_the_limit_and_its_source(pat: Browser) -> None:
    typed = {"cook_table": "chicken 150F 12%", "cook_humidity": "humid_part", "variance": "V-17"}
    words = adopt(pat, **typed).words
    assert "chicken, 150 °F, 12 % fat" in words
    assert "Chicken is pulled at 152 °F (66.6 °C) or above in the thickest part. house" in words
    assert "The code says 165 °F / 74 °C (model code, FDA Food Code 2022, 3-401.11(A)(3))." in words


PAIR = {"cook_table": "chicken 150F 12%", "cook_humidity": "humid_part", "variance": "V-17"}


def test_a_limit_that_a_table_gave_goes_with_the_table(pat: Browser) -> None:
    """The variance still stands in the form; without the table the limit is the code's, not a bare 152 °F."""
    adopt(pat, **PAIR)
    words = adopt(pat, cook_table="", cook_humidity="").words
    assert "Chicken is pulled at 165 °F (74 °C)" in words
    assert "152" not in words


def test_another_row_of_the_table_gives_its_own_limit(pat: Browser) -> None:
    adopt(pat, **PAIR)
    assert "157 °F (69.3 °C)" in adopt(pat, **{**PAIR, "cook_table": "chicken 155F 12%"}).words


def test_a_stricter_limit_beside_a_table_is_kept(pat: Browser) -> None:
    adopt(pat, **PAIR)
    assert "Chicken is pulled at 165 °F (74 °C)" in adopt(pat, cook_core="165F/74C", variance="V-17").words
    assert "Chicken is pulled at 165 °F (74 °C)" in adopt(pat, check_interval_min="60").words


def test_what_was_looser_is_refused_when_the_variance_goes(pat: Browser) -> None:
    adopt(pat, **PAIR)
    page = adopt(pat, variance="")
    assert page.status == 422
    assert "name the variance that allows this" in page.words


def test_another_code_begins_without_the_table(pat: Browser) -> None:
    adopt(pat, **PAIR)
    page = pat.get("/setup/plan/new").send("/draft/code", code="us_food_code_2013")
    assert "Another code: FDA Food Code 2013" in page.words
    page = page.send("/setup/plan", password=cast.PASSWORD, variance="")
    assert "Chicken is pulled at 165 °F (74 °C)" in page.words
    assert "It is held at that temperature for 15 s." in page.words
