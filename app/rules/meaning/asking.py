"""What a screen asks before it keeps a reading: what is unlikely for what was read. Nothing is refused for it.

The figures are of the house: no code of law names them. Each table has the value from which on something is asked.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from app.kinds import (
    CookReading,
    CoolingReading,
    HoldReading,
    Receiving,
    ReheatReading,
    SpitLoaded,
    Temperature,
    TrayOut,
    UnitCheck,
)
from app.kinds.form import TEMPERATURE_RANGES

from ..day.patterns import Seen, is_early, is_jump
from ..day.shown import Assessment
from ..day.subjects_shown import LoadView, SpitView
from .bands import SMALLEST_STEP

HOTTEST = {"F": Decimal(210), "C": Decimal(99)}
"""Over this a bird or a tray was hardly read right: near the bone, in the oven's air, or by a slip of the finger."""


class Question(NamedTuple):
    """One thing that is asked: `code` is very_hot, other_unit, early or jump."""

    code: str
    before: CookReading | None = None
    """The reading that a jump is from."""


class AskBand(NamedTuple):
    """From `low` on, up to the next band, these questions are asked; none in most bands."""

    low: Decimal
    questions: tuple[Question, ...]


AskBands = tuple[AskBand, ...]
"""Bands in one unit, rising; the first begins where the range of readings does."""


class Usual(NamedTuple):
    """What is usually read of something, from and to, in each unit."""

    F: tuple[Decimal, Decimal]
    C: tuple[Decimal, Decimal]

    def has(self, value: Decimal, unit: str) -> bool:
        """Whether a value is usual in a unit."""
        low, high = self.F if unit == "F" else self.C
        return low <= value <= high


def _usual(fahrenheit: tuple[int, int], celsius: tuple[int, int]) -> Usual:
    (low_f, high_f), (low_c, high_c) = fahrenheit, celsius
    return Usual((Decimal(low_f), Decimal(high_f)), (Decimal(low_c), Decimal(high_c)))


def _up_to_hottest(fahrenheit: int, celsius: int) -> Usual:
    return Usual((Decimal(fahrenheit), HOTTEST["F"]), (Decimal(celsius), HOTTEST["C"]))


BIRD = _up_to_hottest(122, 50)
"""A bird's core once it is worth probing, and food that is reheated."""
TRAY = _up_to_hottest(113, 45)
CHILLED = _up_to_hottest(32, 0)
"""What is put to chill: hot, or cold already where it was prepared."""
BATCH = _usual((28, 140), (-2, 60))
COLD = _usual((23, 59), (1, 15))
"""Cold units and deliveries. From 0 down, °F is not asked about: that is a freezer."""
HOT_AIR = _usual((113, 230), (45, 110))


@dataclass(frozen=True, slots=True, kw_only=True)
class Asking:
    """What is asked of readings of one thing: `table` for a pad, `about` for one reading that is to be kept."""

    usual: Usual
    hottest: bool = False
    """Whether it is asked about over the highest value of a bird or a tray."""
    load: LoadView | None = None
    spit: SpitView | None = None

    def table(self, unit: str, *, is_dual: bool, at: datetime) -> AskBands:
        """Give the table for the pad; only a display that shows both units is asked about the other one."""

        def asked(value: Decimal) -> Iterable[Question]:
            if is_dual and self._is_other_unit(value, unit):
                yield Question("other_unit")
            elif self.hottest and value > HOTTEST[unit]:
                yield Question("very_hot")
            if self._is_early(Temperature(value, unit), at):
                yield Question("early")

        return _bands(self._edges(unit), asked)

    def about(
        self, reading: Temperature, *, is_dual: bool, at: datetime, bird: int | None = None, place: str | None = None
    ) -> tuple[Question, ...]:
        """Give what is asked about a reading; `bird` and `place` are of one that was probed on a spit."""
        table = self.table(reading.unit, is_dual=is_dual, at=at)
        found = next((band.questions for band in reversed(table) if band.low <= reading.value), ())
        return (*found, *self._jumps(reading, at, bird, place))

    def _edges(self, unit: str) -> Sequence[Decimal]:
        other = self.usual.C if unit == "F" else self.usual.F
        own = self.usual.F if unit == "F" else self.usual.C
        edges = [Decimal(TEMPERATURE_RANGES[unit][0]), HOTTEST[unit] + SMALLEST_STEP]
        edges += [value for low, high in (own, other) for value in (low, high + SMALLEST_STEP)]
        if self.load is not None:
            edges.append(self.load.plan.limits.cook_core.in_unit(unit))
        return sorted(set(edges))

    def _is_other_unit(self, value: Decimal, unit: str) -> bool:
        return not self.usual.has(value, unit) and self.usual.has(value, "C" if unit == "F" else "F")

    def _is_early(self, reading: Temperature, at: datetime) -> bool:
        if self.load is None or self.spit is None:
            return False
        loaded = [one.observed_at for one in self.spit.loadings if isinstance(one, SpitLoaded)]
        return is_early(self.load.plan, loaded, Seen(reading, at))

    def _jumps(self, reading: Temperature, at: datetime, bird: int | None, place: str | None) -> Iterable[Question]:
        if self.spit is None:
            return
        for before in reversed(self.spit.readings):
            if (before.bird, before.place) == (bird, place) and is_jump(
                Seen(before.reading, before.observed_at), Seen(reading, at)
            ):
                yield Question("jump", before)
                return


def _bands(edges: Iterable[Decimal], asked: Callable[[Decimal], Iterable[Question]]) -> AskBands:
    """Make a table from the values at which something may change, leaving out where nothing does."""
    found: list[AskBand] = []
    for low in edges:
        questions = tuple(asked(low))
        if not found or found[-1].questions != questions:
            found.append(AskBand(low, questions))
    return tuple(found)


def of_bird(load: LoadView, spit: SpitView) -> Asking:
    """Give what is asked of the birds of a spit."""
    return Asking(usual=BIRD, hottest=True, load=load, spit=spit)


def of_tray() -> Asking:
    """Give what is asked of a tray in hot holding."""
    return Asking(usual=TRAY, hottest=True)


def of_chilled() -> Asking:
    """Give what is asked of food when it is put to chill, or prepared and kept cold."""
    return Asking(usual=CHILLED, hottest=True)


def of_batch() -> Asking:
    """Give what is asked of a chilled batch."""
    return Asking(usual=BATCH)


def of_reheat() -> Asking:
    """Give what is asked of birds that are reheated."""
    return Asking(usual=BIRD, hottest=True)


def of_unit(kind: str) -> Asking:
    """Give what is asked of a cold or hot-holding unit (`kind`)."""
    return Asking(usual=COLD if kind == "cold_unit" else HOT_AIR)


def of_delivery() -> Asking:
    """Give what is asked of a chilled delivery."""
    return Asking(usual=COLD)


def of_entry(day: Assessment, kind: str, named: Mapping[str, object], *, but: str | None = None) -> Asking | None:
    """Give what is asked of an entry of a kind by the fields that it names; None where it is no reading.

    `but` is the id of the first version of one that is mended: a reading is no jump from itself.
    """
    if kind == CookReading.KIND:
        return _of_named_bird(day, named, but)
    if kind == UnitCheck.KIND:
        unit = day.site.equipment.get(str(named.get("unit_code")))
        return of_unit(unit.kind) if unit else None
    made = _OF_KIND.get(kind)
    return made() if made else None


def _of_named_bird(day: Assessment, named: Mapping[str, object], but: str | None) -> Asking:
    load = next((one for one in day.loads if one.load == named.get("load")), None)
    spit = next((one for one in load.spits if one.spit == named.get("spit")), None) if load else None
    if load is None or spit is None:
        return Asking(usual=BIRD, hottest=True)
    others = tuple(reading for reading in spit.readings if reading.root != but)
    return of_bird(load, spit._replace(readings=others))


_OF_KIND: Mapping[str, Callable[[], Asking]] = {
    HoldReading.KIND: of_tray,
    CoolingReading.KIND: of_batch,
    ReheatReading.KIND: of_reheat,
    Receiving.KIND: of_delivery,
    TrayOut.KIND: of_chilled,
}
