"""Stories of food set aside: how it came to be, where it is, and what was let go."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from app.kinds import Entry
from app.rules.day.food_shown import Food, SetAsideView
from app.rules.day.shown import Assessment
from tests.support.cast import entry, minutes, moment
from tests.support.story import (
    found,
    hot_tray,
    loaded,
    out,
    probed,
    read,
    told,
)

Story = list[Entry]


def pulled(at: str = "10:36", tray: str = "A-T1", **fields: Any) -> Entry:
    return entry("spit_pulled", at=at, tray=tray, **fields)


def chilled(at: str = "11:00", birds: str = "5", tray: str = "A-T1", batch: str = "A-B1", **fields: Any) -> Entry:
    return out(birds, at, "chilled", tray, batch=batch, **fields)


def cooled(temperature: str, at: str | datetime, batch: str = "A-B1", probe: str = "blue") -> Entry:
    return entry("cooling_reading", at=at, temperature=temperature, batch=batch, probe=probe)


def reheated(
    at: str, *temperatures: str, reheat: str = "A-R1", tray: str = "A-T2", start: str = "", **more: Any
) -> Story:
    """A reheat of a batch, read a minute before it is done into a tray."""
    minute = moment(at) - minutes(1)
    begun = [entry("reheat_started", at=start or "13:00", reheat=reheat, birds="5")] if start != "-" else []
    reads = [entry("reheat_reading", at=minute, temperature=one, reheat=reheat, held_s=15) for one in temperatures]
    return [*begun, *reads, entry("reheat_done", at=at, reheat=reheat, tray=tray, birds="5", **more)]


def returned(at: str = "10:50", birds: int = 5, spit: int = 9, tray: str = "A-T1") -> Entry:
    return entry("tray_out", at=at, tray=tray, birds=birds, to="returned_to_oven", load="A-L1", spit=spit)


def aside(day: Assessment, name: str) -> SetAsideView | None:
    """What is set aside in a tray, batch, reheat or spit of a day."""
    named: dict[str, Any] = {one.tray: one for one in day.trays} | {one.batch: one for one in day.batches}
    named |= {one.reheat: one for one in day.reheats}
    named |= {f"{load.load}/{spit.spit}": spit for load in day.loads for spit in load.spits}
    view: SetAsideView | None = named[name].set_aside
    return view


def ways(day: Assessment, name: str) -> tuple[str, ...] | None:
    """The ways out that are right for what is set aside there; None where nothing is."""
    view = aside(day, name)
    return None if view is None else view.ways


def rules_of(day: Assessment, name: str) -> list[str]:
    view = aside(day, name)
    return [] if view is None else [key.partition(":")[0] for key in view.findings]


def food(day: Assessment, rule: str) -> Food:
    return day.food[found(day, rule)[0].key]


def here(day: Assessment, rule: str) -> dict[str, float]:
    return {one.holder.label: float(one.birds) for one in food(day, rule).here}


def gone(day: Assessment, rule: str) -> list[tuple[str, float]]:
    return [(one.to, float(one.birds)) for one in food(day, rule).gone]


def key(story: Sequence[Entry], rule: str, as_of: str | datetime = "20:00") -> str:
    return found(told(story, as_of=as_of), rule)[0].key


def released(key: str, at: str | datetime, **fields: Any) -> Entry:
    return entry("release", at=at, person="pat", findings=[key], **fields)


UNDER = [*loaded(), *probed("149", "170"), pulled()]
TOO_FEW = [*loaded(), *probed("170"), pulled()]
TIES = [*loaded(ties=5), *probed("170", "171"), pulled(ties_removed=4)]
COLD = [*hot_tray(), chilled(), cooled("65", "12:00"), cooled("40", "12:30")]
LATE = [*hot_tray(), chilled(), cooled("80", "12:45")]
BROKEN = [*loaded(), entry("equipment_out", at="09:30"), entry("equipment_back", at="10:10")]
REJECTED = [entry("receiving", at="06:00", decision="rejected"), *hot_tray()]
OUT_FOR_HOURS = [*hot_tray(), read("130", "11:00")]
NEVER_READ = [*hot_tray(), chilled()]
GROWN_WARM = [*COLD, cooled("45", "14:00")]
REHEATED_TOO_COOL = [*COLD, *reheated("14:00", "150")]
STILL_REHEATING = [*COLD, entry("reheat_started", at="13:00", birds="5")]
