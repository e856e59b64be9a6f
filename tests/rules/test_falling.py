"""Newton's law of cooling against computed and textbook cases."""

from math import exp, inf, log, pi, sqrt

import pytest

from app.rules.forecasts.falling import Beliefs, Fall, Newton, weigh


def test_hold_out_of_the_oven_by_newton() -> None:
    # Computed: 165 °F, air of 75 °F, 150 °F after 20 min: time constant 109.70 min, 135 °F at 44.48 min.
    constant = 20 / log((165 - 75) / (150 - 75))
    assert constant == pytest.approx(109.70, abs=0.005)
    assert Fall(Newton(), start=165, surroundings=75, constant=constant).minutes_to(135) == pytest.approx(
        44.48, abs=0.005
    )


def test_cooling_that_just_makes_its_first_stage_misses_the_second() -> None:
    # Computed: air of 38 °F, 135 to 70 °F in exactly 2 h; 41 °F at 6.27 h, over the 6 h of Food Code 3-501.14.
    constant = 2 / log((135 - 38) / (70 - 38))
    assert 1 / constant == pytest.approx(0.55449, abs=1e-5)
    assert Fall(Newton(), start=135, surroundings=38, constant=constant).minutes_to(41) == pytest.approx(
        6.27, abs=0.005
    )


def test_body_found_by_newton() -> None:
    # Çengel (from memory): cylinder of 0.3 m by 1.7 m, ρ 996, c 4178, h 8, 37 to 25 °C in a room of 20 °C: 12.2 h.
    volume, surface = pi * 0.15**2 * 1.7, pi * 0.3 * 1.7 + 2 * pi * 0.15**2
    constant = 996 * 4178 * volume / (8 * surface) / 3600
    assert Fall(Newton(), start=37, surroundings=20, constant=constant).minutes_to(25) == pytest.approx(12.19, abs=0.02)


def test_sphere_in_air_by_newton() -> None:
    # Incropera (from memory): radius 5 mm, ρ 3000, c 1000, h 10, 400 to 335 °C in air of 20 °C: 94 s.
    constant = 3000 * 1000 * 0.005 / 3 / 10
    assert Fall(Newton(), start=400, surroundings=20, constant=constant).minutes_to(335) == pytest.approx(93.8, abs=0.1)


def test_thermometer_bead_by_newton() -> None:
    # Çengel (from memory): bead of 1 mm, ρ 8500, c 320, h 210: 99 % of a step after 10 s.
    constant = 8500 * 320 * 0.001 / 6 / 210
    assert Fall(Newton(), start=1, surroundings=0, constant=constant).minutes_to(0.01) == pytest.approx(9.94, abs=0.01)


@pytest.mark.parametrize(("start", "mark"), [(130.0, 75.0), (130.0, 70.0), (70.0, 60.0)])
def test_a_mark_at_or_under_the_surroundings_is_never_passed(start: float, mark: float) -> None:
    assert Fall(Newton(), start=start, surroundings=75, constant=100).minutes_to(mark) == inf


@pytest.mark.parametrize(("others", "variance"), [([], 16 / 4), ([1.0], 16 / 5), ([1.0, 2.0], 16 / 6)])
def test_readings_leave_open_where_a_fall_began_by_their_scatter(others: list[float], variance: float) -> None:
    """Least squares on readings without an error, for one way down: y = 20 + s·θ, so that s varies by variance / Σθ².

    The scatter is taken for 2 °C as if four readings more had shown it (house): 4 · 2² / (4 + readings − 2).
    """
    thetas = [1.0, 0.5, *(exp(-constants) for constants in others)]
    points = [(-60 * log(theta), 20 + 60 * theta) for theta in thetas]
    ways = weigh(points, Beliefs(curves=(Newton(),), surroundings_c=((20.0, 1.0),), constants_min=((60.0, 1.0),)))
    mean = sum(weight * fall.start for weight, fall in ways)
    spread = sqrt(sum(weight * (fall.start - mean) ** 2 for weight, fall in ways))
    assert mean == pytest.approx(80)
    assert spread == pytest.approx(sqrt(variance / sum(theta * theta for theta in thetas)))
