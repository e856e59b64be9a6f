"""Plans and values with dates: which holds on which day, and the same day under two plans."""

from datetime import UTC, date, datetime

import pytest

from app.rules.plans import adoption, plan
from app.rules.plans import settings as plan_settings
from tests.support.cast import OPENED, entry, moment
from tests.support.story import adopted, checked, found, loaded, probed, told, verdict_of

CHANGE = date(2026, 4, 14)
DATED = """
code = "changing"
title = "A code whose cooking limit changes"
kind = "law"
base = "us_food_code_2022"

[limits]
cook_core = [
  { from = 2020-01-01, F = 165, C = 74, source = "old law", kind = "law" },
  { from = 2026-04-14, F = 180, C = 82, source = "new law", kind = "law" },
]
"""


@pytest.fixture
def changing(tmp_path, monkeypatch):
    """A code whose cooking limit rises to 180 °F (82 °C) on the day of the cast; an invented change."""
    for name in ("house", "us_food_code_2022"):
        (tmp_path / f"{name}.toml").write_text((plan._FOLDER / f"{name}.toml").read_text("utf-8"), "utf-8")
    (tmp_path / "changing.toml").write_text(DATED, "utf-8")
    monkeypatch.setattr(plan, "_FOLDER", tmp_path)
    yield plan.Adopted(1, "changing", (), "pat", OPENED)
    plan.read_code.cache_clear()
    plan.resolve.cache_clear()


@pytest.mark.parametrize(
    ("day", "fahrenheit", "source"),
    [
        (date(2026, 4, 13), 165, "old law"),
        (date(2026, 4, 14), 180, "new law"),
        (date(2026, 4, 15), 180, "new law"),
        (date(1999, 1, 1), 165, "old law"),
    ],
)
def test_a_dated_value_holds_from_its_day_and_the_first_one_before_all(changing, day, fahrenheit, source):
    resolved = plan.resolve(changing, day)
    assert (resolved.limits.cook_core.F, resolved.source("cook_core")) == (fahrenheit, source)


@pytest.mark.parametrize(("started", "verdict"), [("04:59", "met"), ("05:00", "not_met")])
def test_a_change_of_the_code_holds_from_the_adoption_that_took_it_in(changing, started, verdict):
    """A plan is what its adoption says: the law of that day, until the kitchen adopts the new one."""
    anew = plan.Adopted(2, "changing", (), "pat", moment("05:00"))
    entries = [*loaded(at=started), *probed("170", "171", at="06:00"), entry("spit_pulled", at="06:05")]
    assert told(entries, plans=[changing, anew], as_of="06:10").loads[0].spits[0].verdict == verdict


def test_what_is_looser_is_looser_than_the_value_of_the_day(changing):
    adoption.check_adoption("changing", {"cook_core": "170F/76.7C"}, on=date(2026, 4, 13))
    with pytest.raises(plan_settings.PlanRefused):
        adoption.check_adoption("changing", {"cook_core": "170F/76.7C"}, on=CHANGE)


def test_the_plan_in_force_is_the_last_adopted_by_then_and_the_first_before_all():
    second = plan.Adopted(2, "england_2013", (), "sam", moment("12:00"))
    plans = [adopted(), second]
    ancient = datetime(1990, 1, 1, tzinfo=UTC)
    assert plan.in_force(plans, moment("11:59:59.999")) is plans[0]
    assert plan.in_force(plans, moment("12:00")) is second
    assert plan.in_force(plans, ancient) is plans[0]


def test_a_past_day_is_judged_by_the_plan_of_its_day():
    stricter = plan.Adopted(2, "us_food_code_2022", (("cook_core", "180F/82C"),), "pat", moment("09:00", day=CHANGE))
    yesterday = date(2026, 4, 13)
    at = {clock: moment(clock, day=yesterday) for clock in ("09:00", "10:30", "10:36")}
    entries = [*loaded(at=at["09:00"]), *probed("170", "171", at=at["10:30"])]
    entries += [entry("spit_pulled", at=at["10:36"])]
    day = told(entries, day=yesterday, plans=[adopted(), stricter])
    assert (day.plan.version, day.loads[0].spits[0].verdict) == (1, "met")


def test_a_later_plan_without_cold_storage_leaves_the_findings_of_past_days():
    off = plan.Adopted(2, "us_food_code_2022", (("controls", "cooking"),), "pat", moment("14:00"))
    checks = [checked("45", "10:00", of="food"), checked("38", "15:00", of="food")]
    day = told(checks, plans=[adopted(), off], as_of="15:10")
    assert (verdict_of(day, "cold.temperature"), found(day, "cold.temperature")[0].ended_at) == ("not_met", None)


# ---- the same day under two plans ------------------------------------------------------------------------------------


def test_the_same_day_under_two_plans_gives_two_assessments_each_right():
    """75 °C at the pull and 58 °C in the tray: the US model code is met, Canada's advice for whole birds is not."""
    entries = [*loaded(), *probed("75", "75", unit="C"), entry("spit_pulled", at="10:36")]
    entries += [entry("hold_reading", at="11:30", temperature="58", unit="C")]
    us, canada = (
        told(entries, plans=[plan.Adopted(1, code, (), "pat", OPENED)], as_of="11:40")
        for code in ("us_food_code_2022", "ca_whole_bird")
    )
    assert {f.rule for f in us.findings} == {"lot.known", "probe.check_due"}
    new = {"cook.core_temperature", "hold.temperature"}
    assert {f.rule for f in canada.findings} == new | {"lot.known", "probe.check_due"}
    limits = {f.rule: f.limit["C"] for f in canada.findings if f.rule in new}
    assert limits == {"cook.core_temperature": 82, "hold.temperature": 60}
