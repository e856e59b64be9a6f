"""A kitchen that exists only in arithmetic: birds roasted, held and chilled by a finite-volume heat balance with noise.

It shares nothing with the forecast that is judged on it. Bodies lie between a cylinder and a sphere; conductivity and
heat capacity change with temperature; the surface gains heat by moving air and radiation and loses it by evaporation
that dies down as the skin dries; the oven cools when it is loaded and whenever its door is opened. Birds differ in
weight, shape and place on the spit, loads in the temperature they start from, thermometers in their offset; a cook
never hits the core exactly, nor writes the exact minute. All its figures are invented, near what a rotisserie is like.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from math import ceil

import numpy as np
import numpy.typing as npt

from app.kinds import Temperature

Array = npt.NDArray[np.float64]
Reading = tuple[datetime, Temperature]

_NODES = 16
_LONGEST_STEP_S = 4.0
_DIFFUSIVITY = 1.5e-7
_DENSITY = 1060.0
_LATENT_J_PER_KG = 2.3e6
_STEFAN_BOLTZMANN = 5.67e-8
_FIRST_DAY = datetime(2026, 1, 5, 14, 0, tzinfo=UTC)
_CHECKED = 2
"""Birds that the cook probes on every spit."""


@dataclass(frozen=True, kw_only=True)
class Bodies:
    """Birds or pieces, one an element: what the heat balance needs to know of them."""

    radius_m: Array
    shape: Array
    """1 is a cylinder, 2 a sphere."""
    film: Array
    """Heat transfer by moving air, W/m²K."""
    wetness: Array
    """Part of the surface that is wet at first."""
    dries_min: float = 25.0


@dataclass(frozen=True, kw_only=True)
class SimulatedSpit:
    """One roasted spit: what the kitchen wrote down, and when both checked birds really reached the limit."""

    started_at: datetime
    readings: tuple[Reading, ...]
    bird_kg: float
    birds: int
    rotation_percent: float
    ready_at: datetime


@dataclass(frozen=True, kw_only=True)
class SimulatedFall:
    """A tray or batch that cools: what was written down, and when its core really passed each mark (None: never)."""

    readings: tuple[Reading, ...]
    surroundings: Temperature
    passed_at: tuple[datetime | None, ...]


def solve(bodies: Bodies, start_c: Array, surroundings_c: Callable[[float], Array], *, minutes: int) -> Array:
    """Give temperatures (°C) at every whole minute: [minute, body, node from the core to the surface]."""
    edges = np.linspace(0, 1, _NODES + 1)[None, :] * bodies.radius_m[:, None]
    power = bodies.shape[:, None]
    areas, shells = edges**power, edges ** (power + 1) / (power + 1)
    volumes, width = shells[:, 1:] - shells[:, :-1], bodies.radius_m[:, None] / _NODES
    state, steps = start_c.copy(), ceil(60 / min(_LONGEST_STEP_S, 0.12 * float(width.min()) ** 2 / _DIFFUSIVITY))
    step = 60 / steps
    kept = [state]
    inward = np.zeros_like(edges)
    for index in range(minutes * steps):
        minute = index / steps
        conductivity = 0.44 + 0.0010 * state
        setting_of_proteins = 420 * np.exp(-(((state - 66) / 6) ** 2))
        capacity = _DENSITY * (3350 + 2.0 * state + setting_of_proteins)
        inward[:, 1:-1] = (conductivity[:, 1:] + conductivity[:, :-1]) / 2 * np.diff(state, axis=1) / width
        inward[:, -1] = _entering(bodies, state[:, -1], 2 * conductivity[:, -1] / width[:, 0], surroundings_c, minute)
        state = state + step * np.diff(areas * inward, axis=1) / (volumes * capacity)
        if (index + 1) % steps == 0:
            kept.append(state)
    return np.array(kept)


def _entering(bodies: Bodies, outermost: Array, inner: Array, air: Callable[[float], Array], minute: float) -> Array:
    """Give the heat entering the outermost cell (W/m²): two rounds of the balance at the surface itself."""
    surface = outermost
    damped = bodies.film + 8.0
    for _ in range(2):
        gained = _gained(bodies, surface, air(minute), minute)
        surface = (inner * outermost + gained + damped * surface) / (inner + damped)
    return np.asarray(inner * (surface - outermost))


def _gained(bodies: Bodies, surface: Array, air_c: Array, minute: float) -> Array:
    """Give heat by air and radiation less evaporation (W/m²): vapour pressure after Magnus, transfer after Lewis."""
    radiation = 0.85 * _STEFAN_BOLTZMANN * ((air_c + 273.15) ** 4 - (surface + 273.15) ** 4)
    vapour = 610.94 * np.exp(17.625 * surface / (surface + 243.04)) / (461.5 * (surface + 273.15))
    wet = bodies.wetness * np.exp(-minute / bodies.dries_min)
    evaporation = wet * _LATENT_J_PER_KG * bodies.film / 1150 * np.maximum(vapour - 0.008, 0)
    return np.asarray(bodies.film * (air_c - surface) + radiation - evaporation)


class SimulatedKitchen:
    """A kitchen with its own oven, thermometers and habits, all drawn from one seed."""

    def __init__(self, seed: int) -> None:
        self.random = np.random.default_rng(seed)
        self.oven_c = self.random.uniform(175, 205)
        self.film = self.random.uniform(20, 28)
        self.wetness = self.random.uniform(0.05, 0.2)
        self.probe_offsets_c = self.random.normal(0, 0.4, 3)

    def roast(self, count: int) -> list[SimulatedSpit]:
        """Roast so many spits, one a load; weights, birds and drum speeds as the day brings them."""
        draw = self.random
        kg = np.repeat(draw.choice([1.25, 1.5, 1.8], count) + draw.normal(0, 0.05, count), _CHECKED)
        birds = np.repeat(draw.integers(4, 9, count), _CHECKED)
        rotation = np.repeat(draw.choice([60.0, 80.0, 100.0], count), _CHECKED)
        crowding = (1 - 0.025 * (birds - 4)) * (rotation / 80) ** 0.3
        bodies = self._birds(kg, crowding)
        start = np.repeat(draw.normal(3.5, 1.7, count), _CHECKED)
        rounds = draw.uniform(38, 58, count)[:, None] + np.cumsum(draw.uniform(9, 16, (count, 14)), axis=1) - 9
        oven = np.repeat(self.oven_c + draw.normal(0, 8, count), _CHECKED)
        field = solve(
            bodies,
            np.repeat(start[:, None], _NODES, axis=1),
            lambda minute: (
                oven - (45 + 5 * birds) * np.exp(-minute / 7) - _open_door(np.repeat(rounds, _CHECKED, 0), minute)
            ),
            minutes=170,
        )
        return [self._spit(i, field, rounds[i], (kg[2 * i], birds[2 * i], rotation[2 * i])) for i in range(count)]

    def hold(self, count: int, *, every_min: int) -> list[SimulatedFall]:
        """Keep so many trays of three roasted birds, half on a counter and half in a cabinet that may be too cool."""
        draw = self.random
        air = np.where(np.arange(count) % 2, draw.uniform(24, 34, count), draw.uniform(45, 66, count))
        each = np.repeat(np.arange(count), 3)
        kg = draw.choice([1.25, 1.5, 1.8], count)[each]
        bodies = Bodies(
            radius_m=0.8 * np.cbrt(3 * kg * draw.normal(1, 0.05, 3 * count) / (4 * np.pi * _DENSITY)),
            shape=draw.normal(1.7, 0.05, 3 * count),
            film=draw.uniform(4, 9, count)[each],
            wetness=draw.uniform(0.05, 0.3, count)[each],
            dries_min=400,
        )
        start = np.repeat(draw.uniform(74, 84, count)[each][:, None], _NODES, axis=1) + np.linspace(0, 5, _NODES)
        field = solve(bodies, start, lambda _: air[each], minutes=420)
        return [self._fall(field[:, each == i], float(air[i]), (135,), every_min=every_min) for i in range(count)]

    def chill(self, count: int, *, whole: bool) -> list[SimulatedFall]:
        """Chill so many batches of whole or of cut-up birds in a cold unit that works more or less well."""
        draw = self.random
        each = np.repeat(np.arange(count), 2)
        radius = draw.uniform(0.045, 0.058, count) if whole else draw.uniform(0.020, 0.032, count)
        bodies = Bodies(
            radius_m=radius[each] * draw.normal(1, 0.04, 2 * count),
            shape=np.full(2 * count, 1.6 if whole else 1.0),
            film=draw.uniform(7, 16, count)[each],
            wetness=np.zeros(2 * count),
        )
        air = draw.uniform(0.5, 4, count)
        start = np.repeat(draw.uniform(58, 66, count)[each][:, None], _NODES, axis=1)
        field = solve(
            bodies, start, lambda minute: (air + 6 * np.exp(-minute / 30))[each], minutes=720 if whole else 480
        )
        return [self._fall(field[:, each == i], float(air[i]), (70, 41), every_min=35) for i in range(count)]

    def _fall(self, field: Array, air_c: float, marks_f: tuple[int, ...], *, every_min: int) -> SimulatedFall:
        """Write down readings of whichever piece comes to hand, and when the mean of all cores passed the marks."""
        started_at, minute = _FIRST_DAY, 2.0
        readings: list[Reading] = []
        while minute < len(field):
            piece = field[:, self.random.integers(field.shape[1])]
            readings.append(self._read(piece, minute, started_at))
            minute += every_min * self.random.uniform(0.7, 1.3)
        passed = (_crossing(field[:, :, 0].mean(axis=1), (mark - 32) * 5 / 9) for mark in marks_f)
        return SimulatedFall(
            readings=tuple(readings),
            surroundings=Temperature(Decimal(f"{air_c:.1f}"), "C"),
            passed_at=tuple(None if each is None else started_at + timedelta(minutes=each) for each in passed),
        )

    def _birds(self, kg: Array, crowding: Array) -> Bodies:
        draw, count = self.random, len(kg)
        each_kg = kg * draw.normal(1, 0.05, count)
        return Bodies(
            radius_m=draw.uniform(0.84, 0.88) * np.cbrt(3 * each_kg / (4 * np.pi * _DENSITY)),
            shape=draw.normal(1.7, 0.05, count),
            film=self.film * crowding * draw.normal(1, 0.04, count),
            wetness=self.wetness * np.repeat(draw.normal(1, 0.25, count // _CHECKED), _CHECKED),
        )

    def _spit(self, index: int, field: Array, rounds: Array, told: tuple[float, float, float]) -> SimulatedSpit:
        """Write down the rounds of one spit until a round finds both birds at the limit."""
        started_at = _FIRST_DAY + timedelta(hours=5 * index)
        birds = field[:, _CHECKED * index : _CHECKED * (index + 1)]
        readings: list[Reading] = []
        for minute in rounds:
            found = [self._read(birds[:, bird], minute + bird, started_at) for bird in range(_CHECKED)]
            readings += found
            if all(reading.value >= 165 for _, reading in found):
                break
        cores = birds[:, :, 0].min(axis=1)
        ready = _crossing(cores, (165 - 32) * 5 / 9)
        assert ready is not None
        kg, count, rotation = told
        return SimulatedSpit(
            started_at=started_at,
            readings=tuple(readings),
            bird_kg=round(float(kg), 2),
            birds=int(count),
            rotation_percent=float(rotation),
            ready_at=started_at + timedelta(minutes=ready),
        )

    def _read(self, body: Array, minute: float, started_at: datetime) -> Reading:
        """Read a thermometer: off the core by part of the radius, off the truth by an offset, off the minute by one."""
        draw = self.random
        at = min(int(minute), len(body) - 1)
        node = min(abs(draw.normal(0, 0.14)) * _NODES, _NODES - 1)
        celsius = (
            float(np.interp(node, np.arange(_NODES), body[at]))
            + draw.choice(self.probe_offsets_c)
            + draw.normal(0, 0.4)
        )
        written = started_at + timedelta(minutes=at + int(draw.integers(-1, 2)))
        return written, Temperature(Decimal(f"{celsius * 9 / 5 + 32:.1f}"), "F")


def _open_door(rounds: Array, minute: float) -> Array:
    """Give by how much (°C) the oven is still cold from the door being opened for a round."""
    since = minute - rounds
    return np.asarray(np.where(since > 0, 15 * np.exp(-np.maximum(since, 0) / 3), 0).sum(axis=1))


def _crossing(cores: Array, mark_c: float) -> float | None:
    """Give the minute, between two whole ones, at which the temperature passes the mark for the first time."""
    side = cores >= mark_c
    changed = np.flatnonzero(side != side[0])
    if not len(changed):
        return None
    after = int(changed[0])
    return after - 1 + float((mark_c - cores[after - 1]) / (cores[after] - cores[after - 1]))
