"""Heat conduction against printed tables, textbook cases, and SciPy: its Bessel functions, its roots, its solver."""

from math import exp, log, pi

import numpy as np
import pytest
from scipy import integrate, optimize, special

from app.rules.forecasts import conduction
from app.rules.forecasts.conduction import Shape
from app.rules.forecasts.core_curve import CoreCurve

SLAB, CYLINDER, SPHERE = Shape.SLAB, Shape.CYLINDER, Shape.SPHERE

# Incropera, Fundamentals of Heat and Mass Transfer, table 5.1, and Çengel, Heat and Mass Transfer, table 4-2 (both from
# memory; recomputed to four figures): Biot number, then first root and coefficient of slab, cylinder and sphere.
FIRST_TERMS = [
    (0.01, 0.0998, 1.0017, 0.1412, 1.0025, 0.1730, 1.0030),
    (0.1, 0.3111, 1.0161, 0.4417, 1.0246, 0.5423, 1.0298),
    (0.5, 0.6533, 1.0701, 0.9408, 1.1143, 1.1656, 1.1441),
    (1, 0.8603, 1.1191, 1.2558, 1.2071, 1.5708, 1.2732),
    (2, 1.0769, 1.1785, 1.5994, 1.3384, 2.0288, 1.4793),
    (3, 1.1925, 1.2102, 1.7887, 1.4191, 2.2889, 1.6227),
    (5, 1.3138, 1.2402, 1.9898, 1.5029, 2.5704, 1.7870),
    (10, 1.4289, 1.2620, 2.1795, 1.5677, 2.8363, 1.9249),
    (20, 1.4961, 1.2699, 2.2880, 1.5919, 2.9857, 1.9781),
    (50, 1.5400, 1.2727, 2.3572, 1.6002, 3.0788, 1.9962),
    (100, 1.5552, 1.2731, 2.3809, 1.6015, 3.1102, 1.9990),
]

# Çengel's eggs (spheres): radius m, film W/m²K, conductivity W/mK, diffusivity m²/s, °C at first, of the water, in the
# centre at the end; minutes by one term, by the full series. A: worked example, 14.4 min (from memory). B: solution
# manual, 17.8 min (from memory). C, D: answers computed; for D a third of the radius in the Biot number gives 16.4.
EGGS = [
    ("A", 0.0250, 1200, 0.627, 0.151e-6, 5, 95, 70, 14.38, 14.36),
    ("B", 0.0275, 1400, 0.600, 0.140e-6, 8, 97, 70, 17.74, 17.71),
    ("C", 0.0275, 800, 0.607, 0.146e-6, 4.3, 100, 74, 18.43, None),
    ("D", 0.0275, 800, 0.607, 0.146e-6, 8, 100, 60, 14.08, 13.98),
]

BODIES = [(shape, biot) for shape in Shape for biot in (0.1, 1.0, 7.0, 60.0)]


def _minutes_to(theta: float, *, radius: float, biot: float, diffusivity: float, terms: str) -> float:
    """Minutes for the centre of a sphere to come to theta, by SciPy's root finder on one of our two solutions."""
    solution = conduction.one_term if terms == "one" else conduction.full_series
    fourier = optimize.brentq(lambda each: solution(SPHERE, biot=biot, fourier=each) - theta, 0.01, 5)
    return float(fourier) * radius**2 / diffusivity / 60


def _by_solver(shape: Shape, biot: float, fouriers: list[float]) -> tuple[list[float], list[float]]:
    """Theta in the centre and at the surface by finite volumes and SciPy's LSODA."""
    nodes, power = 400, {SLAB: 0, CYLINDER: 1, SPHERE: 2}[shape]
    edges = np.linspace(0, 1, nodes + 1)
    areas, volumes, width = edges**power, np.diff(edges ** (power + 1)) / (power + 1), 1 / nodes

    def rate(_: float, theta: np.ndarray) -> np.ndarray:
        outward = np.empty(nodes + 1)
        outward[0], outward[1:-1] = 0.0, (theta[:-1] - theta[1:]) / width
        outward[-1] = theta[-1] / (width / 2 + 1 / biot)
        return -np.diff(areas * outward) / volumes

    solved = integrate.solve_ivp(
        rate, (0, fouriers[-1]), np.ones(nodes), "LSODA", t_eval=fouriers, rtol=1e-8, atol=1e-10, lband=1, uband=1
    )
    surface = solved.y[-1] * (1 / biot) / (width / 2 + 1 / biot)
    return list(solved.y[0]), list(surface)


@pytest.mark.parametrize("order", [0, 1])
def test_bessel_functions_agree_with_scipy(order: int) -> None:
    for x in np.linspace(0, 300, 1001):
        assert conduction.bessel_j(order, float(x)) == pytest.approx(float(special.jv(order, x)), abs=1e-13)


@pytest.mark.parametrize("row", FIRST_TERMS, ids=lambda row: f"Bi {row[0]}")
def test_first_root_and_coefficient_of_the_printed_tables(row: tuple[float, ...]) -> None:
    roots = [conduction.root(shape, row[0], 1) for shape in Shape]
    assert roots == pytest.approx(row[1::2], abs=6e-5)
    found = [conduction.coefficient(shape, zeta) for shape, zeta in zip(Shape, roots, strict=True)]
    assert found == pytest.approx(row[2::2], abs=6e-5)


@pytest.mark.parametrize("biot", [0.05, 1.0, 8.0, 75.0])
def test_later_roots_of_a_cylinder_agree_with_scipy(biot: float) -> None:
    zeros = [0.0, *special.jn_zeros(1, 9)]
    theirs = [
        optimize.brentq(lambda z: z * special.j1(z) - biot * special.j0(z), low + 1e-9, high, xtol=1e-13)
        for low, high in zip(zeros, special.jn_zeros(0, 10), strict=True)
    ]
    assert [conduction.root(CYLINDER, biot, number) for number in range(1, 11)] == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize("biot", [0.05, 1.0, 8.0, 75.0])
def test_later_roots_of_slab_and_sphere_satisfy_their_equations(biot: float) -> None:
    slab, sphere = ([conduction.root(shape, biot, number) for number in range(1, 11)] for shape in (SLAB, SPHERE))
    assert [z * np.tan(z) for z in slab] == pytest.approx([biot] * 10, rel=1e-6)
    assert [1 - z / np.tan(z) for z in sphere] == pytest.approx([biot] * 10, rel=1e-6)


@pytest.mark.parametrize(("shape", "biot"), BODIES)
def test_full_series_agrees_with_a_solver_of_the_heat_equation(shape: Shape, biot: float) -> None:
    fouriers = [0.02, 0.1, 0.3, 1.0]
    centre, surface = _by_solver(shape, biot, fouriers)
    ours = [conduction.full_series(shape, biot=biot, fourier=each) for each in fouriers]
    assert ours == pytest.approx(centre, abs=1e-4)
    ours = [conduction.full_series(shape, biot=biot, fourier=each, place=1) for each in fouriers]
    assert ours == pytest.approx(surface, abs=1e-4)


@pytest.mark.parametrize(("shape", "biot"), BODIES)
def test_one_term_is_within_two_percent_from_fourier_0_2(shape: Shape, biot: float) -> None:
    for fourier in (0.2, 0.3, 0.6):
        one = conduction.one_term(shape, biot=biot, fourier=fourier)
        assert one == pytest.approx(conduction.full_series(shape, biot=biot, fourier=fourier), abs=0.02)


@pytest.mark.parametrize("egg", EGGS, ids=lambda egg: f"egg {egg[0]}")
def test_eggs_of_the_textbook(
    egg: tuple[str, float, float, float, float, float, float, float, float, float | None],
) -> None:
    _, radius, film, conductivity, diffusivity, first, water, centre, by_one, by_all = egg
    theta = (centre - water) / (first - water)
    for terms, expected in (("one", by_one), ("all", by_all)):
        if expected is not None:
            found = _minutes_to(
                theta, radius=radius, biot=film * radius / conductivity, diffusivity=diffusivity, terms=terms
            )
            assert found == pytest.approx(expected, abs=0.006)


def test_chicken_in_brine() -> None:
    # Çengel: 1.7 kg as a sphere, k 0.45, α 0.13e-6, ρ 950, 15 °C into brine of −7 °C, h 440, 2 h 45 min (computed).
    radius = (3 * 1.7 / (4 * pi * 950)) ** (1 / 3)
    biot, fourier = 440 * radius / 0.45, 0.13e-6 * 9900 / radius**2
    centre, surface = (
        -7 + 22 * conduction.full_series(SPHERE, biot=biot, fourier=fourier, place=each) for each in (0, 1)
    )
    assert (radius, fourier) == (pytest.approx(0.0753, abs=1e-4), pytest.approx(0.2269, abs=1e-4))
    assert [centre, surface] == pytest.approx([-2.03, -6.93], abs=0.02)


def test_small_sphere_in_a_bath() -> None:
    # Incropera: 5 mm, ρ 3000, c 1000, k 20, h 6000, from 335 °C in 20 °C to 50 °C: 3.1 s by interpolated roots, 2.98 s
    # by exact ones (computed).
    seconds = 60 * _minutes_to(30 / 315, radius=0.005, biot=1.5, diffusivity=20 / 3e6, terms="one")
    assert conduction.root(SPHERE, 1.5, 1) == pytest.approx(1.8366, abs=1e-4)
    assert seconds == pytest.approx(2.98, abs=0.01)


def test_long_shaft() -> None:
    # Çengel: diameter 20 cm, 600 °C in 200 °C, h 80, k 14.9, α 3.95e-6, 45 min: 364 °C.
    theta = conduction.one_term(CYLINDER, biot=80 * 0.1 / 14.9, fourier=3.95e-6 * 2700 / 0.01)
    assert 200 + 400 * theta == pytest.approx(364.3, abs=0.1)


def test_brass_plate() -> None:
    # Çengel: 4 cm thick, 20 °C in an oven of 500 °C, h 120, k 110, α 33.9e-6, ρ 8530, c 380, 7 min: its surface is at
    # 282 °C by chart; 279.6 °C by the formula, 279.4 °C lumped (computed).
    theta = conduction.one_term(SLAB, biot=120 * 0.02 / 110, fourier=33.9e-6 * 420 / 0.0004, place=1)
    assert 500 - 480 * theta == pytest.approx(279.6, abs=0.1)
    assert 500 - 480 * exp(-120 * 420 / (8530 * 380 * 0.02)) == pytest.approx(279.4, abs=0.1)


def test_roast_bird_as_a_sphere() -> None:
    # Computed illustration: 1.5 kg, ρ 1070, k 0.47, α 0.13e-6, 4 to 74 °C at 200 °C, h 25.
    radius = (3 * 1.5 / (4 * pi * 1070)) ** (1 / 3)
    minutes = [
        _minutes_to(126 / 196, radius=radius, biot=25 * radius / 0.47, diffusivity=0.13e-6, terms=terms)
        for terms in ("one", "all")
    ]
    assert minutes == pytest.approx([103, 100.6], abs=0.3)


@pytest.mark.parametrize("shape", list(Shape))
def test_a_small_biot_number_is_lumped_cooling(shape: Shape) -> None:
    surface_by_volume = {SLAB: 1, CYLINDER: 2, SPHERE: 3}[shape]
    lumped = exp(-0.001 * surface_by_volume * 100)
    assert conduction.full_series(shape, biot=0.001, fourier=100) == pytest.approx(lumped, abs=1e-3)


@pytest.mark.parametrize(("shape", "biot"), BODIES)
def test_core_curve_gives_back_its_times(shape: Shape, biot: float) -> None:
    curve = CoreCurve(shape, biot)
    times = [0.1, 0.3, 0.7, 1.5, 4.0]
    told = [time for time in times if curve.theta_at(time) < 0.999]
    assert [curve.constants_at(curve.theta_at(time)) for time in told] == pytest.approx(told, rel=2e-3)


def test_core_curve_follows_the_full_series() -> None:
    curve, decay = CoreCurve(SPHERE, 3.0), conduction.root(SPHERE, 3.0, 1) ** 2
    for fourier in np.linspace(0.012, 1.0, 80):
        exact = conduction.full_series(SPHERE, biot=3.0, fourier=float(fourier))
        assert curve.theta_at(float(fourier) * decay) == pytest.approx(exact, abs=1e-3)
    assert curve.theta_at(0.0) == 1.0


def test_core_curve_late_is_one_exponential() -> None:
    curve = CoreCurve(CYLINDER, 2.0)
    assert log(curve.theta_at(4.0) / curve.theta_at(5.0)) == pytest.approx(1.0)


@pytest.mark.parametrize("biot", [0.0, -1.0])
def test_a_biot_number_of_nothing_is_refused(biot: float) -> None:
    with pytest.raises(ValueError, match="Biot"):
        conduction.root(SPHERE, biot, 1)


def test_the_series_is_not_asked_too_early() -> None:
    with pytest.raises(ValueError, match="too early"):
        conduction.full_series(SPHERE, biot=1.0, fourier=1e-5)
