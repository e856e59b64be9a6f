"""Critical readings: what each is about, and the limits it is held to by the plan of that subject."""

from dataclasses import dataclass

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
)

from ..history import kitchen
from ..plans.limits import TemperatureLimit
from ..plans.plan import Plan

CRITICAL_KINDS = (CookReading, HoldReading, CoolingReading, ReheatReading, Receiving, UnitCheck, TrayOut)
"""Kinds of entries that can be critical readings: what is read with a probe."""


@dataclass(frozen=True, slots=True)
class CriticalReading:
    """What a critical reading is about, the limits it is held to, and on which side of them it is good."""

    subject: Subject
    limits: tuple[TemperatureLimit, ...]
    wanted_high: bool

    def is_good(self, limit: TemperatureLimit, reading: Temperature) -> bool:
        """Whether a reading is on the good side of a limit."""
        return limit.at_or_above(reading) if self.wanted_high else limit.at_or_below(reading)


def critical(kitchen_: kitchen.Kitchen, entry: Entry) -> CriticalReading | None:
    """Give what a critical reading is held to, by the plan of its own subject; None for any other entry."""
    subject = kitchen_.subject
    match entry:
        case CookReading():
            spit = subject("spit", entry.load, entry.spit)
            return CriticalReading(spit, (_plan_of(kitchen_, entry, spit).limits.cook_core,), True)
        case HoldReading():
            tray = subject("tray", entry.tray)
            return CriticalReading(tray, (_plan_of(kitchen_, entry, tray).limits.hot_holding,), True)
        case ReheatReading():
            reheat = subject("reheat", entry.reheat)
            return CriticalReading(reheat, (_plan_of(kitchen_, entry, reheat).limits.reheat_core,), True)
        case CoolingReading() | TrayOut(batch=str()):
            batch = subject("batch", entry.batch or "")
            limits = _plan_of(kitchen_, entry, batch).limits
            return CriticalReading(batch, (limits.cool_first, limits.cool_total), False)
        case Receiving():
            limit = kitchen_.plan_at(entry.observed_at).limits.receive_cold
            return CriticalReading(subject("receiving", entry.lot), (limit,), False)
        case UnitCheck(of="food"):
            unit = kitchen_.site.equipment.get(entry.unit_code)
            limit = kitchen_.plan_at(entry.observed_at).limits.cold_holding
            is_cold = unit is not None and unit.kind == "cold_unit"
            return CriticalReading(subject("cold_unit", entry.unit_code), (limit,), False) if is_cold else None
    return None


def _plan_of(kitchen_: kitchen.Kitchen, entry: Entry, subject: Subject) -> Plan:
    """Give the plan that a reading is held to: the one in force when what was read was opened."""
    if subject.kind == "spit":
        load = kitchen_.loads.get(subject.name)
        return kitchen_.plan_at(entry.observed_at) if load is None else load.plan
    holder = kitchen_.holders.get(subject)
    return kitchen_.plan_at(entry.observed_at) if holder is None else holder.plan
