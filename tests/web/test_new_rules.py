"""A new group of rules comes into force with the next adoption of a plan, and set-up says that there is one."""

import json
from datetime import timedelta

import pytest
from sqlalchemy.orm import Session

from app import ledger, models, register
from app.db import Database
from app.register.plans import written_plan
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, keep, ordinary_day
from tests.support.plan_pages import adopt


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """A person in charge, signed in with a password."""
    return browser.sign_in("pat")


GROUPS = ("set_aside", "lateness")
NEW = "New rules since this plan was adopted: food set aside, readings written late."


@pytest.fixture
def older(database: Database) -> Database:
    """A kitchen whose plan, version 2, was adopted under an edition that had no rules on these groups yet."""
    with database.writing() as session:
        _adopt_without_new_groups(session, {})
    return database


def _adopt_without_new_groups(session: Session, settings: dict[str, str]) -> None:
    site = register.get_site(session, "S1")
    row = models.PlanVersion(site_id=site.id, version=2, code="us_food_code_2022", settings=json.dumps(settings))
    row.adopted_by, row.adopted_at = "pat", cast.moment("03:00")
    session.add(row)
    about = written_plan(row, on=cast.DAY)
    controls = about["values"]["controls"]
    for said in (controls, controls.get("code", controls)):
        said["value"] = ",".join(group for group in said["value"].split(",") if group not in GROUPS)
    change, by = ledger.Change("plan_adopted", about), ledger.Author("command", "pat")
    ledger.append_changes(session, "S1", [change], by=by, at=row.adopted_at)


def in_force(database: Database, at: str) -> list[bool]:
    with database.reading() as session:
        plan = ledger.calendar_of(session, "S1").plan_at(cast.moment(at))
    return [plan.has(group) for group in GROUPS]


def test_a_new_kitchen_has_all_groups_of_rules_at_once(pat: Browser, database: Database) -> None:
    assert in_force(database, "12:00") == [True, True]
    assert "New rules" not in pat.get("/setup/plan").words + pat.get("/setup/plan/new").words


def test_set_up_says_that_there_are_new_rules_and_when_they_start(pat: Browser, older: Database) -> None:
    assert f"{NEW} They start with the next adoption." in pat.get("/setup/plan").words
    assert f"{NEW} They start when you adopt this version." in pat.get("/setup/plan/new").words
    assert "New rules start with the next adoption." in pat.get("/setup").words
    assert "New rules" not in pat.get("/setup/plan/1").words
    assert in_force(older, "12:00") == [False, False]


def test_new_groups_of_rules_start_with_the_next_adoption(pat: Browser, older: Database) -> None:
    page = adopt(pat, grace_min="10")
    assert "New rules" not in page.words + pat.get("/setup").words
    assert (in_force(older, "11:59"), in_force(older, "12:00")) == ([False, False], [True, True])


def test_what_is_adopted_is_what_stands_in_the_form(pat: Browser, older: Database) -> None:
    fields = pat.get("/setup/plan/change/controls").form("/change/controls").fields
    assert set(GROUPS) < {value for name, value in fields if name == "ticked"}


def test_a_kitchen_that_lists_its_groups_itself_adds_new_ones_itself(pat: Browser, database: Database) -> None:
    with database.writing() as session:
        _adopt_without_new_groups(session, {"controls": "cooking,holding"})
    assert f"{NEW} This kitchen lists its controls itself." in pat.get("/setup/plan").words
    adopt(pat, grace_min="10")
    assert in_force(database, "12:00") == [False, False]
    adopt(pat, controls="cooking,holding,set_aside,lateness")
    assert in_force(database, "12:00") == [True, True]


NEXT_DAY = cast.moment("12:00", day=cast.DAY + timedelta(days=1))


@pytest.mark.parametrize(("kitchen", "rules"), [("two_kitchens", ["record.late"]), ("older", [])])
def test_a_day_is_judged_by_the_groups_that_its_plan_holds(
    request: pytest.FixtureRequest, kitchen: str, rules: list[str]
) -> None:
    database: Database = request.getfixturevalue(kitchen)
    late = [cast.draft("hold_reading", at=f"11:{minute}") for minute in range(15, 21)]
    keep(database, *ordinary_day()[:-2], *late, at="12:00")
    found = [one.rule for one in assessed(database, NEXT_DAY).findings]
    assert [rule for rule in found if rule == "record.late"] == rules
