"""The table of what any number would mean in the place of a reading that is kept, by the plan of what it is about."""

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from app.kinds import CookReading, CoolingReading, Entry, HoldReading, Receiving, ReheatReading, UnitCheck

from ..day.shown import Assessment
from . import cooking, cooling, holding, reheating, storage
from .bands import Bands

Table = Callable[[str], Bands]
"""The table in °F or °C."""


def table_of(day: Assessment, entry: Entry) -> Table | None:
    """Give the table for the pad on which a reading is corrected; None for what has none, or is not of that day."""
    find = _FINDERS.get(type(entry))
    return find(day, entry) if find else None


def _of_bird(day: Assessment, entry: CookReading) -> Table | None:
    return next((partial(cooking.core_bands, one) for one in day.loads if one.load == entry.load), None)


def _of_tray(day: Assessment, entry: HoldReading) -> Table | None:
    return next((partial(holding.hold_bands, one) for one in day.trays if one.tray == entry.tray), None)


def _of_batch(day: Assessment, entry: CoolingReading) -> Table | None:
    return next((partial(cooling.cooling_bands, one) for one in day.batches if one.batch == entry.batch), None)


def _of_reheat(day: Assessment, entry: ReheatReading) -> Table | None:
    return next((partial(reheating.reheat_bands, one) for one in day.reheats if one.reheat == entry.reheat), None)


def _of_unit(day: Assessment, entry: UnitCheck) -> Table | None:
    unit = day.site.equipment.get(entry.unit_code)
    return partial(storage.unit_bands, unit.kind, day.plan) if unit else None


def _of_delivery(day: Assessment, entry: Receiving) -> Table | None:
    return partial(storage.delivery_bands, day.plan) if entry.state == "chilled" else None


_FINDERS: Mapping[type[Entry], Callable[[Assessment, Any], Table | None]] = {
    CookReading: _of_bird,
    HoldReading: _of_tray,
    CoolingReading: _of_batch,
    ReheatReading: _of_reheat,
    UnitCheck: _of_unit,
    Receiving: _of_delivery,
}
