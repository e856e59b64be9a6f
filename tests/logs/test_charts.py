"""Charts: the same picture each time, with a sentence for its alternative and its numbers as they were read."""

import re
from dataclasses import replace
from datetime import timedelta
from functools import cache
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from app.kinds import Entry
from app.logs import charts
from app.logs.charts.drawing import Clock, axis_unit
from app.rules.day import subjects_shown
from app.rules.forecasts.forecast import Basis, Forecast
from app.rules.meaning.probes import tolerance
from app.rules.subjects import probe_checks
from tests.support import cast, printed_day
from tests.support.cast import entry, moment
from tests.support.set_up import assess

SVG = "{http://www.w3.org/2000/svg}"
DAY = printed_day.assessment()
LIMITS, ZONE = DAY.plan.limits, DAY.site.timezone
AIR = [37, 38, 36, 37, 38, 37, 36, 38, 39, 37, 38, 37, 44, 37, 36]


def _load() -> subjects_shown.LoadView:
    made = [
        entry("load_started", at="09:00", load="<b>&$1$"),
        entry("spit_loaded", at="09:02", load="<b>&$1$"),
        entry("cook_reading", at="10:00", load="<b>&$1$", temperature="128"),
        entry("cook_reading", at="10:15", load="<b>&$1$", temperature="149"),
        entry("cook_reading", at="10:30", load="<b>&$1$", temperature="168"),
        entry("spit_pulled", at="10:36", load="<b>&$1$"),
    ]
    return assess(cast.DAY, made, site=DAY.site, plans=[cast.ADOPTED], as_of=moment("10:40")).loads[0]


@cache
def load_chart() -> charts.Chart:
    settings = [entry("oven_setting", at="09:05")]
    soon = Forecast(
        about=moment("10:45"), earliest=moment("10:41"), latest=None, basis=Basis.READINGS, readings=3, past_loads=0
    )
    return charts.load_chart(_load(), limit=LIMITS.cook_core, zone=ZONE, settings=settings, forecasts={1: soon})


@cache
def tray_chart() -> charts.Chart:
    return charts.tray_chart(DAY.trays[0], limit=LIMITS.hot_holding, zone=ZONE)


@cache
def batch_chart() -> charts.Chart:
    return charts.batch_chart(DAY.batches[0], zone=ZONE)


@cache
def probe_chart() -> charts.Chart:
    read = enumerate(("32.4", "33.9", "32.1"))
    checks = [entry("probe_check", at=moment("08:30") + timedelta(days=day), temperature=text) for day, text in read]
    results = [probe_checks.judge_check(check, site=DAY.site, plan=DAY.plan) for check in checks]
    return charts.probe_chart("blue", results, tolerance=tolerance(DAY.plan, scale="dual", unit="C"), zone=ZONE)


def _air(values: list[int]) -> list[Entry]:
    start = moment("08:30")
    times = [start + timedelta(hours=12 * number) for number in range(len(values))]
    return [entry("unit_check", at=at, temperature=str(value)) for at, value in zip(times, values, strict=True)]


@cache
def unit_chart() -> charts.Chart:
    within = [value <= 41 for value in AIR]
    return charts.unit_chart("walk-in", _air(AIR), limit=LIMITS.cold_holding, within=within, zone=ZONE)


DRAWN = pytest.mark.parametrize("drawn", [load_chart, tray_chart, batch_chart, probe_chart, unit_chart])


@DRAWN
def test_a_chart_is_the_same_each_time(drawn: Any) -> None:
    assert drawn.__wrapped__().svg == drawn().svg  # drawn anew


@DRAWN
def test_a_chart_says_in_its_title_what_it_shows(drawn: Any) -> None:
    chart = drawn()
    root = ET.fromstring(chart.svg)
    assert root[0].tag == f"{SVG}title"
    assert root[0].text == chart.title
    assert root.get("role") == "img"


@DRAWN
def test_a_chart_has_one_ink_and_stands_under_a_strict_content_policy(drawn: Any) -> None:
    svg = drawn().svg
    assert not re.search(r"\sstyle=|<style|<script|<image|href=\"(?!#)", svg)
    assert set(re.findall(r'(?:fill|stroke)="([^"]*)"', svg)) <= {"currentColor", "none"} | _patterns(svg)


def _patterns(svg: str) -> set[str]:
    return {f"url(#{name})" for name in re.findall(r'<pattern id="([^"]*)"', svg)}


@DRAWN
def test_every_reference_in_a_chart_leads_somewhere(drawn: Any) -> None:
    svg = drawn().svg
    ids = re.findall(r' id="([^"]*)"', svg)
    assert set(re.findall(r'(?:href="#|url\(#)([^")]*)', svg)) <= set(ids)
    assert len(ids) == len(set(ids))


@DRAWN
def test_a_chart_has_its_numbers_as_a_table(drawn: Any) -> None:
    table = drawn().table
    assert table.rows
    assert all(len(row) == len(table.head) for row in table.rows)


def test_drawings_of_different_subjects_share_no_ids() -> None:
    ids = [set(re.findall(r' id="([^"]*)"', drawn().svg)) for drawn in (load_chart, tray_chart, batch_chart)]
    assert not any(one & other for one, other in pairwise(ids))


def test_the_table_of_a_load_holds_the_readings_as_read() -> None:
    chart = load_chart()
    assert chart.table.rows[0] == ("10:00", "1", "1, breast", "128\u00a0°F")
    assert chart.title == "Load <b>&$1$, started 09:00: 3 readings against the limit of 165\u00a0°F / 74\u00a0°C."


def test_text_in_a_chart_is_text() -> None:
    assert "<b>" not in load_chart().svg
    assert "pulled" in load_chart().svg


def test_the_table_of_a_tray_counts_its_birds_down() -> None:
    assert [row[3] for row in tray_chart().table.rows] == ["6", "", "", "2¾", "0"]


def test_the_table_of_a_batch_tells_the_time_since_its_start() -> None:
    assert ("14:10", "2 h", "", "due: 70\u00a0°F / 21\u00a0°C") in batch_chart().table.rows
    assert ("15:00", "2 h 50 min", "66\u00a0°F", "") in batch_chart().table.rows


def test_a_probe_is_charted_on_the_scale_of_its_tolerance() -> None:
    """FDA Food Code 2022, 4-203.11(A): ±1 °C. 33.9 °F in ice is 1.9 × 5/9 = 1.06 °C off."""
    chart = probe_chart()
    assert chart.title == "Probe blue: 3 checks; it may be off by 1\u00a0°C."
    assert [row[3:] for row in chart.table.rows] == [
        ("0.4\u00a0°F", "met"),
        ("1.9\u00a0°F", "not met"),
        ("0.1\u00a0°F", "met"),
    ]


def test_in_control_is_kept_apart_from_within_the_limit() -> None:
    chart = unit_chart()
    assert chart.table.head[2:] == ("Within the limit", "In control")
    assert chart.table.rows[12][2:] == ("no", "a larger step than usual, beyond the control limits")
    assert chart.table.rows[13][2:] == ("yes", "a larger step than usual")
    assert "not that the limit is met" in chart.title


def test_a_unit_that_is_always_too_warm_is_in_control_and_over_its_limit() -> None:
    warm = [45, 46, 45, 44, 45, 46, 45]
    chart = charts.unit_chart("walk-in", _air(warm), limit=LIMITS.cold_holding, within=[False] * 7, zone=ZONE)
    assert {row[2:] for row in chart.table.rows} == {("no", "yes")}


def test_one_check_is_no_control_chart() -> None:
    with pytest.raises(ValueError, match="two checks"):
        charts.unit_chart("walk-in", _air([38]), limit=LIMITS.cold_holding, within=[True], zone=ZONE)


def test_a_load_without_readings_can_be_drawn() -> None:
    made = [entry("load_started", at="09:00"), entry("spit_loaded", at="09:02")]
    day = assess(cast.DAY, made, site=DAY.site, plans=[cast.ADOPTED], as_of=moment("09:10"))
    assert charts.load_chart(day.loads[0], limit=LIMITS.cook_core, zone=ZONE).table.rows == ()


def test_the_temperature_axis_has_the_unit_that_most_readings_have() -> None:
    celsius, fahrenheit = (entry("hold_reading", at="10:00", unit=unit).reading for unit in "CF")
    assert axis_unit([celsius, celsius, fahrenheit]) == "C"
    assert axis_unit([]) == "F"


@pytest.mark.parametrize(
    ("first", "last", "labels"),
    [
        ("10:07", "10:31", ["10:05", "10:10", "10:15", "10:20", "10:25"]),
        ("10:07", "17:31", ["10:00", "11:00", "12:00"]),
    ],
)
def test_the_time_axis_is_labelled_at_round_times(first: str, last: str, labels: list[str]) -> None:
    clock = Clock.over([moment(first), moment(last)], ZONE)
    assert [label for _place, label in clock.ticks()][: len(labels)] == labels
    places = [place for place, _label in clock.ticks()]
    assert all(0 <= place <= clock.minute(clock.end) for place in places)


def test_a_target_is_drawn_under_its_own_name_as_a_thinner_line_than_the_limit() -> None:
    plan = replace(cast.ADOPTED, settings=(("cook_target", "180F/82C"),))
    made = [entry("load_started", at="09:00"), entry("spit_loaded", at="09:02"), entry("cook_reading", at="10:00")]
    (load,) = assess(cast.DAY, made, site=DAY.site, plans=[plan], as_of=moment("10:40")).loads
    svg = charts.load_chart(load, limit=LIMITS.cook_core, zone=ZONE).svg
    assert "target 180 °F" in svg.replace("\xa0", " ")
    assert "limit 165 °F" in svg.replace("\xa0", " ")
    assert "target" not in load_chart().svg
