"""Spits as forecasts see them: when they began to roast, what was read until the pull, size and number of birds."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from app.kinds import CookReading, OvenSetting, SpitLoaded, TrayOut

from ..day.subjects_shown import LoadView, SpitView
from ..history.holders import Load, Spit
from ..history.kitchen import Kitchen
from ..scales import KG_PER_LB
from .cook_time import SpitRecord

_Loading = SpitLoaded | TrayOut


def record_of_view(load: LoadView, spit: SpitView, settings: Iterable[OvenSetting]) -> SpitRecord:
    """Give the record of a spit as a day shows it; `settings` are the day's oven settings."""
    return _record(load.started_at, spit.loadings, spit.readings, _rotation(settings, load.oven, None))


def past_records(kitchen: Kitchen, *, before: datetime) -> list[SpitRecord]:
    """Give the records of all spits pulled empty before a moment, oldest first."""
    spits = [
        (spit.outs[-1].at, _record_of(kitchen, load, spit, spit.outs[-1].at))
        for load in kitchen.loads.values()
        for spit in load.spits.values()
        if spit.birds_left <= 0 and spit.outs and spit.outs[-1].at < before and spit.readings
    ]
    return [record for _, record in sorted(spits, key=lambda pair: pair[0])]


def _record_of(kitchen: Kitchen, load: Load, spit: Spit, until: datetime) -> SpitRecord:
    loadings = [move.entry for move in spit.fills if isinstance(move.entry, SpitLoaded | TrayOut)]
    readings = [entry for entry in spit.readings if entry.observed_at <= until]
    rotation = _rotation(kitchen.of_kind(OvenSetting), load.oven, until)
    record = _record(load.opener.observed_at, loadings, readings, rotation)
    return replace(record, oven=load.oven, pulled_at=until)


def _record(
    started_at: datetime, loadings: Sequence[_Loading], readings: Iterable[CookReading], rotation: float | None
) -> SpitRecord:
    return SpitRecord(
        started_at=started_at,
        readings=[(entry.observed_at, entry.reading) for entry in readings],
        bird_kg=_bird_kg(loadings),
        birds=sum(int(entry.birds) for entry in loadings),
        rotation_percent=rotation,
    )


def _bird_kg(loadings: Iterable[_Loading]) -> float | None:
    weights = list(_weights_kg(loadings))
    birds = sum(count for _, count in weights)
    return float(sum(kg * count for kg, count in weights) / birds) if birds else None


def _weights_kg(loadings: Iterable[_Loading]) -> Iterable[tuple[Decimal, Decimal]]:
    for entry in loadings:
        weight = entry.mean_weight if isinstance(entry, SpitLoaded) else None
        if weight is not None:
            yield weight.value * (1 if weight.unit == "kg" else KG_PER_LB), Decimal(entry.birds)


def _rotation(settings: Iterable[OvenSetting], oven: str, until: datetime | None) -> float | None:
    """Give the drum speed in percent that was set last, until a moment."""
    speeds = [
        entry.rotation
        for entry in settings
        if entry.oven == oven and entry.rotation is not None and (until is None or entry.observed_at <= until)
    ]
    return float(speeds[-1]) if speeds else None
