"""Forecasts: what they rest on, when there is none, and what must not change them."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from functools import cache
from math import exp

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.kinds import Temperature
from app.rules.forecasts import roasting
from app.rules.forecasts.cook_time import SpitRecord
from app.rules.forecasts.forecast import (
    Basis,
    Forecast,
    NoForecast,
    Reason,
    forecast_batch,
    forecast_spit,
    forecast_tray,
)
from app.rules.forecasts.roasting import RoastHistory
from app.rules.scales import in_celsius

START = datetime(2026, 5, 1, 15, 0, tzinfo=UTC)
COOKED, HOT = Temperature(Decimal(165), "F"), Temperature(Decimal(135), "F")
FIRST_MARK, COLD = Temperature(Decimal(70), "F"), Temperature(Decimal(41), "F")
ANY_READINGS = st.lists(
    st.tuples(st.integers(-2, 900), st.integers(-600, 6000).map(lambda tenths: tenths / 10)), max_size=7
)


def _at(minute: float) -> datetime:
    return START + timedelta(minutes=minute)


def _readings(*points: tuple[float, float], unit: str = "F") -> list[tuple[datetime, Temperature]]:
    return [(_at(minute), Temperature(Decimal(f"{value:.1f}"), unit)) for minute, value in points]


def _expected(forecast: Forecast | NoForecast) -> Forecast:
    assert isinstance(forecast, Forecast)
    return forecast


@cache
def _history() -> RoastHistory:
    """What ten invented loads teach: 1.4 kg birds take 80 min, 1.8 kg birds 94."""
    loads = [(1.4, [(40, 70.0), (60, 118.0), (80, 165.0)]), (1.8, [(47, 70.0), (70, 118.0), (94, 165.0)])] * 5
    spits = [SpitRecord(started_at=START, readings=_readings(*points), bird_kg=kg, birds=6) for kg, points in loads]
    return roasting.learn(spits, limit=COOKED)


def test_a_batch_that_will_miss_six_hours_says_so_in_time_to_act() -> None:
    points = [(minute, 38 + 97 * exp(-0.55449 * minute / 60)) for minute in (0, 30, 60, 90, 120)]
    seen, air = _readings(*points), Temperature(Decimal(38), "F")
    forecast = _expected(forecast_batch(seen, mark=COLD, surroundings=air, at=_at(120)))
    assert forecast.likely_after(_at(6 * 60))
    assert abs((forecast.about - _at(6.27 * 60)).total_seconds()) < 30 * 60


def test_a_batch_in_ice_makes_its_marks() -> None:
    points = [(minute, 33 + 102 * exp(-minute / 40)) for minute in (0, 15, 30)]
    seen, air = _readings(*points), Temperature(Decimal(33), "F")
    for mark, due in ((FIRST_MARK, 120), (COLD, 360)):
        forecast = _expected(forecast_batch(seen, mark=mark, surroundings=air, at=_at(30)))
        assert not forecast.likely_after(_at(due))
        assert not forecast.maybe_after(_at(due))


def test_no_past_loads_and_no_readings_is_too_little() -> None:
    spit = SpitRecord(started_at=START, readings=[], bird_kg=1.5)
    nothing = roasting.learn([], limit=COOKED)
    assert forecast_spit(spit, history=nothing, at=_at(30)) == NoForecast(Reason.NO_READINGS)


def test_a_core_that_has_hardly_warmed_is_too_early() -> None:
    spit = SpitRecord(started_at=START, readings=_readings((15, 42)))
    nothing = roasting.learn([], limit=COOKED)
    assert forecast_spit(spit, history=nothing, at=_at(30)) == NoForecast(Reason.TOO_EARLY)


def test_a_spit_at_its_limit_is_not_forecast() -> None:
    spit = SpitRecord(started_at=START, readings=_readings((80, 165)))
    assert forecast_spit(spit, history=_history(), at=_at(81)) == NoForecast(Reason.REACHED)


def test_the_coldest_of_a_round_stands_for_the_spit() -> None:
    spit = SpitRecord(started_at=START, readings=_readings((80, 150), (81, 170)))
    assert isinstance(forecast_spit(spit, history=_history(), at=_at(82)), Forecast)


@pytest.mark.parametrize(
    ("readings", "taught", "basis"),
    [
        ([], True, Basis.PAST_LOADS),
        ([(50, 90)], True, Basis.READINGS_AND_PAST_LOADS),
        ([(50, 90)], False, Basis.READINGS),
    ],
)
def test_a_forecast_says_what_it_rests_on(readings: list[tuple[float, float]], basis: Basis, *, taught: bool) -> None:
    history = _history() if taught else roasting.learn([], limit=COOKED)
    spit = SpitRecord(started_at=START, readings=_readings(*readings))
    forecast = _expected(forecast_spit(spit, history=history, at=_at(55)))
    assert (forecast.basis, forecast.readings) == (basis, len(readings))
    assert forecast.past_loads == (history.loads if taught else 0)


def test_heavier_birds_are_forecast_later() -> None:
    history = _history()
    light, heavy = (SpitRecord(started_at=START, readings=[], bird_kg=kg, birds=5) for kg in (1.2, 1.9))
    first, second = (_expected(forecast_spit(spit, history=history, at=START)) for spit in (light, heavy))
    assert second.about - first.about > timedelta(minutes=8)


def test_a_spit_under_its_limit_is_ready_after_its_last_reading() -> None:
    spit = SpitRecord(started_at=START, readings=_readings((180, 150)))
    forecast = _expected(forecast_spit(spit, history=_history(), at=_at(181)))
    assert _at(180) <= forecast.earliest <= forecast.about


def test_a_load_unlike_past_ones_is_forecast_by_its_readings() -> None:
    spit = SpitRecord(started_at=START, readings=_readings((120, 100), (180, 150)), bird_kg=1.5)
    forecast = _expected(forecast_spit(spit, history=_history(), at=_at(181)))
    assert (forecast.basis, forecast.past_loads) == (Basis.READINGS, 0)
    assert _at(188) < forecast.about < _at(220)


def test_a_core_still_cold_long_after_is_not_forecast_into_the_past() -> None:
    spit = SpitRecord(started_at=START, readings=_readings((150, 45)), bird_kg=1.5)
    assert _expected(forecast_spit(spit, history=_history(), at=_at(151))).earliest >= _at(150)


def test_readings_after_the_moment_asked_about_change_nothing() -> None:
    history, early = _history(), [(50.0, 90.0)]
    before, after = (
        forecast_spit(SpitRecord(started_at=START, readings=_readings(*points)), history=history, at=_at(55))
        for points in (early, [*early, (70.0, 100.0)])
    )
    assert before == after


def test_a_spit_in_celsius_is_forecast_as_in_fahrenheit() -> None:
    history = _history()
    fahrenheit = _readings((50, 90), (65, 120))
    celsius = [(at, Temperature(in_celsius(reading), "C")) for at, reading in fahrenheit]
    first, second = (
        _expected(forecast_spit(SpitRecord(started_at=START, readings=each), history=history, at=_at(66)))
        for each in (fahrenheit, celsius)
    )
    assert abs(first.about - second.about) < timedelta(seconds=1)


def test_the_same_a_day_later_is_a_day_later() -> None:
    day, seen = timedelta(days=1), _readings((0, 170), (20, 165), (40, 158), (60, 151))
    shifted = [(at + day, reading) for at, reading in seen]
    first, second = (
        _expected(forecast_tray(seen, limit=HOT, at=_at(60))),
        _expected(forecast_tray(shifted, limit=HOT, at=_at(60) + day)),
    )
    assert abs(second.about - first.about - day) < timedelta(milliseconds=1)


@pytest.mark.parametrize(
    ("label", "points", "reason"),
    [
        ("never read", [], Reason.NO_READINGS),
        ("read twice", [(0, 170), (30, 160)], Reason.FEW_READINGS),
        ("not falling", [(0, 150), (30, 150.2), (60, 149.9)], Reason.TOO_EARLY),
        ("already under", [(0, 150), (30, 140), (60, 134)], Reason.REACHED),
        ("levels out over the limit", [(0, 170), (30, 152), (60, 149), (90, 149), (120, 149)], Reason.NOT_EXPECTED),
    ],
)
def test_a_tray_without_a_forecast_says_why(label: str, points: list[tuple[float, float]], reason: Reason) -> None:
    assert forecast_tray(_readings(*points), limit=HOT, at=_at(200)) == NoForecast(reason), label


def test_a_batch_in_a_warm_unit_is_not_expected_to_get_cold() -> None:
    points = [(minute, 46 + 89 * exp(-minute / 90)) for minute in (0, 60, 120, 180, 240)]
    forecast = forecast_batch(_readings(*points), mark=COLD, surroundings=Temperature(Decimal(46), "F"), at=_at(240))
    assert forecast == NoForecast(Reason.NOT_EXPECTED)


def test_a_core_that_still_rises_is_taken_from_its_hottest_reading() -> None:
    fall = [(20.0, 178.0), (50.0, 165.0), (80.0, 152.0)]
    rising = forecast_tray(_readings((0, 170), *fall), limit=HOT, at=_at(80))
    assert rising == forecast_tray(_readings(*fall), limit=HOT, at=_at(80))


def _in_order(forecast: Forecast | NoForecast) -> bool:
    if isinstance(forecast, NoForecast):
        return True
    return forecast.earliest <= forecast.about and (forecast.latest is None or forecast.about <= forecast.latest)


@given(readings=ANY_READINGS, kg=st.none() | st.floats(0.01, 100), birds=st.none() | st.integers(1, 500))
@example(readings=[(33, 0.0)], kg=99.0, birds=500)  # past loads, carried on to such birds, would say years
def test_whatever_was_read_on_a_spit_its_range_is_in_order(
    readings: list[tuple[float, float]], kg: float | None, birds: int | None
) -> None:
    spit = SpitRecord(started_at=START, readings=_readings(*readings), bird_kg=kg, birds=birds)
    hotter = Temperature(Decimal(120), "C")
    for history in (_history(), roasting.learn([], limit=hotter), roasting.learn([spit] * 6, limit=COOKED)):
        assert _in_order(forecast_spit(spit, history=history, at=_at(900)))


@given(readings=ANY_READINGS, air=st.none() | st.integers(-60, 600).map(lambda value: Temperature(Decimal(value), "F")))
def test_whatever_was_read_of_what_falls_its_range_is_in_order(
    readings: list[tuple[float, float]], air: Temperature | None
) -> None:
    seen = _readings(*readings)
    assert _in_order(forecast_tray(seen, limit=HOT, surroundings=air, at=_at(900)))
    assert _in_order(forecast_batch(seen, mark=COLD, surroundings=air, at=_at(900)))
