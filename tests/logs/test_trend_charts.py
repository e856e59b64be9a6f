"""Charts of trends: bars in one ink, told apart by hatching, with their numbers as a table."""

import re
from datetime import date
from xml.etree import ElementTree as ET

from app.kinds import Subject
from app.logs.charts import Chart, hours_chart, weeks_chart
from app.rules.facts import Concern, Verdict
from app.rules.figures import trends
from app.rules.figures.day_figures import DayFigures, FoundFigure
from tests.support.cast import moment


def _found(rule: str, verdict: Verdict, hour: int | None = None) -> FoundFigure:
    return FoundFigure(rule, Subject("tray", "A-T1"), verdict, Concern.MONITORING, "key", moment("14:03"), hour)


def _trends() -> trends.Trends:
    low, missed = _found("hold.temperature", Verdict.NOT_MET), _found("hold.check_interval", Verdict.NOT_SHOWN, 14)
    days = [DayFigures(day=date(2026, 4, 14), found=(low, missed)), DayFigures(day=date(2026, 4, 20), found=(missed,))]
    return trends.add_up(days, first=date(2026, 4, 13), last=date(2026, 4, 26))


def _charts() -> list[Chart]:
    return [weeks_chart(_trends()), hours_chart(_trends())]


def test_a_chart_of_trends_says_in_its_title_what_it_shows() -> None:
    assert [chart.title for chart in _charts()] == [
        "Findings by week, in 2 weeks: 1 not met, 2 not recorded.",
        "Checks missed by hour of the day: 2.",
    ]
    for chart in _charts():
        assert ET.fromstring(chart.svg)[0].text == chart.title


def test_a_chart_of_trends_has_its_numbers_as_a_table() -> None:
    weeks, hours = _charts()
    assert weeks.table.rows == (("13 Apr", "1", "1"), ("20 Apr", "0", "1"))
    assert hours.table.rows[14] == ("14", "2", "0")
    assert len(hours.table.rows) == 24


def test_a_chart_of_trends_has_one_ink_and_is_the_same_each_time() -> None:
    for chart, again in zip(_charts(), _charts(), strict=True):
        assert chart.svg == again.svg
        hatches = {f"url(#{name})" for name in re.findall(r'<pattern id="([^"]*)"', chart.svg)}
        assert set(re.findall(r'(?:fill|stroke)="([^"]*)"', chart.svg)) <= {"currentColor", "none"} | hatches
        assert not re.search(r"\sstyle=|<style|<script", chart.svg)


def test_trends_without_findings_can_be_drawn() -> None:
    nothing = trends.add_up([], first=date(2026, 4, 13), last=date(2026, 4, 19))
    assert weeks_chart(nothing).table.rows == (("13 Apr", "0", "0"),)
    assert len(hours_chart(nothing).table.rows) == 24
