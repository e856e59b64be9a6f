"""Cooking: loads, spits, readings in the birds, pulls, and how the oven was set."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Annotated, Any

from .compound import Items, Numbers
from .entry import Cases, Entry, Flow, Subject, Temperature, Weight, once_an_entry
from .fields import BIRDS, CONFIRMED, COUNT, HELD, HOT_UNIT, LINE, NUMBER, OVEN, PERCENT, PROBE, Choice, Name
from .form import DISPLAYED, FILL, OPEN, READ, TAKE, WEIGHED, Indexed, May, Must


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LoadStarted(Entry):
    """An oven is started with a load, its start checks answered."""

    KIND = "load_started"
    load: Annotated[str, Name("load", OPEN)]
    oven: Annotated[str, OVEN]
    checks: Annotated[Mapping[str, bool | None], Items({"": "start_checks"})]
    """Item of the plan's start checks → true, false or None (does not apply)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OnSpit(Entry):
    """Common to what happens on one spit of a load."""

    load: str
    spit: Annotated[int, NUMBER]

    @property
    def spit_subject(self) -> Subject:
        """The spit."""
        return Subject("spit", self.load, self.spit)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpitLoaded(OnSpit):
    """Birds are seated on a spit; several for one spit add up."""

    KIND = "spit_loaded"
    load: Annotated[str, Name("load", FILL)]
    birds: Annotated[int, BIRDS]
    lot: Annotated[str | None, LINE, Indexed("lot")] = None
    mean_weight: Annotated[Weight | None, WEIGHED] = None
    ties: Annotated[int | None, COUNT] = None
    skewers: Annotated[int | None, COUNT] = None

    @once_an_entry("_flows")
    def flows(self) -> tuple[Flow, ...]:
        """The birds go onto the spit."""
        return (Flow(self.spit_subject, Decimal(self.birds), "spit"),)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OvenSetting(Entry):
    """How an oven is set: speed of the drum, set point, humidity."""

    KIND = "oven_setting"
    ABOUT = ("oven", "oven")
    oven: Annotated[str, OVEN]
    rotation: Annotated[Decimal | None, PERCENT] = None
    reading: Annotated[Temperature | None, DISPLAYED] = None
    """The set point."""
    humidity: Annotated[Decimal | None, PERCENT] = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CookReading(OnSpit):
    """The temperature of one bird at one place, on its spit."""

    KIND = "cook_reading"
    IS_READING = True
    load: Annotated[str, Name("load", READ)]
    bird: Annotated[int, NUMBER]
    """1 is nearest the drive end."""
    place: Annotated[str, Choice(("breast", "thigh"))]
    reading: Annotated[Temperature, DISPLAYED]
    probe: Annotated[str, PROBE, Indexed("probe")]
    held_s: Annotated[Decimal | None, HELD] = None
    """For how long the reading was held, in seconds."""
    confirmed: Annotated[bool, CONFIRMED] = False


def _some_or_none(birds: Any) -> str:
    return "none" if birds == 0 else "some"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpitPulled(OnSpit):
    """Birds are pulled from a spit into a tray; some may be thrown away."""

    KIND = "spit_pulled"
    CASES = MappingProxyType({"birds": Cases(("some", "none"), _some_or_none)})
    load: Annotated[str, Name("load", TAKE)]
    birds: Annotated[int, COUNT]
    tray: Annotated[str | None, Name("tray", FILL), Must(birds="some")] = None
    hot_unit: Annotated[str | None, HOT_UNIT, May(birds="some")] = None
    discarded_birds: Annotated[tuple[int, ...], Numbers(), May(birds="some"), Must(birds="none")] = ()
    """The numbers of the birds that were thrown away."""
    ties_removed: Annotated[int | None, COUNT] = None
    skewers_removed: Annotated[int | None, COUNT] = None

    @once_an_entry("_flows")
    def flows(self) -> tuple[Flow, ...]:
        """The birds leave the spit; what was not thrown away goes into the tray."""
        taken = Flow(self.spit_subject, -Decimal(self.birds + len(self.discarded_birds)), "spit")
        if self.tray is None:
            return (taken,)
        return (taken, Flow(Subject("tray", self.tray), Decimal(self.birds), "tray"))
