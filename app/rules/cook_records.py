"""Spits as forecasts see them: when they began to roast, what was read until the pull, size and number of birds."""

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal

from .cook_time import SpitRecord
from .kitchen import Kitchen, Load, Spit
from .scales import KG_PER_LB


def record_of(kitchen: Kitchen, load: Load, spit: Spit) -> SpitRecord:
    """Give one spit's record, with its readings up to the last pull."""
    until = spit.outs[-1].at if spit.outs else None
    readings = [
        (entry.observed_at, entry.reading) for _, entry in spit.readings if until is None or entry.observed_at <= until
    ]
    return SpitRecord(
        started_at=load.opener.observed_at,
        readings=readings,
        bird_kg=_bird_kg(spit),
        birds=int(spit.birds_in),
        rotation_percent=_rotation(kitchen, load, until),
    )


def past_records(kitchen: Kitchen, *, before: datetime) -> list[SpitRecord]:
    """Give the records of all spits pulled empty before a moment, oldest first."""
    spits = [
        (spit.outs[-1].at, record_of(kitchen, load, spit))
        for load in kitchen.loads.values()
        for spit in load.spits.values()
        if spit.birds_left <= 0 and spit.outs and spit.outs[-1].at < before and spit.readings
    ]
    return [record for _, record in sorted(spits, key=lambda pair: pair[0])]


def _bird_kg(spit: Spit) -> float | None:
    weights = list(_weights_kg(spit))
    birds = sum(count for _, count in weights)
    return float(sum(kg * count for kg, count in weights) / birds) if birds else None


def _weights_kg(spit: Spit) -> Iterable[tuple[Decimal, Decimal]]:
    for move in spit.fills:
        weight = move.entry.fields.get("mean_weight")
        if weight is not None:
            yield (weight if move.entry.fields["weight_unit"] == "kg" else weight * KG_PER_LB), move.birds


def _rotation(kitchen: Kitchen, load: Load, until: datetime | None) -> float | None:
    """Give the drum speed in percent that was set last while the load was in the oven."""
    settings = [
        entry.fields["rotation"]
        for entry in kitchen.of_kind("oven_setting")
        if entry.fields["oven"] == load.oven
        and "rotation" in entry.fields
        and (until is None or entry.observed_at <= until)
    ]
    return float(settings[-1]) if settings else None
