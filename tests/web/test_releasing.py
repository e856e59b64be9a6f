"""The release of food that was set aside: by whom, where and on what basis, and what is said where nothing can be."""

from collections.abc import Callable
from datetime import datetime
from unittest import mock
from urllib.parse import quote

import pytest

from app.db import Database
from app.kinds import Release
from app.ledger.reading import day_reading
from app.rules.day.food_shown import SetAsideView
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import assessed, finding, keep, loaded, mending

SetClock = Callable[[datetime | str], None]
BASIS = "Both birds were read with the other probe: 170 °F."


@pytest.fixture
def unprobed(database: Database) -> str:
    """A spit pulled with one bird probed: its tray is set aside, and may be released."""
    read = cast.draft("cook_reading", at="10:31", temperature="171.2")
    keep(database, *loaded(spits=1), read, cast.draft("spit_pulled", at="10:36"))
    return finding(database, "cook.core_temperature")


@pytest.fixture
def undercooked(database: Database) -> str:
    """A spit pulled at 149 °F: nobody may release it."""
    low = cast.draft("cook_reading", at="10:31", temperature="149")
    keep(database, *loaded(spits=1), low, cast.draft("spit_pulled", at="10:36"))
    return finding(database, "cook.core_temperature")


def release(browser: Browser, key: str) -> Page:
    return browser.get(f"/release?finding={quote(key)}")


def aside(database: Database) -> SetAsideView | None:
    return assessed(database, "12:30").trays[0].set_aside


def releases(database: Database, key: str) -> list[Release]:
    return list(assessed(database, "12:30").answers[key].releases)


def test_the_page_shows_the_finding_its_readings_the_food_and_where_it_is(browser: Browser, unprobed: str) -> None:
    words = release(browser.sign_in("pat"), unprobed).words
    for said in ("Pulled at 10:36 with 1 bird probed", "171.2 °F", "Tray A-T1: 5 birds", "3-401.11"):
        assert said in words


def test_the_page_of_the_tray_says_who_released_its_food_and_why(
    browser: Browser, database: Database, unprobed: str
) -> None:
    assert "Released at" not in browser.sign_in("pat").get("/trays/A-T1").words
    keep(database, cast.draft("release", at="12:00", findings=[unprobed], basis=BASIS), by="pat")
    said = browser.get("/trays/A-T1").words
    assert f"Released at 12:00 by Pat Porter. It rests on: {BASIS}" in said
    assert "It was set aside: Pulled at 10:36 with 1 bird probed" in said
    assert "Set aside: do not serve" not in said


def test_the_page_of_another_tray_says_nothing_of_it(browser: Browser, database: Database, unprobed: str) -> None:
    keep(database, cast.draft("release", at="12:00", findings=[unprobed], basis=BASIS), by="pat")
    other = [cast.draft(f"spit_{what}", at=at, spit=2) for what, at in (("loaded", "09:02"), ("pulled", "11:59"))]
    other[1]["tray"] = "A-T2"
    keep(database, *other)
    assert "Released at" not in browser.sign_in("pat").get("/trays/A-T2").words


def test_food_that_was_released_and_chilled_says_it_where_it_was(
    browser: Browser, database: Database, unprobed: str
) -> None:
    keep(database, cast.draft("tray_out", at="11:00", to="chilled", birds="5", batch="A-B1", cold_unit="walk-in"))
    keep(database, cast.draft("release", at="12:00", findings=[unprobed], basis="x" * 400), by="pat")
    said = browser.sign_in("pat").get("/batches/A-B1").words
    assert "Released at 12:00 by Pat Porter." in said
    assert "x" * 170 not in said


# ---- at a tablet -----------------------------------------------------------------------------------------------------


@pytest.fixture
def lead(browser: Browser) -> Browser:
    """Tablet A with Pat, who is in charge, at it."""
    browser.enrol()
    browser.choose("pat")
    return browser


def by_pin(asking: Page, pin: str = cast.PIN) -> Page:
    """Answer who is saving: Pat, with a PIN."""
    return asking.send(saver="pat", pin=pin)


def test_somebody_in_charge_at_a_tablet_types_the_pin_once_more(
    lead: Browser, database: Database, unprobed: str
) -> None:
    asking = lead.get("/").follow("Release it").send(basis=BASIS)
    assert (asking.status, aside(database) is not None) == (401, True)
    assert f"Food released Released. Basis: {BASIS}" in asking.words
    assert "Casey Cook" not in asking.words  # a cook releases nothing
    assert "The food is released." in by_pin(asking).words
    assert aside(database) is None
    (given,) = releases(database, unprobed)
    assert (given.person, given.via, given.basis, given.identified) == ("pat", "tablet:A", BASIS, "pin")


@pytest.mark.parametrize("pin", ["", "0000", "no pin"])
def test_without_the_right_pin_nothing_is_released_and_nothing_typed_is_lost(
    lead: Browser, database: Database, unprobed: str, pin: str
) -> None:
    asking = release(lead, unprobed).send(basis=BASIS)
    wrong = by_pin(asking, pin)
    assert (wrong.status, BASIS in wrong.words) == (401, True)
    assert aside(database) is not None
    assert "The food is released." in by_pin(wrong).words


def test_a_cook_at_the_tablet_is_told_that_it_is_not_theirs(tablet: Browser, database: Database, unprobed: str) -> None:
    assert release(tablet, unprobed).status == 403
    sent = {"basis": BASIS, "pin": cast.PIN}
    assert tablet.client.post(f"/release?finding={quote(unprobed)}", data=sent).status_code in (400, 403)
    assert aside(database) is not None


def test_signed_in_with_the_password_no_pin_is_asked_for(browser: Browser, unprobed: str) -> None:
    assert "pin" not in release(browser.sign_in("pat"), unprobed).form().names


def test_whoever_left_meanwhile_is_asked_who_they_are(
    lead: Browser, database: Database, set_clock: SetClock, unprobed: str
) -> None:
    page = release(lead, unprobed)
    set_clock("12:20")  # nobody is there ten minutes after the last page
    asking = page.send(basis=BASIS)
    assert "Nobody asked when you save" in asking.words
    assert "The food is released." in by_pin(asking).words
    assert aside(database) is None


# ---- twice, of what stands no more, of what may not be released ------------------------------------------------------


def test_a_form_sent_twice_is_one_release(browser: Browser, database: Database, unprobed: str) -> None:
    page = release(browser.sign_in("pat"), unprobed)
    for _time in range(2):
        assert "The food is released." in page.send(basis=BASIS).words
    assert len(releases(database, unprobed)) == 1


def test_a_second_release_is_told_that_there_is_nothing_left(
    browser: Browser, database: Database, unprobed: str
) -> None:
    pat = browser.sign_in("pat")
    second = release(pat, unprobed)
    release(pat, unprobed).send(basis=BASIS)
    page = second.send(basis="I looked at it too.")
    assert page.status == 422
    assert "None of this food is set aside at that time. There is nothing to release." in page.words
    assert dict(page.form().fields)["basis"] == "I looked at it too."
    assert len(releases(database, unprobed)) == 1
    assert (
        f"Nothing of this food is set aside now. Released by Pat Porter, 12:00: {BASIS}" in release(pat, unprobed).words
    )


def test_a_release_of_what_was_gone_before_is_not_said_to_be_one(
    browser: Browser, database: Database, unprobed: str
) -> None:
    pat = browser.sign_in("pat")
    release(pat, unprobed).send(basis=BASIS)
    keep(database, cast.draft("tray_out", at="10:50", birds="5"))
    page = release(pat, unprobed).words
    assert "Nothing of this food is set aside now." in page
    assert "Released by" not in page


def test_what_was_released_while_it_was_there_may_be_written_down_after(
    browser: Browser, database: Database, unprobed: str
) -> None:
    keep(database, cast.draft("tray_out", at="11:58", birds="5", to="discarded", reason="quality"))
    page = release(browser.sign_in("pat"), unprobed).send(basis=BASIS, observed_at="2026-04-14T11:57")
    assert "The food is released." in page.words


def test_one_that_stood_no_more_is_refused_and_says_why(browser: Browser, database: Database) -> None:
    wrong = cast.draft("cook_reading", at="10:31", bird=4, temperature="149")
    drafts = [*loaded(spits=1), cast.draft("cook_reading", at="10:31"), wrong, cast.draft("spit_pulled", at="10:36")]
    keep(database, *drafts)
    key = finding(database, "cook.core_temperature")
    keep(database, mending(wrong, temperature="169"))
    page = release(browser.sign_in("pat"), key)
    assert "This finding is gone: an entry was corrected." in page.words


def test_one_that_was_corrected_while_the_page_was_open(browser: Browser, database: Database, unprobed: str) -> None:
    page = release(browser.sign_in("pat"), unprobed)
    keep(database, cast.draft("cook_reading", at="10:32", bird=4, temperature="170"), at="12:00")
    refused = page.send(basis=BASIS)
    assert refused.status == 422
    assert "There is no such finding at that time, so nothing is set aside for it." in refused.words
    assert dict(refused.form().fields)["basis"] == BASIS


def test_what_cannot_be_released_says_what_may_be_done(browser: Browser, database: Database, undercooked: str) -> None:
    page = release(browser.sign_in("pat"), undercooked)
    assert "Food of this finding cannot be released. It may be: continue cooking and throw away." in page.words
    assert "Release this food" not in page.words


def test_nor_by_a_form_from_elsewhere(browser: Browser, database: Database, unprobed: str) -> None:
    page = release(browser.sign_in("pat"), unprobed)
    keep(database, cast.draft("hold_reading", at="11:50", temperature="120"))
    low = finding(database, "hold.temperature")
    fields = page.form().with_typed({"basis": BASIS})
    refused = browser.send(f"/release?finding={quote(low)}", fields)
    assert (refused.status, "This food cannot be released." in refused.words) == (422, True)


# ---- found by its key, on whatever day -------------------------------------------------------------------------------


def test_a_finding_of_an_earlier_day_is_found_without_assessing_one_day_after_the_other(
    browser: Browser, database: Database, set_clock: SetClock, unprobed: str
) -> None:
    """Its food is in a batch now: the page asks for the day of its opener alone."""
    keep(database, cast.draft("tray_out", at="11:00", to="chilled", birds="5", batch="A-B1"))
    set_clock(cast.moment("10:00", day=cast.DAY.replace(day=18)))
    pat = browser.sign_in("pat")
    whole = day_reading.assess_site_day
    with mock.patch.object(day_reading, "assess_site_day", wraps=whole) as assess_day:
        page = release(pat, unprobed)
    assert [call.args[2] for call in assess_day.call_args_list] == [cast.DAY]
    assert (page.status, "Batch A-B1: 5 birds" in page.words) == (200, True)
