"""What a change would have changed in four weeks: past days judged by it as well, findings counted, bounded in time."""

from collections.abc import Callable
from datetime import datetime
from math import inf

import pytest
from flask import Flask
from sqlalchemy import select

from app import register
from app.db import Database
from app.models import Job, PlanEffect
from app.server import jobs, plan_counting
from app.server.plan_effect import DAYS, Change, Effect, count_on
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, low_reading, ordinary_day
from tests.support.plan_pages import change

NOON = cast.moment("12:00")
SetClock = Callable[[datetime | str], None]


def effect(database: Database, *, longest_s: float = inf, code: str | None = None, **settings: str) -> Effect:
    with database.reading() as session:
        site = register.get_site(session, "S1")
        change = register.next_version(session, site, code=code, settings=settings, variance="V-1", at=NOON)
        return count_on(session, "S1", Change.of(change), Effect(), as_of=NOON, longest_s=longest_s)


def test_nothing_changed_changes_no_finding(database: Database) -> None:
    keep(database, *low_reading()[:-1])
    assert effect(database) == Effect(DAYS)


@pytest.mark.parametrize(
    ("hot_holding", "gone", "new"),
    [("150F/65.6C", {}, {}), ("150.1F/65.7C", {}, {"hold.temperature": 1}), ("128F/53.4C", {}, {})],
    ids=["at the reading", "above it", "below it"],
)
def test_a_stricter_limit_finds_what_was_met(
    database: Database, hot_holding: str, gone: dict[str, int], new: dict[str, int]
) -> None:
    keep(database, *ordinary_day()[:-1])  # the tray was read at 150 °F
    found = effect(database, hot_holding=hot_holding)
    assert (found.gone_by_rule, found.new_by_rule) == (gone, new)


def test_a_looser_limit_lets_a_finding_go(database: Database) -> None:
    keep(database, *low_reading()[:-1])  # the tray was read at 128 °F
    assert effect(database, hot_holding="128F/53.4C").gone_by_rule == {"hold.temperature": 1}
    assert effect(database, hot_holding="128.1F/53.5C").gone == {}


def test_another_code_is_judged_by_all_its_values(database: Database) -> None:
    keep(database, *ordinary_day()[:-1])  # 171.2 °F and 166 °F in the birds, not held
    found = effect(database, code="us_food_code_2013")  # 165 °F for 15 s: 3-401.11(A)(3)
    assert found.new_by_rule == {"cook.core_temperature": 1}


def test_a_step_counts_one_day_at_least_and_no_more_than_its_time(database: Database) -> None:
    found = effect(database, longest_s=0)
    assert (found.days, found.is_whole) == (1, False)


# ---- counted outside the request -------------------------------------------------------------------------------------

PAGE = "/setup/plan/effect"


@pytest.fixture
def pat(browser: Browser, database: Database) -> Browser:
    """The person in charge, with a stricter limit in the next version; the tray was read at 150 °F."""
    keep(database, *ordinary_day()[:-1])
    change(browser.sign_in("pat"), "hot_holding", "160F/71.2C")
    return browser


@pytest.fixture
def is_worked_elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    """The process for jobs lives."""
    monkeypatch.setattr(jobs, "is_running", lambda: True)


def work(app: Flask) -> int:
    """Do what the process for jobs does."""
    with app.app_context():
        return jobs.run_due(NOON, ("counting",))


def kept(database: Database) -> list[int]:
    """Give how many days each kept count has."""
    with database.reading() as session:
        return list(session.scalars(select(PlanEffect.days).order_by(PlanEffect.id)))


@pytest.mark.usefixtures("is_worked_elsewhere")
def test_the_page_answers_at_once_and_asks_again_without_a_script(app: Flask, pat: Browser, database: Database) -> None:
    answer = pat.client.get(PAGE)
    assert "being counted: 0 of 28 days so far" in answer.text
    assert answer.headers["Refresh"] == "2"
    assert kept(database) == [0]  # the request itself counted nothing
    assert work(app) == 1
    answer = pat.client.get(PAGE)
    assert "28 of 28 days counted." in answer.text
    assert "Hot-holding temperature" in answer.text
    assert "Refresh" not in answer.headers


@pytest.mark.usefixtures("is_worked_elsewhere")
def test_the_part_of_a_page_is_asked_for_again_by_its_script(app: Flask, pat: Browser) -> None:
    part = {"X-Fragment": "part"}
    assert "data-again" in pat.client.get(PAGE, headers=part).text
    work(app)
    assert "data-again" not in pat.client.get(PAGE, headers=part).text


@pytest.mark.usefixtures("is_worked_elsewhere")
def test_the_same_values_on_the_same_records_are_counted_once(app: Flask, pat: Browser, database: Database) -> None:
    for _ in range(3):
        pat.client.get(PAGE)
        work(app)
    assert kept(database) == [28]
    change(pat, "hot_holding", "161F/71.7C")
    pat.client.get(PAGE)
    assert kept(database) == [28, 0]


@pytest.mark.usefixtures("is_worked_elsewhere")
def test_new_records_are_counted_after_a_minute_and_do_not_start_it_again(
    app: Flask, pat: Browser, database: Database, set_clock: SetClock
) -> None:
    pat.client.get(PAGE)
    keep(database, cast.draft("hold_reading", at="11:50", temperature="151"))
    assert "0 of 28" in pat.client.get(PAGE).text
    work(app)
    assert "28 of 28" in pat.client.get(PAGE).text
    assert kept(database) == [28]
    set_clock("12:02")
    assert "0 of 28" in pat.client.get(PAGE).text
    assert kept(database) == [28, 0]


def test_without_a_process_for_jobs_each_request_counts_on(
    pat: Browser, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(plan_counting, "_STEP_S", 0)
    assert "1 of 28 days so far" in pat.client.get(PAGE).text
    for _ in range(26):
        pat.client.get(PAGE)
    assert "28 of 28 days counted." in pat.client.get(PAGE).text
    assert kept(database) == [28]


@pytest.mark.usefixtures("is_worked_elsewhere")
def test_where_the_process_for_jobs_is_stuck_the_request_counts(pat: Browser, set_clock: SetClock) -> None:
    assert "0 of 28" in pat.client.get(PAGE).text
    set_clock("12:01")
    assert "28 of 28" in pat.client.get(PAGE).text


def test_a_count_that_nobody_waits_for_any_more_is_let_go(app: Flask, database: Database) -> None:
    with app.app_context(), database.writing() as session:
        jobs.ask(session, "count_effect", "7", {"effect": 7, "site": "S1"}, at=NOON)
    assert work(app) == 1
    with database.reading() as session:
        assert session.scalars(select(Job.error)).all() == [None]
