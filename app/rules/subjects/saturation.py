"""The boiling point of water where the kitchen stands: what a probe in boiling water should read.

Water does not boil at 212 °F / 100 °C but at the saturation temperature for the pressure on it: 99.97 °C at sea level,
94.6 °C in a city a mile up. A probe that is right fails a check against 212 °F there, and a wrong one may pass.
"""

from decimal import Decimal
from math import pow, sqrt

# IAPWS R7-97(2012), Industrial Formulation 1997, region 4 (saturation line), table 34: n1 … n10.
_N1, _N2, _N3 = 0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2
_N4, _N5, _N6 = 0.12020824702470e5, -0.32325550322333e7, 0.14915108613530e2
_N7, _N8, _N9, _N10 = -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3
_PRESSURE_MPA = (611.213e-6, 22.064)  # where that equation holds

# ICAO Doc 7488 (3rd ed., 1993), standard atmosphere up to 11 km: sea level and the lapse of temperature.
_SEA_LEVEL_HPA, _SEA_LEVEL_K, _LAPSE_K_PER_M = 1013.25, 288.15, 0.0065
_GRAVITY, _AIR_GAS_CONSTANT = 9.80665, 287.05287
_ALTITUDE_M = (-5000.0, 11000.0)

_ZERO_C_IN_K = 273.15
_TELLING_C = Decimal(1)
"""The tolerance of a probe check: a pressure that shifts the boiling point by more than this decides its outcome."""


def saturation_temperature_k(pressure_mpa: float) -> float:
    """Give the temperature (K) at which water boils at a pressure (MPa, absolute).

    IAPWS R7-97(2012), equation 31. ValueError outside 611.213 Pa … 22.064 MPa, where it does not hold.
    """
    if not _PRESSURE_MPA[0] <= pressure_mpa <= _PRESSURE_MPA[1]:
        raise ValueError(f"no saturation temperature at {pressure_mpa} MPa")
    beta = sqrt(sqrt(pressure_mpa))
    e = beta * beta + _N3 * beta + _N6
    f = _N1 * beta * beta + _N4 * beta + _N7
    g = _N2 * beta * beta + _N5 * beta + _N8
    d = 2 * g / (-f - sqrt(f * f - 4 * e * g))
    return (_N10 + d - sqrt((_N10 + d) ** 2 - 4 * (_N9 + _N10 * d))) / 2


def standard_pressure_hpa(altitude_m: float) -> float:
    """Give the pressure (hPa) of the ICAO standard atmosphere at an altitude (m above sea level).

    ICAO Doc 7488, the layer from −5 to 11 km; ValueError outside it.
    """
    if not _ALTITUDE_M[0] <= altitude_m <= _ALTITUDE_M[1]:
        raise ValueError(f"no standard pressure at {altitude_m} m")
    exponent = _GRAVITY / (_AIR_GAS_CONSTANT * _LAPSE_K_PER_M)
    return _SEA_LEVEL_HPA * pow(1 - _LAPSE_K_PER_M * altitude_m / _SEA_LEVEL_K, exponent)


def boiling_point_c(pressure_hpa: Decimal | None, altitude_m: Decimal | None) -> Decimal:
    """Give the boiling point of water (°C, unrounded) at the pressure, else at the altitude's standard pressure.

    A measured pressure (hPa, as a barometer in the kitchen shows it, not reduced to sea level) comes first,
    as weather moves the boiling point by up to 1 °C. ValueError with neither.
    """
    if pressure_hpa is not None:
        hpa = float(pressure_hpa)
    elif altitude_m is not None:
        hpa = standard_pressure_hpa(float(altitude_m))
    else:
        raise ValueError("neither a pressure nor an altitude")
    return Decimal(repr(saturation_temperature_k(hpa / 10_000) - _ZERO_C_IN_K))


def sea_level_reduced(pressure_hpa: Decimal | None, altitude_m: Decimal | None) -> bool:
    """Whether the pressure looks like a weather report's, reduced to sea level: a warning, never a refusal.

    True above sea level where the pressure puts the boiling point more than 1 °C (the tolerance of the check) over the
    standard atmosphere's there: more than weather explains, and enough to turn the outcome. The 1 °C is a house figure.
    """
    if pressure_hpa is None or altitude_m is None or altitude_m <= 0:
        return False
    return boiling_point_c(pressure_hpa, None) - boiling_point_c(None, altitude_m) > _TELLING_C
