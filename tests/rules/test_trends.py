"""Trends add figures up: nothing lost, nothing counted twice, scales never mixed."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from app.kinds import Subject
from app.rules.facts import Concern, Verdict
from app.rules.figures import trends
from app.rules.figures.day_figures import CookingSum, DayFigures, DiscardFigure, FoundFigure, HoldingSum
from tests.support.cast import moment

MONDAY = date(2026, 4, 13)


def missed(rule: str = "hold.check_interval", hour: int | None = 14) -> FoundFigure:
    subject = Subject("tray", "A-T1")
    return FoundFigure(rule, subject, Verdict.NOT_SHOWN, Concern.MONITORING, "key", moment("14:03"), hour)


def low() -> FoundFigure:
    return missed("hold.temperature", None)._replace(verdict=Verdict.NOT_MET, concerns=Concern.CRITICAL_LIMIT)


def thrown(kind: str, reason: str, quarters: int) -> DiscardFigure:
    return DiscardFigure(Subject(kind, "A-1"), reason, quarters, moment("15:00"), "id")


def added(*days: DayFigures, first: date = MONDAY, last: date = MONDAY + timedelta(days=13)) -> trends.Trends:
    return trends.add_up(days, first=first, last=last)


@pytest.mark.parametrize(
    ("day", "week"),
    [("2026-01-01", "2026-W01"), ("2026-12-31", "2026-W53"), ("2027-01-03", "2026-W53"), ("2027-01-04", "2027-W01")],
)
def test_weeks_are_those_of_iso_8601(day: str, week: str) -> None:
    """ISO 8601-1:2019, 3.1.1.23: week 1 has the year's first Thursday. 2026 begins on a Thursday: it has 53 weeks."""
    assert trends.week_of(date.fromisoformat(day)) == week


def test_the_first_and_last_week_are_cut_to_the_days_looked_at() -> None:
    weeks = trends.weeks_of(date(2026, 4, 15), date(2026, 4, 28))
    assert [(week.number, week.first.day, week.last.day) for week in weeks] == [
        ("2026-W16", 15, 19),
        ("2026-W17", 20, 26),
        ("2026-W18", 27, 28),
    ]


def test_findings_are_counted_by_rule_verdict_and_week_deviations_first() -> None:
    sunday, next_monday = MONDAY + timedelta(days=6), MONDAY + timedelta(days=7)
    days = [
        DayFigures(day=MONDAY, found=(missed(), missed())),
        DayFigures(day=sunday, found=(missed(), low())),
        DayFigures(day=next_monday, found=(missed(),)),
    ]
    rows = [(row.rule, row.verdict, row.counts, row.total) for row in added(*days).findings]
    assert rows == [
        ("hold.temperature", Verdict.NOT_MET, (1, 0), 1),
        ("hold.check_interval", Verdict.NOT_SHOWN, (3, 1), 4),
    ]


def test_sums_of_a_unit_are_put_together_and_scales_are_not() -> None:
    one = DayFigures(day=MONDAY, holding=(HoldingSum("pass", "F", 2, 29000, 14000, 0),))
    other = DayFigures(
        day=MONDAY + timedelta(days=1),
        holding=(HoldingSum("pass", "F", 1, 12800, 12800, 1), HoldingSum("pass", "C", 1, 6000, 6000, 0)),
    )
    assert added(one, other).holding == (
        HoldingSum("pass", "C", 1, 6000, 6000, 0),
        HoldingSum("pass", "F", 3, 41800, 12800, 1),
    )


def test_cook_times_have_a_median_and_a_range_and_the_unweighed_come_last() -> None:
    days = [
        DayFigures(day=MONDAY, cooking=(CookingSum("", 0, 5, (80,)), CookingSum("lb", 300, 10, (84, 90)))),
        DayFigures(day=MONDAY, cooking=(CookingSum("lb", 300, 10, (85, 99)), CookingSum("lb", 350, 5, (95,)))),
    ]
    rows = added(*days).cooking
    assert rows[0] == trends.CookingRow("lb", 300, 4, 20, Decimal("87.5"), 84, 99)
    assert [(row.weight_unit, row.weight_from) for row in rows] == [("lb", 300), ("lb", 350), ("", 0)]


def test_quarters_of_birds_add_up_by_source_and_reason() -> None:
    day = DayFigures(day=MONDAY, discarded=(thrown("tray", "", 1), thrown("tray", "dropped", 2), thrown("tray", "", 4)))
    assert added(day).discarded == (("tray", "", 5), ("tray", "dropped", 2))


def test_missed_checks_are_counted_by_hour_and_those_without_one_apart() -> None:
    found = (missed(hour=14), missed("probe.check_due", 14), missed(hour=9), missed("cold.check_interval", None), low())
    summed = added(DayFigures(day=MONDAY, found=found))
    assert [(row.hour, row.total) for row in summed.missed] == [(9, 1), (14, 2)]
    assert summed.missed[1].counts == {"hold.check_interval": 1, "probe.check_due": 1}
    assert summed.missed_in_a_day == 1


def test_no_days_add_up_to_nothing() -> None:
    summed = added()
    assert (summed.findings, summed.holding, summed.cooking, summed.discarded, summed.missed) == ((), (), (), (), ())
    assert len(summed.weeks) == 2
