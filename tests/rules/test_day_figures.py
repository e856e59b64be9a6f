"""A day in figures: taken from its assessment, deciding nothing itself."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest

from app.kinds import Entry, Subject, Temperature
from app.rules.facts import Verdict
from app.rules.figures.day_figures import CookFigure, DayFigures, HoldingSum, figures, weight_class
from tests.support.cast import entry, moment
from tests.support.story import adopted, hot_tray, loaded, out, probed, read, told


def in_figures(*entries: Entry, **options: Any) -> DayFigures:
    return figures(told(entries, **options))


def test_a_finding_is_told_with_its_rule_subject_and_verdict() -> None:
    day = in_figures(*hot_tray(), read("134.9", "11:15"))
    (one,) = [one for one in day.found if one.rule == "hold.temperature"]
    assert (one.subject, one.verdict, one.hour) == (Subject("tray", "A-T1"), Verdict.NOT_MET, None)
    assert one.onset_at == moment("11:15")
    assert one.key.startswith("hold.temperature:tray:A-T1:")


def test_a_missed_check_has_the_hour_of_the_kitchens_clock() -> None:
    """The tray was pulled at 10:35, its check was due 90 minutes later."""
    day = in_figures(*hot_tray(), read("150", "13:00"), as_of="13:30")
    assert [one.hour for one in day.found if one.rule == "hold.check_interval"] == [12]


@pytest.mark.parametrize(
    ("pulled", "due", "hour"), [("04:40", "06:10", 1), ("05:40", "07:10", 1), ("06:40", "08:10", 2)]
)
def test_an_hour_that_comes_twice_is_one_hour_of_the_clock(pulled: str, due: str, hour: int) -> None:
    """On 1 November 2026 at 2 o'clock daylight time, 07:00 UTC, Chicago's clocks go back to 1 (15 USC 260a)."""
    night = date(2026, 11, 1)
    at = datetime.fromisoformat(f"{night}T{pulled}+00:00")
    start = [entry("load_started", at=at), entry("spit_loaded", at=at)]
    pulls = [*probed("170", "171", at=at), entry("spit_pulled", at=at)]
    day = in_figures(*start, *pulls, day=date(2026, 10, 31), as_of=moment("20:00", day=night))
    found = [(one.onset_at, one.hour) for one in day.found if one.rule == "hold.check_interval"]
    assert found == [(datetime.fromisoformat(f"{night}T{due}+00:00"), hour)]


def test_a_cold_unit_that_was_not_checked_has_no_hour() -> None:
    day = in_figures(entry("equipment_out", at="12:00"), as_of=moment("05:00", day=date(2026, 4, 15)))
    assert {one.hour for one in day.found if one.rule == "cold.check_interval"} == {None}


@pytest.mark.parametrize(("temperature", "low"), [("134.9", 1), ("135", 0), ("135.1", 0)])
def test_a_reading_is_low_as_the_assessment_held_it(temperature: str, low: int) -> None:
    """FDA Food Code 2022, 3-501.16(A)(1): 135 °F or above."""
    day = in_figures(*hot_tray(), read(temperature, "11:15"))
    hundredths = int(Decimal(temperature) * 100)
    assert day.holding == (HoldingSum("pass", "F", 1, hundredths, hundredths, low),)


def test_a_reading_is_held_to_the_limit_of_its_own_trays_plan() -> None:
    day = in_figures(*hot_tray(), read("137", "11:15"), plans=[adopted(hot_holding="140F/60C")])
    assert [one.low for one in day.holding] == [1]


def test_readings_of_the_two_scales_are_kept_apart() -> None:
    day = in_figures(*hot_tray(), read("150", "11:15"), read("60", "11:45", "C"), read("140", "12:00"))
    assert day.holding == (HoldingSum("pass", "C", 1, 6000, 6000, 0), HoldingSum("pass", "F", 2, 29000, 14000, 0))


def test_a_reading_counts_for_the_unit_where_the_tray_stood() -> None:
    moved = entry("tray_moved", at="11:30", hot_unit="cabinet")
    day = in_figures(*hot_tray(), read("150", "11:15"), moved, read("149", "11:45"))
    assert [(one.hot_unit, one.reading) for one in day.held] == [
        ("pass", Temperature(Decimal(150), "F")),
        ("cabinet", Temperature(Decimal(149), "F")),
    ]


def test_a_withdrawn_reading_counts_for_nothing() -> None:
    wrong = read("101", "11:15")
    day = in_figures(*hot_tray(), wrong, entry("hold_reading", at="11:15", of=wrong, withdrawn=True))
    assert day.holding == ()


def test_a_cook_time_runs_from_the_start_to_the_last_pull() -> None:
    half = [entry("spit_pulled", at=at, birds=birds, tray=tray) for at, birds, tray in _HALVES]
    (one,) = in_figures(*loaded(mean_weight="3.25", weight_unit="lb"), *probed("170", "171"), *half).cooked
    assert one == CookFigure("A-L1", 1, 5, 96, moment("10:36:59"), 325, "lb")


_HALVES = (("10:31", 3, "A-T1"), ("10:36:59", 2, "A-T2"))


def test_a_spit_with_birds_on_it_has_no_cook_time() -> None:
    assert in_figures(*loaded(), *probed("170", "171"), entry("spit_pulled", at="10:31", birds=3)).cooked == ()


def test_birds_that_went_back_to_the_oven_are_no_raw_birds() -> None:
    back = out("5", "11:00", "returned_to_oven", load="A-L1", spit=9)
    again = entry("spit_pulled", at="11:20", spit=9, tray="A-T3")
    assert [one.spit for one in in_figures(*hot_tray(), back, again).cooked] == [1]


@pytest.mark.parametrize(
    ("second", "weight"),
    [
        ({"birds": 10, "mean_weight": "3.3", "weight_unit": "lb"}, (320, "lb")),
        ({"birds": 10}, (None, None)),
        ({"birds": 10, "mean_weight": "1.5", "weight_unit": "kg"}, (None, None)),
    ],
)
def test_two_lots_on_a_spit_have_one_mean_weight_or_none(second: dict[str, Any], weight: tuple[int, str]) -> None:
    first = {"birds": 5, "mean_weight": "3", "weight_unit": "lb"}
    on = [entry("load_started", at="09:00")]
    on += [entry("spit_loaded", at="09:00", **first), entry("spit_loaded", at="09:01", **second)]
    (one,) = in_figures(*on, *probed("170", "171"), entry("spit_pulled", at="10:30", birds=15)).cooked
    assert (one.weight, one.weight_unit) == weight


@pytest.mark.parametrize(
    ("weight", "unit", "begins"),
    [(349, "lb", 300), (350, "lb", 350), (149, "kg", 125), (150, "kg", 150), (None, None, 0)],
)
def test_classes_of_weight_are_half_pounds_and_quarter_kilograms(
    weight: int | None, unit: str | None, begins: int
) -> None:
    assert weight_class(CookFigure("A-L1", 1, 5, 90, moment("10:30"), weight, unit)) == (unit or "", begins)


def test_birds_thrown_away_are_told_by_source_and_reason_and_are_those_of_the_assessment() -> None:
    told_day = told(_thrown_away())
    day = figures(told_day)
    assert [(one.source.kind, one.reason, one.quarters) for one in day.discarded] == [
        ("spit", "", 4),
        ("tray", "dropped", 1),
        ("reheat", "", 2),
        ("batch", "", 4),
    ]
    assert sum(one.quarters for one in day.discarded) == told_day.birds.discarded * 4


def _thrown_away() -> list[Entry]:
    return [
        *loaded(),
        *probed("170", "171"),
        entry("spit_pulled", at="10:35", birds=4, discarded_birds=[5]),
        out("0.25", "10:50", "discarded", reason="dropped"),
        out("3", "11:00", "chilled", batch="A-B1"),
        entry("reheat_started", at="14:00", birds="1"),
        entry("reheat_reading", at="14:20"),
        entry("reheat_done", at="14:21", birds="0.5", discarded=Decimal("0.5")),
        entry("batch_out", at="15:00", birds="1", to="discarded"),
    ]
