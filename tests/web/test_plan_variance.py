"""A limit looser than the code of law: its variance, by the name and the authority that gave it, is asked for there."""

import pytest

from tests.support.browsing import Browser
from tests.support.plan_pages import adopt, change

VARIANCE = '<fieldset class="field variance" data-variance{}>'


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password."""
    return browser.sign_in("pat")


def test_what_is_looser_is_refused_where_it_is_typed(pat: Browser) -> None:
    page = change(pat, "hot_holding", "130F/54C")
    assert page.status == 422
    assert "130 °F / 54.5 °C is looser than FDA Food Code 2022, 3-501.16(A)(1) allows." in page.words
    assert 'value="130"' in page.html  # what was typed is still there
    assert "Hot chicken is held at 130 °F (54.5 °C) or above. Looser than the code." in page.words


def test_a_variance_is_asked_for_where_what_is_typed_is_looser(pat: Browser) -> None:
    """Without a script, in the answer to what was sent: at its own field, and the temperature is no mistake."""
    assert VARIANCE.format(" hidden") in pat.get("/setup/plan/change/hot_holding").html
    page = change(pat, "hot_holding", "130F/54C")
    assert VARIANCE.format("") in page.html
    assert 'id="variance-errors"' in page.html
    assert 'id="number-errors"' not in page.html
    page = page.send("/change/hot_holding", variance="V-9", variance_by="Cook County")
    assert "It is in the next version." in page.words
    assert VARIANCE.format("") in pat.get("/setup/plan/change/hot_holding").html


@pytest.mark.parametrize(
    ("name", "by", "lacking"), [("V-9", "", "variance_by"), ("", "Cook County", "variance")], ids=["who", "which"]
)
def test_half_a_variance_is_asked_for_the_rest_where_it_lacks(pat: Browser, name: str, by: str, lacking: str) -> None:
    page = change(pat, "hot_holding", "130F/54C", variance=name, variance_by=by)
    assert page.status == 422
    assert f'id="{lacking}-errors"' in page.html
    assert VARIANCE.format("") in page.html
    assert f'value="{name or by}"' in page.html  # what was typed is still there
    whole = page.send("/change/hot_holding", variance="V-9", variance_by="Cook County")
    assert "It is in the next version." in whole.words


def test_a_house_rule_has_no_variance(pat: Browser) -> None:
    assert "data-variance" not in pat.get("/setup/plan/change/check_interval_min").html


def test_a_variance_typed_beside_what_is_not_looser_is_not_taken(pat: Browser) -> None:
    """It was typed for a value that was typed over again: its fields are not on the screen any more."""
    change(pat, "hot_holding", "140F/60C", variance="V-9", variance_by="Cook County")
    assert dict(pat.get("/setup/plan/new").form("/setup/plan").fields)["variance"] == ""


def test_a_variance_given_for_one_limit_is_proposed_for_another_and_not_taken_unseen(pat: Browser) -> None:
    change(pat, "hot_holding", "130F/54C", variance="V-9", variance_by="Cook County")
    page = change(pat, "cold_holding", "50F/10C")
    assert page.status == 422
    assert 'value="V-9"' in page.html
    assert "It is in the next version." in page.send("/change/cold_holding").words


def test_a_variance_that_is_taken_away_is_asked_for_again(pat: Browser) -> None:
    change(pat, "hot_holding", "130F/54C", variance="V-9", variance_by="Cook County")
    page = change(pat, "hot_holding", "130F/54C", variance="", variance_by="")
    assert page.status == 422
    assert 'id="variance-errors"' in page.html


def test_what_is_looser_needs_a_variance_with_a_name(pat: Browser) -> None:
    page = adopt(pat, hot_holding="130F/54C", variance="Variance 2026-17, county")
    assert "Version 2 of the plan is in force from now on." in page.words
    assert "Variance 2026-17, county" in page.words
    assert "held at 130 °F (54.5 °C) or above. looser, under the variance The code says 135 °F / 57 °C" in page.words
