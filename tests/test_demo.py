"""The demo kitchen: loaded once, the same each time, with ordinary and bad days, and a chain that holds."""

import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from flask import Flask

import demo_data
from app import ledger
from app.db import Database
from app.rules.day.shown import Assessment
from app.server import jobs, kept_logs
from demo_data.calendar import business_date, days_before
from demo_data.kitchen import PASSWORD
from tests.support.browsing import Browser

AT = datetime(2026, 6, 12, 23, 30, tzinfo=UTC)
"""A Friday evening in the kitchen's own time."""


@pytest.fixture(scope="module")
def loaded(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of a demo kitchen, from which each test has its own."""
    path = tmp_path_factory.mktemp("demo") / "ledger.sqlite3"
    shutil.copyfile(sqlite_template, path)
    database = Database(f"sqlite:///{path}")
    demo_data.load(database, at=AT)
    database.engine.dispose()
    return path


@pytest.fixture
def kitchen(loaded: Path, tmp_path: Path) -> Iterator[Database]:
    """A demo kitchen."""
    shutil.copyfile(loaded, tmp_path / "demo.sqlite3")
    database = Database(f"sqlite:///{tmp_path / 'demo.sqlite3'}")
    yield database
    database.engine.dispose()


def head(database: Database) -> tuple[int, str]:
    with database.reading() as session:
        return ledger.head(session, demo_data.SITE)


def day(database: Database, back: int) -> Assessment:
    with database.reading() as session:
        return ledger.assess_day(session, demo_data.SITE, business_date(AT) - timedelta(days=back), as_of=AT)


def rules(assessment: Assessment) -> set[str]:
    return {finding.rule for finding in assessment.findings}


def test_the_demo_has_its_bad_days_and_a_chain_that_holds(kitchen: Database) -> None:
    with kitchen.reading() as session:
        assert ledger.verify(session, demo_data.SITE) is None
    assert rules(day(kitchen, 20)) == {"cook.core_temperature"}
    assert rules(day(kitchen, 17)) == {"hold.temperature"}
    assert rules(day(kitchen, 15)) == {"hold.check_interval"}
    assert rules(day(kitchen, 13)) == {"ties.balance"}
    assert [item.finding.rule for item in day(kitchen, 11).cleared] == ["aside.left", "cook.core_temperature"]
    assert rules(day(kitchen, 9)) == {"record.sign_off_due"}
    assert rules(day(kitchen, 8)) == {"probe.accuracy", "probe.review"}
    assert rules(day(kitchen, 7)) == {"cold.temperature"}
    assert rules(day(kitchen, 5)) == {"reheat.temperature"}
    assert rules(day(kitchen, 3)) == {"cook.core_temperature", "aside.left"}


def test_the_demo_has_every_group_so_that_each_page_shows_something(kitchen: Database) -> None:
    assert rules(day(kitchen, 16)) == {"cool.first_stage"}
    assert rules(day(kitchen, 14)) == {"cook.interrupted"}
    assert rules(day(kitchen, 12)) == {"date_mark.passed"}
    assert [delivery.decision for delivery in day(kitchen, 19).receiving] == ["rejected"]
    assert [reheat.verdict for reheat in day(kitchen, 18).reheats] == ["met"]
    methods = {check.method for probe in day(kitchen, 10).probes for check in probe.checks}
    assert methods == {"ice_point", "boiling_point", "comparison"}
    today = day(kitchen, 0)
    assert {one.in_charge for one in (today, day(kitchen, 5))} == {"dov", "ines"}
    assert [reheat.verdict for reheat in today.reheats] == ["pending"]
    assert [batch.total and batch.total.verdict for batch in today.batches] == ["met", "pending"]


def test_the_readings_of_the_failed_probe_stand_for_review_until_one_action_answers_them(kitchen: Database) -> None:
    (review,) = [finding for finding in day(kitchen, 8).findings if finding.rule == "probe.review"]
    assert (review.subject.kind, str(review.status)) == ("tray", "verified")


def test_ordinary_days_are_signed_one_was_touched_since_and_yesterday_waits(kitchen: Database) -> None:
    states = {back: day(kitchen, back).signed for back in (1, 5, 6, 9, 18)}
    assert (states[1], states[9]) == (None, None)
    assert [states[back].stale for back in (5, 6, 18)] == [False, True, False]


def test_a_day_typed_in_at_closing_time_says_so_and_is_answered(kitchen: Database) -> None:
    typed = day(kitchen, 4)
    (late,) = [finding for finding in typed.findings if finding.rule == "record.late"]
    assert (str(late.status), typed.late.late > 4) == ("verified", True)
    assert [pattern.pattern for pattern in typed.patterns] == ["written_together"]


def test_a_tray_over_its_time_is_found_on_the_pass_and_thrown_away(kitchen: Database) -> None:
    over = day(kitchen, 6)
    (discard,) = [finding for finding in over.findings if finding.rule == "time_control.discard"]
    assert str(discard.status) == "verified"
    food = over.food[discard.key]
    late = [(one.to, one.birds) for one in food.gone if one.at > discard.onset_at]
    assert (food.here, late) == ((), [("discarded", 2)])


def test_a_plan_changed_at_noon_holds_for_what_is_opened_after_it(kitchen: Database) -> None:
    changed = day(kitchen, 2)
    held = {tray.plan.version: str(tray.plan.limits.hot_holding.F) for tray in changed.trays}
    assert held == {1: "135", 2: "138"}
    assert day(kitchen, 0).plan.version == 2


def test_yesterdays_birds_are_made_into_salad_and_kept_cold(kitchen: Database) -> None:
    salad = next(batch for batch in day(kitchen, 3).batches if batch.product)
    assert (salad.product, salad.first_stage, salad.total) == ("chicken salad", None, None)


def test_food_that_failed_is_followed_to_its_end(kitchen: Database) -> None:
    (cooked_on,) = day(kitchen, 20).food.values()
    assert (cooked_on.here, cooked_on.gone) == ((), ())
    (sold,) = day(kitchen, 3).food.values()
    assert [(one.to, one.birds) for one in sold.gone] == [("served", 2), ("discarded", 4)]
    for back in (13, 14):
        (released,) = day(kitchen, back).food.values()
        assert (released.here, [entry.person for entry in released.released]) == ((), [day(kitchen, back).in_charge])


@pytest.fixture
def database(kitchen: Database) -> Database:
    """The demo kitchen behind the pages."""
    return kitchen


@pytest.fixture
def ines(app: Flask, set_clock: Callable[[datetime | str], None]) -> Browser:
    """Ines, who is in charge, at a screen of the demo kitchen."""
    set_clock(AT)
    browser = Browser(app.test_client())
    page = browser.get("/signin").send(login="ines", password=PASSWORD)
    assert page.status == 200, page.words
    return browser


STORIES = {
    "an undercooked pull followed to its end": (20, ["core temperature when pulled: not met", "returned to the oven"]),
    "a tray over time found on the pass": (6, ["discard time: not met", "thrown away", "out of time"]),
    "a release": (13, ["Release", "The skewer was found whole in the drip pan"]),
    "food already sold": (
        3,
        ["food set aside: not met", "already sold, served or given away", "the guests who had it"],
    ),
    "a prepared batch": (3, ["chicken salad"]),
    "a plan changed at noon": (2, ["version 2", "138 °F"]),
    "a day typed in at closing time": (4, ["Written late", "written within 5 minutes", "readings written in time"]),
}


@pytest.mark.parametrize("story", STORIES)
def test_every_story_shows_on_the_page_of_its_day(ines: Browser, story: str) -> None:
    back, says = STORIES[story]
    page = ines.get(f"/day/{business_date(AT) - timedelta(days=back)}")
    assert page.status == 200
    assert [said for said in says if said not in page.words] == []


def test_birds_are_carried_over_midnight_in_a_batch(kitchen: Database) -> None:
    assert [subject.kind for subject in day(kitchen, 10).carried_out] == ["batch"]


def test_today_has_something_to_do(kitchen: Database) -> None:
    today = day(kitchen, 0)
    assert any(spit.birds_on for load in today.loads for spit in load.spits)
    assert "hold.temperature" in rules(today)


def test_loading_it_twice_changes_nothing_and_it_is_the_same_each_time(
    kitchen: Database, postgresql_database: Database
) -> None:
    before = head(kitchen)
    demo_data.load(kitchen, at=AT + timedelta(days=1))
    assert head(kitchen) == before
    demo_data.load(postgresql_database, at=AT)
    assert head(postgresql_database) == before


@pytest.mark.parametrize("hour", [4, 9, 19])  # late in the evening, just after the day began, in the afternoon
def test_it_loads_at_any_hour(sqlite_database: Database, hour: int) -> None:
    at = datetime(2026, 3, 9, hour, 20, tzinfo=UTC)  # the day after the clocks went forward
    demo_data.load(sqlite_database, at=at)
    assert len(days_before(at)) == 21


@pytest.mark.long
def test_the_logs_of_its_newest_signed_days_are_kept_and_nothing_is_asked_for_twice(
    kitchen: Database, make_app: Callable[..., Flask], set_clock: Callable[[datetime | str], None]
) -> None:
    set_clock(AT + timedelta(minutes=1))
    app = make_app(kitchen.url)
    for _time in range(2):
        assert app.test_cli_runner().invoke(args=["demo"]).exit_code == 0
        with app.app_context():
            jobs.run_due(AT + timedelta(minutes=2))
    with kitchen.reading() as session:
        newest = [signed.seq for signed in ledger.sign_offs(session, demo_data.SITE)][-3:]
        assert sorted(log.signed_seq for log in kept_logs.kept_logs(session, demo_data.SITE)) == newest
        assert ledger.verify(session, demo_data.SITE) is None
