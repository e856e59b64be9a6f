"""Forecasts judged on what they have not seen: held-out loads, trays and batches of a simulated kitchen.

The kitchens are those of the first seeds tried; none was chosen for its result.
"""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from functools import cache
from statistics import median

import pytest

from app.kinds import Temperature
from app.rules.forecasts import roasting
from app.rules.forecasts.cook_time import SpitRecord
from app.rules.forecasts.forecast import Forecast, forecast_batch, forecast_spit, forecast_tray
from app.rules.forecasts.roasting import RoastHistory
from tests.support.simulated_kitchen import SimulatedFall, SimulatedKitchen, SimulatedSpit

COOKED, HOT = Temperature(Decimal(165), "F"), Temperature(Decimal(135), "F")
FIRST_MARK, COLD = Temperature(Decimal(70), "F"), Temperature(Decimal(41), "F")
KITCHENS = range(2001, 2007)
PAST, HELD_OUT = 40, 40


def _record(spit: SimulatedSpit) -> SpitRecord:
    return SpitRecord(
        started_at=spit.started_at,
        readings=spit.readings,
        bird_kg=spit.bird_kg,
        birds=spit.birds,
        rotation_percent=spit.rotation_percent,
    )


@cache
def _roasted(seed: int) -> tuple[list[SimulatedSpit], RoastHistory]:
    """One kitchen's held-out spits, and what its earlier ones taught."""
    spits = SimulatedKitchen(seed).roast(PAST + HELD_OUT)
    return spits[PAST:], roasting.learn([_record(spit) for spit in spits[:PAST]], limit=COOKED)


def _spit_forecasts(ahead_min: int) -> list[tuple[SimulatedSpit, Forecast]]:
    """Forecasts for every held-out spit of every kitchen, made so long before it was really ready."""
    made = []
    for spits, history in map(_roasted, KITCHENS):
        for spit in spits:
            at = spit.ready_at - timedelta(minutes=ahead_min)
            forecast = forecast_spit(_record(spit), history=history, at=at)
            assert isinstance(forecast, Forecast)
            made.append((spit, forecast))
    return made


@cache
def _trays(every_min: int) -> list[SimulatedFall]:
    return SimulatedKitchen(3001).hold(60, every_min=every_min)


@cache
def _batches() -> list[SimulatedFall]:
    kitchen = SimulatedKitchen(4001)
    return kitchen.chill(40, whole=True) + kitchen.chill(20, whole=False)


def _fall_forecasts(
    falls: list[SimulatedFall], mark: Temperature, count: int, *, air: bool
) -> list[tuple[datetime, Forecast]]:
    """Forecasts after so many readings, with the true moment, wherever the mark was still to come."""
    made = []
    for fall in falls:
        passed_at = fall.passed_at[1] if mark is COLD else fall.passed_at[0]
        seen, around = fall.readings[:count], fall.surroundings if air else None
        if mark is HOT:
            forecast = forecast_tray(seen, limit=mark, surroundings=around, at=seen[-1][0])
        else:
            forecast = forecast_batch(seen, mark=mark, surroundings=around, at=seen[-1][0])
        if passed_at is not None and passed_at > seen[-1][0] and isinstance(forecast, Forecast):
            made.append((passed_at, forecast))
    return made


def _inside(made: Sequence[tuple[datetime, Forecast]]) -> float:
    """Part of the moments that fell inside their range."""
    held = [f.earliest <= true and (f.latest is None or true <= f.latest) for true, f in made]
    return sum(held) / len(held)


@pytest.mark.parametrize("ahead_min", [45, 30, 15])
def test_four_in_five_ready_times_are_inside_the_range(ahead_min: int) -> None:
    made = [(spit.ready_at, forecast) for spit, forecast in _spit_forecasts(ahead_min)]
    assert 0.80 <= _inside(made) <= 0.95


def test_median_error_is_under_five_minutes_half_an_hour_ahead() -> None:
    errors = [abs((made.about - spit.ready_at).total_seconds()) / 60 for spit, made in _spit_forecasts(30)]
    assert len(errors) == len(KITCHENS) * HELD_OUT
    assert median(errors) < 5


def test_range_is_narrower_the_nearer_it_is() -> None:
    widths = []
    for ahead_min in (45, 30, 15):
        made = [forecast for _, forecast in _spit_forecasts(ahead_min)]
        widths.append(median((each.latest - each.earliest).total_seconds() for each in made if each.latest))
    assert widths == sorted(widths, reverse=True)
    assert widths[1] < 15 * 60


def test_range_holds_in_a_kitchen_without_past_loads() -> None:
    nothing = roasting.learn([], limit=COOKED)
    made = []
    for spit in _roasted(KITCHENS[0])[0]:
        forecast = forecast_spit(_record(spit), history=nothing, at=spit.ready_at - timedelta(minutes=20))
        if isinstance(forecast, Forecast):
            made.append((spit.ready_at, forecast))
    assert len(made) > HELD_OUT / 2
    assert _inside(made) >= 0.80


@pytest.mark.parametrize(
    ("every_min", "count", "air"),
    [(25, 3, True), (25, 4, True), (25, 4, False), (25, 5, False), (70, 2, True), (70, 3, False)],
)
def test_four_in_five_trays_fall_inside_the_range(every_min: int, count: int, *, air: bool) -> None:
    made = _fall_forecasts(_trays(every_min), HOT, count, air=air)
    assert len(made) > 15
    assert _inside(made) >= 0.80


@pytest.mark.parametrize(
    ("mark", "count", "air"),
    [
        *[(FIRST_MARK, 2, True), (FIRST_MARK, 3, True), (FIRST_MARK, 3, False)],
        *[(COLD, 2, True), (COLD, 3, True), (COLD, 4, True), (COLD, 4, False)],
    ],
)
def test_four_in_five_batches_pass_their_marks_inside_the_range(mark: Temperature, count: int, *, air: bool) -> None:
    made = _fall_forecasts(_batches(), mark, count, air=air)
    assert len(made) > 25
    assert _inside(made) >= 0.80


def test_readings_tell_more_than_how_long_the_kitchen_usually_takes() -> None:
    """A forecast that always said the usual time would be off by more than twice as much."""
    ours, usual = [], []
    for spit, forecast in _spit_forecasts(30):
        ours.append(abs((forecast.about - spit.ready_at).total_seconds()) / 60)
        usual.append((spit.ready_at - spit.started_at).total_seconds() / 60)
    off = [abs(minutes - median(usual)) for minutes in usual]
    assert median(ours) < median(off) / 2


@pytest.mark.parametrize(
    ("made", "widest_min", "open_share"),
    [
        (lambda: _fall_forecasts(_trays(25), HOT, 4, air=True), 60, 0.25),
        (lambda: _fall_forecasts(_batches(), FIRST_MARK, 3, air=True), 75, 0.0),
        (lambda: _fall_forecasts(_batches(), FIRST_MARK, 4, air=True), 50, 0.0),
        (lambda: _fall_forecasts(_batches(), COLD, 4, air=True), 210, 0.25),
    ],
    ids=["tray, 4 readings", "batch to 70 °F, 3 readings", "batch to 70 °F, 4 readings", "batch to 41 °F, 4 readings"],
)
def test_a_range_is_narrow_enough_to_act_on(
    made: Callable[[], list[tuple[datetime, Forecast]]], widest_min: int, open_share: float
) -> None:
    """A range without end would hold every moment: few are open, and half of the others are narrower than this."""
    forecasts = [forecast for _, forecast in made()]
    closed = [(one.latest - one.earliest).total_seconds() / 60 for one in forecasts if one.latest]
    assert len(forecasts) - len(closed) <= open_share * len(forecasts)
    assert median(closed) < widest_min
