"""Critical readings: what each is about, and the limits it is held to by the plan of that subject."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from app.kinds import (
    CookReading,
    CoolingReading,
    Entry,
    HoldReading,
    Receiving,
    ReheatReading,
    Subject,
    Temperature,
    TrayOut,
    UnitCheck,
    temperature_of,
)

from ..history import kitchen
from ..plans.limits import TemperatureLimit
from ..plans.plan import Plan


@dataclass(frozen=True, slots=True)
class CriticalReading:
    """What a critical reading is about, the limits it is held to, and on which side of them it is good."""

    subject: Subject
    limits: tuple[TemperatureLimit, ...]
    wanted_high: bool

    def is_good(self, limit: TemperatureLimit, reading: Temperature) -> bool:
        """Whether a reading is on the good side of a limit."""
        return limit.at_or_above(reading) if self.wanted_high else limit.at_or_below(reading)


def is_critical(kitchen_: kitchen.Kitchen, entry: Entry) -> bool:
    """Whether an entry is a critical reading: of food, by a probe, for a limit; of a cold unit its food alone."""
    if type(entry) not in _HELD_TO or temperature_of(entry) is None:
        return False
    if isinstance(entry, TrayOut):
        return entry.batch is not None
    if isinstance(entry, UnitCheck):
        unit = kitchen_.site.equipment.get(entry.unit_code)
        return entry.of == "food" and unit is not None and unit.kind == "cold_unit"
    return True


def critical(kitchen_: kitchen.Kitchen, entry: Entry) -> CriticalReading | None:
    """Give what a critical reading is held to, by the plan of its own subject; None for any other entry."""
    return _HELD_TO[type(entry)](kitchen_, entry) if is_critical(kitchen_, entry) else None


def _core(kitchen_: kitchen.Kitchen, entry: CookReading) -> CriticalReading:
    spit = kitchen_.subject("spit", entry.load, entry.spit)
    return CriticalReading(spit, (_plan_of(kitchen_, entry, spit).limits.cook_core,), True)


def _hot(kitchen_: kitchen.Kitchen, entry: HoldReading) -> CriticalReading:
    tray = kitchen_.subject("tray", entry.tray)
    return CriticalReading(tray, (_plan_of(kitchen_, entry, tray).limits.hot_holding,), True)


def _reheated(kitchen_: kitchen.Kitchen, entry: ReheatReading) -> CriticalReading:
    reheat = kitchen_.subject("reheat", entry.reheat)
    return CriticalReading(reheat, (_plan_of(kitchen_, entry, reheat).limits.reheat_core,), True)


def _cooled(kitchen_: kitchen.Kitchen, entry: CoolingReading | TrayOut) -> CriticalReading:
    batch = kitchen_.subject("batch", entry.batch or "")
    limits = _plan_of(kitchen_, entry, batch).limits
    return CriticalReading(batch, (limits.cool_first, limits.cool_total), False)


def _received(kitchen_: kitchen.Kitchen, entry: Receiving) -> CriticalReading:
    limit = kitchen_.plan_at(entry.observed_at).limits.receive_cold
    return CriticalReading(kitchen_.subject("receiving", entry.lot), (limit,), False)


def _kept_cold(kitchen_: kitchen.Kitchen, entry: UnitCheck) -> CriticalReading:
    limit = kitchen_.plan_at(entry.observed_at).limits.cold_holding
    return CriticalReading(kitchen_.subject("cold_unit", entry.unit_code), (limit,), False)


_HELD_TO: Mapping[type[Entry], Callable[[kitchen.Kitchen, Any], CriticalReading]] = {
    CookReading: _core,
    HoldReading: _hot,
    CoolingReading: _cooled,
    ReheatReading: _reheated,
    Receiving: _received,
    UnitCheck: _kept_cold,
    TrayOut: _cooled,
}
CRITICAL_KINDS = tuple(_HELD_TO)
"""Kinds of entries that can be critical readings: what is read with a probe."""


def _plan_of(kitchen_: kitchen.Kitchen, entry: Entry, subject: Subject) -> Plan:
    """Give the plan that a reading is held to: the one in force when what was read was opened."""
    if subject.kind == "spit":
        load = kitchen_.loads.get(subject.name)
        return kitchen_.plan_at(entry.observed_at) if load is None else load.plan
    holder = kitchen_.holders.get(subject)
    return kitchen_.plan_at(entry.observed_at) if holder is None else holder.plan
