"""Control charts against the NIST/SEMATECH e-Handbook and a textbook data set; in control apart from the limit."""

from statistics import fmean

import pytest

from app.rules.figures import control_chart
from app.rules.figures.control_chart import Signal

# NIST/SEMATECH e-Handbook 6.3.2.2, flow rates of ten batches.
NIST_FLOW_RATES = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
# SAS/QC User's Guide, SHEWHART procedure, IRCHART statement: diameters of twenty jet nozzles.
SAS_JETS = [
    *[78.4, 80.1, 84.4, 79.1, 80.4, 83.5, 73.8, 83.5, 75.0, 76.8],
    *[70.5, 80.3, 82.4, 79.4, 86.4, 90.5, 77.7, 82.5, 79.9, 83.2],
]

RULES = [
    # Western Electric rules, NIST/SEMATECH e-Handbook 6.3.2; centre 0, sigma 1; signals of the last value.
    ("at 3 sigma", [3.0], set()),
    ("beyond 3 sigma", [3.1], {Signal.BEYOND_3_SIGMA}),
    ("beyond 3 sigma below", [-3.1], {Signal.BEYOND_3_SIGMA}),
    ("two of three beyond 2", [2.1, 0.0, 2.1], {Signal.TWO_OF_THREE_BEYOND_2_SIGMA}),
    ("two beyond 2, opposite sides", [2.1, 0.0, -2.1], set()),
    ("two of four beyond 2", [2.1, 0.0, 0.0, 2.1], set()),
    ("two of three, but the newest is back", [2.1, 2.1, 0.0], set()),
    ("four of five beyond 1", [1.1, 1.1, -0.5, 1.1, 1.1], {Signal.FOUR_OF_FIVE_BEYOND_1_SIGMA}),
    ("three of five beyond 1", [1.1, 1.1, -0.5, 0.5, 1.1], set()),
    ("seven on one side", [0.1] * 7, set()),
    ("eight on one side", [0.1] * 8, {Signal.EIGHT_ON_ONE_SIDE}),
    ("eight, one on the centre", [0.1] * 7 + [0.0], set()),
]


def test_individuals_chart_of_the_handbook() -> None:
    chart = control_chart.individuals_chart(NIST_FLOW_RATES)
    assert chart.centre == pytest.approx(50.81, abs=5e-5)
    assert fmean(chart.moving_ranges) == pytest.approx(1.8778, abs=5e-5)
    assert [chart.upper, chart.lower] == pytest.approx([55.8041, 45.8159], abs=5e-4)


def test_individuals_chart_of_the_jets() -> None:
    chart = control_chart.individuals_chart(SAS_JETS)
    assert [chart.centre, fmean(chart.moving_ranges)] == pytest.approx([80.39, 5.3263], abs=5e-5)
    assert [chart.upper, chart.lower] == pytest.approx([94.556, 66.224], abs=1e-3)
    assert chart.moving_range_upper == pytest.approx(17.401, abs=1e-3)


def test_the_jets_are_within_three_sigma() -> None:
    signals = frozenset().union(*(p.signals for p in control_chart.chart_points(SAS_JETS, within_limit=[True] * 20)))
    assert not signals & {Signal.BEYOND_3_SIGMA, Signal.MOVING_RANGE}


@pytest.mark.parametrize(("label", "values", "expected"), RULES)
def test_western_electric_rules(label: str, values: list[float], expected: set[Signal]) -> None:
    assert control_chart.western_electric_signals(values, centre=0, sigma=1)[-1] == expected, label


def test_a_steady_warm_unit_is_in_control_and_over_its_limit() -> None:
    # Food Code 3-501.16: 41 °F or less. 45 °F every time is nothing unusual, and it is not within the limit.
    points = control_chart.chart_points([45.0, 45.2, 44.8, 45.1, 45.0], within_limit=[False] * 5)
    assert all(point.in_control and not point.within_limit for point in points)


def test_a_sudden_step_within_the_limit_is_out_of_control() -> None:
    values = [34.0, 34.2, 33.9, 34.1, 34.0, 34.2, 33.8, 34.1, 34.0, 34.1, 34.2, 38.0]
    last = control_chart.chart_points(values, within_limit=[True] * 12)[-1]
    assert last.within_limit
    assert last.signals >= {Signal.BEYOND_3_SIGMA, Signal.MOVING_RANGE}


def test_values_that_never_change_raise_nothing() -> None:
    points = control_chart.chart_points([38.0] * 10, within_limit=[True] * 10)
    assert all(point.in_control for point in points)


@pytest.mark.parametrize("values", [[], [38.0]])
def test_one_value_makes_no_chart(values: list[float]) -> None:
    with pytest.raises(ValueError, match="two values"):
        control_chart.individuals_chart(values)
