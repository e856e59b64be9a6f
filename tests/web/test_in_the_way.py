"""Small things that were in the way of who reviews and signs a day, and of who starts a load."""

from collections.abc import Callable
from datetime import date, datetime

import pytest

from app import register
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import action, assessed, evening, keep, low_reading, ordinary_day, pulled

SetClock = Callable[[datetime | str], None]
DAY = "/day/2026-04-14"


def test_what_still_runs_leads_to_where_it_can_be_ended(database: Database, browser: Browser) -> None:
    left = cast.draft("spit_loaded", at="09:03", spit=2)
    keep(database, *pulled()[:4], left, *pulled()[4:])
    page = browser.sign_in("pat").get(DAY)
    opened = [href for href, said in page.links if said.strip() == "Open"]
    assert {"/loads/A-L1", "/trays/A-T1"} <= set(opened)
    assert all(browser.get(href).status == 200 for href in opened)


def test_all_of_a_review_is_ticked_at_once_but_ones_own(database: Database, browser: Browser) -> None:
    keep(database, *low_reading(), cast.draft("cook_reading", at="10:33", bird=5, temperature="150"))
    keys = [one.key for one in assessed(database).findings]
    for key in keys:
        keep(database, action(key, disposition="discard"), at="12:00")
    page = browser.sign_in("pat").get(DAY)
    ticked = page.follow("Tick all")
    sent = [value for name, value in ticked.form("/verification").fields if name == "findings"]
    assert sorted(sent) == sorted(keys)
    assert len(keys) > 1
    assert f"{len(keys)} actions accepted." in ticked.send("/verification", outcome="accepted").words


def test_after_signing_the_page_stands_at_the_signature(
    database: Database, browser: Browser, set_clock: SetClock
) -> None:
    keep(database, *ordinary_day())
    keep(database, *evening(), at="20:02")
    set_clock("21:00")
    form = browser.sign_in("pat").get(DAY).form("/sign")
    answer = browser.client.post(form.action, data=form.with_typed({"password": cast.PASSWORD}))
    assert (answer.status_code, answer.headers["Location"]) == (303, f"{DAY}#signature")


def test_a_day_that_owes_its_signature_is_signed_without_a_corrective_action(
    database: Database, browser: Browser, set_clock: SetClock
) -> None:
    keep(database, *ordinary_day())
    keep(database, *evening(), at="20:02")
    set_clock(cast.moment("12:00", day=date(2026, 4, 17)))
    page = browser.sign_in("pat").get(DAY)
    assert "sign-off: not recorded" in page.words.lower()
    assert not any("Record corrective action" in said for _href, said in page.links)
    assert "The day is signed." in page.send("/sign", password=cast.PASSWORD).words


def test_the_only_oven_is_chosen(database: Database, cook: Browser) -> None:
    with database.writing() as session:
        register.retire_equipment(session, register.get_site(session, "S1"), "west", at=cast.moment("12:00"))
    chosen = [value for name, value in cook.get("/loads/new").form().fields if name == "oven"]
    assert chosen == ["east"]


@pytest.mark.parametrize(
    ("path", "typed"),
    [
        ("/units/walk-in/check", {"temperature": "", "unit": ""}),
        ("/deliveries/new", {"temperature": "", "lot": "", "birds": ""}),
        ("/probes/blue/check", {"temperature": ""}),
        ("/write/hold_reading", {}),
        ("/write/unit_check", {}),
    ],
)
def test_one_thing_that_is_wrong_is_said_once(cook: Browser, path: str, typed: dict[str, str | list[str]]) -> None:
    page = cook.get(path).send(**typed)
    said = page.html.count("°F or °C: this is missing") + page.html.count("Say whether it is °F or °C")
    assert said == 0, page.words
