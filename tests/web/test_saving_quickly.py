"""Saving a reading: the day is assessed once, and only what a reading showed not to be met asks for an action."""

import sys
from collections.abc import Callable
from datetime import datetime

import pytest

from app.db import Database
from app.rules.day import assess as day
from app.rules.day.shown import Assessment
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import chilled, keep, pulled

SetClock = Callable[[datetime | str], None]
READING = {"probe": "blue", "unit": "F"}


@pytest.fixture
def kept(database: Database) -> None:
    """One spit probed from 10:31 and pulled into tray A-T1 at 10:36, and two birds of it put to chill at 11:40."""
    keep(database, *pulled())
    keep(database, *chilled()[-1:])


@pytest.fixture
def assessments(kept: None, monkeypatch: pytest.MonkeyPatch) -> list[Assessment]:
    """Every assessment that is made from now on, by whatever part of the program."""
    made: list[Assessment] = []
    whole = day.assess

    def counted(*given: object, **more: object) -> Assessment:
        made.append(whole(*given, **more))
        return made[-1]

    for module in [*sys.modules.values()]:
        if getattr(module, "assess", None) is whole:
            monkeypatch.setattr(module, "assess", counted)
    return made


def saved(browser: Browser, shown: Page) -> str:
    """Save the reading whose meaning a page shows; gives where that leads."""
    form = shown.form()
    answer = browser.client.post(form.action, data=form.with_typed({}))
    assert answer.status_code == 303
    return str(answer.headers["Location"])


@pytest.mark.parametrize(
    ("path", "typed"),
    [
        ("/trays/A-T1/check", READING | {"temperature": "131"}),
        ("/trays/A-T1/check", READING | {"temperature": "150"}),
        ("/batches/A-B1/reading", READING | {"temperature": "100"}),
        ("/units/walk-in/check", READING | {"temperature": "46", "of": "food"}),
    ],
)
def test_saving_a_reading_assesses_the_day_once(
    cook: Browser, assessments: list[Assessment], path: str, typed: dict[str, str]
) -> None:
    shown = cook.get(path).send(**typed)
    assessments.clear()
    saved(cook, shown)
    assert len(assessments) == 1


def test_a_low_reading_asks_for_the_action_with_one_assessment_more(
    cook: Browser, assessments: list[Assessment]
) -> None:
    leads_to = saved(cook, cook.get("/trays/A-T1/check").send(**READING, temperature="131"))
    assessments.clear()
    assert cook.get(leads_to).asks_about("hold.temperature")
    assert len(assessments) == 1


def test_a_good_reading_leads_on_at_once(cook: Browser, kept: None) -> None:
    assert saved(cook, cook.get("/trays/A-T1/check").send(**READING, temperature="150")) == "/"


def test_a_good_reading_of_earlier_is_looked_up(cook: Browser, kept: None) -> None:
    shown = cook.get("/trays/A-T1/check").send(**READING, temperature="150", observed_at="2026-04-14T11:30")
    assert saved(cook, shown).startswith("/findings/after/")


def test_another_low_reading_of_the_same_run_does_not_ask_again(cook: Browser, kept: None, set_clock: SetClock) -> None:
    cook.get("/trays/A-T1/check").send(**READING, temperature="131").send()
    set_clock("12:05")
    page = cook.get("/trays/A-T1/check").send(**READING, temperature="130").send()
    assert page.path == "/"


def test_what_was_answered_is_not_asked_again(cook: Browser, kept: None) -> None:
    leads_to = saved(cook, cook.get("/trays/A-T1/check").send(**READING, temperature="131"))
    typed = {"cause": "The unit was off.", "action": "Heated again.", "disposition": "reheat", "prevention": "Look."}
    cook.get(leads_to).send(**typed)
    assert cook.get(leads_to).path == "/"


@pytest.mark.parametrize(
    ("then", "goes_to"), [("/checks", "/checks"), ("https://other.example/", "/"), ("//other.example", "/")]
)
def test_what_raised_nothing_leads_on_within_the_kitchen(
    cook: Browser, database: Database, then: str, goes_to: str
) -> None:
    (kept,) = keep(database, cast.draft("note", at="11:00"))
    answer = cook.client.get(f"/findings/after/{kept}", query_string={"then": then})
    assert (answer.status_code, answer.headers["Location"]) == (303, goes_to)


def test_what_nobody_saved_is_not_there(cook: Browser) -> None:
    assert cook.get(f"/findings/after/{cast.draft('note', at='12:00')['id']}").status == 404


def test_a_reading_that_was_typed_wrong_is_corrected_from_the_page_that_asks(cook: Browser, kept: None) -> None:
    leads_to = saved(cook, cook.get("/trays/A-T1/check").send(**READING, temperature="13"))
    wrong = cook.get(leads_to).follow("Typed wrong? Correct it")
    page = wrong.send(temperature="137", amend_reason="Typed wrong.")
    assert page.path == "/"
    assert "Corrected. The entry as it was stays to be read." in page.words
    assert cook.get(leads_to).path == "/"


def test_after_another_sites_address_a_correction_stays_in_the_kitchen(cook: Browser, kept: None) -> None:
    leads_to = saved(cook, cook.get("/trays/A-T1/check").send(**READING, temperature="13"))
    asked = cook.get(leads_to.partition("?")[0] + "?then=https://other.example/")
    page = asked.follow("Typed wrong? Correct it").send(temperature="137", amend_reason="Typed wrong.")
    assert page.path == "/entries?day=2026-04-14"
