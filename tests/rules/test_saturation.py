"""The boiling point of water against IAPWS's own test points, two independent libraries and the published table."""

from decimal import Decimal

import fluids.atmosphere
import iapws
import pytest

from app.rules.subjects import saturation

IF97_TEST_POINTS = [
    # IAPWS R7-97(2012), table 36: saturation temperature at selected pressures.
    ("0.1 MPa", 0.1, 372.755919),
    ("1 MPa", 1.0, 453.035632),
    ("10 MPa", 10.0, 584.149488),
]

BOILING_BY_ALTITUDE = [
    # ICAO Doc 7488 pressure (kPa), then IAPWS-IF97 region 4 (°C, °F); h in m.
    ("sea level", "0", 101.325, 99.974, 211.95),
    ("500 ft", "152.4", 99.508, 99.468, 211.04),
    ("1,000 ft", "304.8", 97.717, 98.961, 210.13),
    ("500 m", "500", 95.461, 98.312, 208.96),
    ("2,000 ft", "609.6", 94.213, 97.948, 208.31),
    ("1,000 m", "1000", 89.875, 96.649, 205.97),
    ("5,000 ft", "1524", 84.307, 94.903, 202.83),
    ("Denver", "1609", 83.431, 94.620, 202.32),
    ("2,000 m", "2000", 79.495, 93.315, 199.97),
    ("Mexico City", "2240", 77.155, 92.514, 198.52),
    ("2,500 m", "2500", 74.683, 91.645, 196.96),
    ("3,000 m", "3000", 70.109, 89.972, 193.95),
    ("La Paz", "3640", 64.588, 87.828, 190.09),
    ("4,000 m", "4000", 61.640, 86.619, 187.91),
]

BOILING_BY_PRESSURE = [
    # IAPWS-IF97 region 4, to two decimals.
    ("980 hPa", "980", 99.04),
    ("1000 hPa", "1000", 99.61),
    ("1030 hPa", "1030", 100.43),
]

REDUCED = [
    ("sea-level pressure at 2,000 m", "1013", "2000", True),
    ("sea-level pressure in Denver", "1013.25", "1609", True),
    ("what a barometer in Denver shows", "834", "1609", False),
    ("a strong high in Denver", "855", "1609", False),
    ("sea-level pressure at sea level", "1013.25", "0", False),
    ("a strong high at sea level", "1050", "0", False),
    ("below sea level", "1070", "-400", False),
    ("a hill of 100 m: too little to tell", "1025", "100", False),
    ("no pressure given", None, "2000", False),
    ("no altitude known", "1013", None, False),
]


def _decimal(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


@pytest.mark.parametrize(("label", "mpa", "kelvin"), IF97_TEST_POINTS)
def test_saturation_temperature_meets_the_published_test_points(label: str, mpa: float, kelvin: float) -> None:
    assert saturation.saturation_temperature_k(mpa) == pytest.approx(kelvin, abs=5e-7), label


@pytest.mark.parametrize("hpa", range(300, 1101, 25))
def test_saturation_temperature_agrees_with_the_iapws_library(hpa: int) -> None:
    theirs = iapws.iapws97._TSat_P(hpa / 10_000)
    assert saturation.saturation_temperature_k(hpa / 10_000) == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize("altitude_m", range(-500, 9001, 500))
def test_standard_pressure_agrees_with_a_general_library(altitude_m: int) -> None:
    # Its US Standard Atmosphere 1976 equals ICAO's up to 11 km, but takes geometric, not geopotential, height.
    geometric = altitude_m * 6_356_766 / (6_356_766 - altitude_m)
    theirs = fluids.atmosphere.ATMOSPHERE_1976(geometric).P / 100
    assert saturation.standard_pressure_hpa(altitude_m) == pytest.approx(theirs, rel=2e-6)


@pytest.mark.parametrize(("label", "altitude", "kpa", "celsius", "fahrenheit"), BOILING_BY_ALTITUDE)
def test_boiling_point_by_altitude(label: str, altitude: str, kpa: float, celsius: float, fahrenheit: float) -> None:
    assert saturation.standard_pressure_hpa(float(altitude)) / 10 == pytest.approx(kpa, abs=6e-4), label
    found = float(saturation.boiling_point_c(None, Decimal(altitude)))
    assert found == pytest.approx(celsius, abs=6e-4), label
    assert found * 9 / 5 + 32 == pytest.approx(fahrenheit, abs=6e-3), label


@pytest.mark.parametrize(("label", "pressure", "celsius"), BOILING_BY_PRESSURE)
def test_boiling_point_by_pressure(label: str, pressure: str, celsius: float) -> None:
    found = saturation.boiling_point_c(Decimal(pressure), None)
    assert float(found) == pytest.approx(celsius, abs=6e-3), label


def test_water_does_not_boil_at_212_at_sea_level() -> None:
    # MSL (New Zealand) Technical Guide 1: the normal boiling point of water is 99.974 °C.
    assert abs(saturation.boiling_point_c(None, Decimal(0)) - Decimal("99.974")) < Decimal("0.001")


def test_a_pressure_goes_before_the_altitude() -> None:
    both = saturation.boiling_point_c(Decimal(1000), Decimal(1609))
    assert both == saturation.boiling_point_c(Decimal(1000), None)


def test_denver_reading_of_202_is_within_two_degrees_of_its_reference() -> None:
    # Food Code 4-203.11: ±2 °F. Against 212 °F the same reading would be 10 °F off and fail wrongly.
    reference_f = saturation.boiling_point_c(None, Decimal(1609)) * 9 / 5 + 32
    assert abs(Decimal("202.0") - reference_f) <= 2
    assert abs(Decimal("202.0") - 212) > 2


@pytest.mark.parametrize(("label", "pressure", "altitude", "expected"), REDUCED)
def test_pressure_reduced_to_sea_level_is_noticed(
    label: str, pressure: str | None, altitude: str | None, *, expected: bool
) -> None:
    assert saturation.sea_level_reduced(_decimal(pressure), _decimal(altitude)) is expected, label


def test_neither_pressure_nor_altitude_is_refused() -> None:
    with pytest.raises(ValueError, match="neither"):
        saturation.boiling_point_c(None, None)


@pytest.mark.parametrize("mpa", [611.213e-6, 21.5, 22.064])
def test_the_equation_holds_from_the_triple_point_to_the_critical_point(mpa: float) -> None:
    """IAPWS R7-97(2012), section 8: from 611.213 Pa, at 273.15 K, to 22.064 MPa, at 647.096 K."""
    assert saturation.saturation_temperature_k(mpa) + 1e-4 >= 273.15
    assert saturation.saturation_temperature_k(mpa) <= 647.096 + 1e-2


def test_the_standard_atmospheres_layer_takes_in_its_bounds() -> None:
    # ICAO Doc 7488 (from memory): 1,776.87 hPa at −5 km, 226.32 hPa at 11 km.
    found = [saturation.standard_pressure_hpa(altitude) for altitude in (-5000.0, 11000.0)]
    assert found == pytest.approx([1776.87, 226.32], rel=1e-4)


@pytest.mark.parametrize("mpa", [0.0006, 22.1])
def test_pressure_outside_the_equation_is_refused(mpa: float) -> None:
    with pytest.raises(ValueError, match="no saturation temperature"):
        saturation.saturation_temperature_k(mpa)


@pytest.mark.parametrize("altitude_m", [-5001.0, 11001.0])
def test_altitude_outside_the_troposphere_is_refused(altitude_m: float) -> None:
    with pytest.raises(ValueError, match="no standard pressure"):
        saturation.standard_pressure_hpa(altitude_m)
