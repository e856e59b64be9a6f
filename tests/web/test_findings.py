"""Findings that wait, and the corrective action that answers one or several of them."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, finding, keep, low_reading

ANSWER = {
    "cause": "The cabinet door stood open.",
    "action": "Reheated to 165 °F at once.",
    "disposition": "reheat",
    "prevention": "A spring on the door.",
}


@pytest.fixture
def key(database: Database) -> str:
    """The finding of a tray that was read at 128 °F."""
    keep(database, *low_reading()[:-1])
    return finding(database, "hold.temperature")


def test_a_finding_leads_straight_to_its_action(cook: Browser, database: Database, key: str) -> None:
    page = cook.get("/").follow("1 answer owed").send("findings/act")
    assert "128 °F at 11:15; the limit is 135 °F." in page.words
    done = page.send(**ANSWER)
    assert "The corrective action is recorded." in done.words
    (found,) = [one for one in assessed(database).findings if one.key == key]
    assert found.status == "acted"


def test_only_what_the_plan_allows_may_become_of_the_food(cook: Browser, key: str) -> None:
    page = cook.get(f"/findings/act?finding={key}")
    assert "reject the delivery" not in page.words
    refused = page.send(**ANSWER | {"disposition": "reject_delivery"})
    assert refused.status == 422
    assert "choose one of" in refused.words


@pytest.mark.parametrize("field", list(ANSWER))
def test_each_part_of_the_answer_is_needed(cook: Browser, key: str, field: str) -> None:
    page = cook.get(f"/findings/act?finding={key}").send(**ANSWER | {field: ""})
    assert page.status == 422
    assert "this is needed" in page.words
    kept = dict(page.form().fields)
    assert all(kept[name] == text for name, text in ANSWER.items() if name != field and name != "disposition")


def test_several_are_answered_at_once(cook: Browser, database: Database) -> None:
    load = cast.draft("load_started", at="09:00", checks={"water": False, "grease": True})
    keep(database, load, cast.draft("spit_loaded", at="09:02", lot="unknown"))
    keys = [one.key for one in assessed(database).findings if one.rule in ("start.checks", "lot.known")]
    assert len(keys) == 2
    page = cook.get("/findings").send("/findings/act", finding=keys)
    assert page.words.count("Load L1") >= 2
    page.send(**ANSWER | {"disposition": "none"})
    statuses = {one.status for one in assessed(database).findings if one.key in keys}
    assert statuses == {"acted"}


PHRASES = {
    "disposition": "reheat",
    "cause_phrase": "The door of the unit stood open.",
    "action_phrase": "Reheated at once and probed.",
    "prevention_phrase": "Keep the door shut.",
}


def test_phrases_are_chosen_instead_of_typing(cook: Browser, database: Database, key: str) -> None:
    page = cook.get(f"/findings/act?finding={key}")
    assert not {"cause_phrase", "action_phrase", "prevention_phrase"} & set(dict(page.form().fields))  # none chosen
    assert "The corrective action is recorded." in page.send(**PHRASES).words
    (action,) = assessed(database).answers[key].actions
    said = (action.cause, action.action, action.prevention)
    assert said == ("The door of the unit stood open.", "Reheated at once and probed.", "Keep the door shut.")


def test_what_is_typed_counts_before_the_phrase(cook: Browser, database: Database, key: str) -> None:
    cook.get(f"/findings/act?finding={key}").send(**PHRASES, cause="A fuse blew.", action="  ")
    (action,) = assessed(database).answers[key].actions
    assert (action.cause, action.action) == ("A fuse blew.", "Reheated at once and probed.")


def test_a_phrase_that_is_chosen_stays_when_another_part_is_missing(cook: Browser, key: str) -> None:
    page = cook.get(f"/findings/act?finding={key}").send(**{**PHRASES, "disposition": ""})
    assert page.status == 422
    assert dict(page.form().fields)["cause_phrase"] == "The door of the unit stood open."


@pytest.fixture
def two_of_a_load(database: Database) -> tuple[str, str]:
    """A load whose start checks were answered no, and whose lot nobody received."""
    load = cast.draft("load_started", at="09:00", checks={"water": False, "grease": True})
    keep(database, load, cast.draft("spit_loaded", at="09:02", lot="unknown"))
    return finding(database, "start.checks"), finding(database, "lot.known")


def test_others_of_the_same_subject_are_ticked_without_losing_what_was_typed(
    cook: Browser, database: Database, two_of_a_load: tuple[str, str]
) -> None:
    key, other = two_of_a_load
    page = cook.get(f"/findings/act?finding={key}")
    assert "Answers these too" in page.words
    wrong = page.send(**ANSWER | {"disposition": "", "also": other})
    fields = dict(wrong.form().fields)
    assert (wrong.status, fields["also"], fields["cause"]) == (422, other, ANSWER["cause"])
    wrong.send(disposition="none")
    assert {one.status for one in assessed(database).findings if one.key in (key, other)} == {"acted"}


def test_what_may_not_become_of_all_that_is_ticked_is_refused(
    browser: Browser, database: Database, key: str, set_clock: Callable[[datetime | str], None]
) -> None:
    set_clock("15:00")
    missed = finding(database, "hold.check_interval", as_of="15:00")
    page = browser.sign_in("cook").get(f"/findings/act?finding={missed}")
    refused = page.send(**ANSWER | {"disposition": "none", "also": key})
    assert (refused.status, "What was done with the food: choose one of: throw away" in refused.words) == (422, True)
    assert dict(refused.form().fields)["cause"] == ANSWER["cause"]
    assert {one.status for one in assessed(database, "15:00").findings} == {"open"}
    assert page.send(**ANSWER | {"disposition": "none"}).status == 200  # for the missed check alone it is right


def test_a_finding_of_another_kitchen_is_not_there(browser: Browser, key: str) -> None:
    assert browser.sign_in("other-cook").get(f"/findings/act?finding={key}").status == 404


@pytest.mark.parametrize("query", ["?finding=none", "?day=yesterday", "?day=2026-04-15", "?day=0000-00-00"])
def test_a_finding_or_day_that_is_not_there(cook: Browser, query: str) -> None:
    assert cook.get(f"/findings/act{query}").status == 404


def test_an_earlier_day_keeps_its_findings(cook: Browser, key: str) -> None:
    page = cook.get("/findings").follow("← Day before")
    assert "Mon 13 April 2026" in page.words
    assert "No finding of this day waits for an answer." in page.words


def test_an_action_about_nothing_asks_to_tick_what_it_answers(cook: Browser, key: str) -> None:
    page = cook.get("/findings/act?day=2026-04-14")
    assert page.path == "/findings?day=2026-04-14"
    assert "Tick what the action answers." in page.words
    assert cook.get("/findings/act?finding=none:of:these").status == 404
