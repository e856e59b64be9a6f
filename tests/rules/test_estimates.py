"""What forecasts are made of: how readings are weighed, how loads are learned from, and what is believed before any.

The figures believed before a reading are the house's own; their sources stand beside them in the modules.
"""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from math import exp, hypot, log, sqrt

import pytest

from app.kinds import Temperature
from app.rules.forecasts import cook_time, falling, forecast, roasting
from app.rules.forecasts.cook_time import Estimate, SpitRecord
from app.rules.forecasts.roasting import Hint

START = datetime(2026, 5, 1, 15, 0, tzinfo=UTC)
HOT = Temperature(Decimal(135), "F")


def hint(x, *, noise=0.1, by_degree=0.0, progress=1.0):
    return Hint(x, noise, by_degree, progress)


def spit(*, birds=6):
    return SpitRecord(started_at=START, readings=[], birds=birds)


# ---- readings of one spit --------------------------------------------------------------------------------------------


def test_a_reading_at_the_limit_is_as_good_as_its_own_noise():
    found = roasting.weigh([hint(4.4, noise=0.1)], 0.2)
    assert (found.mean, found.sd) == (pytest.approx(4.4), pytest.approx(0.1))


def test_the_noise_of_several_evens_out():
    """Variances of a mean: four times the readings, half the standard deviation."""
    assert roasting.weigh([hint(4.4, noise=0.1)] * 4, 0.2).sd == pytest.approx(0.05)


def test_each_counts_by_its_precision():
    """Weights 100 and 25: 4.3 and 4.8 give 4.4."""
    assert roasting.weigh([hint(4.3, noise=0.1), hint(4.8, noise=0.2)], 0.2).mean == pytest.approx(4.4)


def test_half_way_the_curve_itself_is_uncertain_by_half():
    assert roasting.weigh([hint(4.4, noise=0.1, progress=0.5)], 0.2).sd == pytest.approx(hypot(0.1, 0.2 * 0.5))


def test_what_all_readings_share_does_not_even_out():
    """A site's thermometers may be off by 1 °C together."""
    shared = [hint(4.4, noise=0.1, by_degree=0.03)] * 4
    assert roasting.weigh(shared, 0.2).sd == pytest.approx(hypot(0.05, 0.03))


@pytest.mark.parametrize("off", [0.5, -0.5], ids=["said too late", "said too early"])
def test_early_rounds_that_were_off_widen_the_curve_on_either_side(off):
    """Eight loads' worth of 0.2, and one round that was off by half, with a quarter of the variance of a start."""
    rounds = [hint(4.4, noise=0.001), hint(4.4 + off, noise=0.1, progress=0.5)]
    seen = (0.5**2 - 0.1**2) / 0.5**2
    assert roasting._curve_sd([rounds]) == pytest.approx(sqrt((8 * 0.2**2 + seen) / 9), rel=1e-3)


# ---- past loads and readings together --------------------------------------------------------------------------------


def test_two_estimates_are_put_together_by_their_precision_and_never_better_than_probing():
    """Weights 100 and 25; no ready-time is known better than 2.5 min."""
    found = forecast._combined([Estimate(4.3, 0.1), Estimate(4.8, 0.2)])
    assert found.mean == pytest.approx(4.4)
    assert found.sd == pytest.approx(hypot(1 / sqrt(125), 2.5 / exp(4.4)))


@pytest.mark.parametrize(("sds", "is_unlike"), [(2.9, False), (3.1, True)])
@pytest.mark.parametrize("sign", [1, -1])
def test_readings_three_standard_deviations_off_say_that_past_loads_tell_nothing(sds, is_unlike, sign):
    before, read = Estimate(4.0, 0.3), 0.4
    assert forecast._unlike(Estimate(4.0 + sign * sds * hypot(0.3, read), read), before) == is_unlike


def test_a_range_ends_where_the_spit_may_be_expected_within_a_day():
    nothing = roasting.learn([], limit=Temperature(Decimal(165), "F"))
    points = [(START + timedelta(minutes=at), Temperature(Decimal(value), "F")) for at, value in ((40, 70), (60, 118))]
    found = forecast.forecast_spit(
        SpitRecord(started_at=START, readings=points), history=nothing, at=START + timedelta(minutes=61)
    )
    assert isinstance(found, forecast.Forecast)
    assert found.latest is not None
    assert found.about < found.latest < START + timedelta(hours=24)


def test_it_is_left_open_where_it_may_take_longer():
    found = forecast._spit_forecast(START, [60.0, 600.0, 24 * 60 + 1], hints=1, loads=0)
    assert isinstance(found, forecast.Forecast)
    assert found.latest is None


# ---- what past loads teach -------------------------------------------------------------------------------------------


def test_loads_that_differ_widen_what_is_expected_of_the_next():
    """Ten loads, by turns 20 % shorter and longer than their middle: five loads' worth of 0.08, and what they show."""
    took = [(spit(), 4.4 + (0.2 if number % 2 else -0.2)) for number in range(10)]
    effects = cook_time.fit(took)
    assert effects.load_sd == pytest.approx(sqrt((5 * 0.08**2 + 10 * 0.2**2) / 15), rel=0.02)
    assert cook_time.fit([(each, 4.4) for each, _x in took]).load_sd < effects.load_sd


def test_one_long_load_of_more_birds_is_not_put_down_to_the_birds():
    """Its own length is uncertain by a quarter, the effect of a bird by 2 % only."""
    effects = cook_time.fit([(spit(birds=9), log(82) + 0.4)])
    assert 0 < effects.means[2] < 0.02
    assert effects.means[0] > log(82) + 0.2


# ---- falls -----------------------------------------------------------------------------------------------------------


def test_three_points_stand_for_a_normal_distribution():
    """Gauss and Hermite: the moments up to the fourth are those of the standard normal, 1, 0, 1, 0 and 3."""
    moments = [sum(weight * place**power for place, weight in falling._NODES) for power in range(5)]
    assert moments == pytest.approx([1, 0, 1, 0, 3])


def test_beliefs_are_weighed_by_the_normal_density_out_to_two_and_a_half():
    assert [place for place, _weight in falling._NORMAL][:: len(falling._NORMAL) - 1] == [-2.5, 2.5]
    assert all(weight == pytest.approx(exp(-(place**2) / 2)) for place, weight in falling._NORMAL)


def test_time_constants_that_are_believed_in_take_in_those_of_the_textbooks():
    """A piece of 5 cm has 90 min, a sphere of 6 cm 250 min, one that loses water less: a factor of two either way."""
    constants = dict(falling.tray(None).constants_min)
    even_odds = [constant for constant, weight in constants.items() if weight >= exp(-1 / 2)]
    assert (min(even_odds), max(even_odds)) == (pytest.approx(55), pytest.approx(220))


@pytest.mark.parametrize(("constant_min", "is_told"), [(400, True), (440, False)], ids=["7 h 54 min", "8 h 20 min"])
def test_a_tray_is_not_forecast_further_than_eight_hours_ahead(constant_min, is_told):
    """170 °F in air of 120 °F, by Newton's law, read every half hour for four hours."""
    fall = [(minute, 120 + 50 * exp(-minute / constant_min)) for minute in range(0, 241, 30)]
    read = [(START + timedelta(minutes=at), Temperature(Decimal(f"{value:.1f}"), "F")) for at, value in fall]
    air = Temperature(Decimal(120), "F")
    found = forecast.forecast_tray(read, limit=HOT, surroundings=air, at=read[-1][0])
    assert isinstance(found, forecast.Forecast) == is_told
