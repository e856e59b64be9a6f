"""An ordinary day: opening, deliveries, three loads, trays kept hot and served, leftovers chilled, closing."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from .calendar import LENGTH, DemoDay
from .diary import Diary, in_charge_on

BIRDS = 6
SUPPLIERS = ("Fenwick Hollow Poultry", "Two Brooks Farm")


@dataclass
class Load:
    """What one load does: `readings` by spit replace the ordinary ones; `keep` is left out of serving."""

    number: int
    oven: str
    start: str
    spits: int = 3
    unit: str = "pass"
    readings: Mapping[int, tuple[str, str]] = field(default_factory=dict)
    skewers_off: Mapping[int, int] = field(default_factory=dict)
    checked: bool = True


LOADS = (Load(1, "east", "09:10"), Load(2, "west", "11:40", unit="cabinet"), Load(3, "east", "15:20"))


def open_kitchen(diary: Diary) -> None:
    """Opening checklist, probes checked, units read, a delivery every other day."""
    lead, cook = in_charge_on(diary.day)
    dice = diary.day.dice("opening")
    diary.write("in_charge_from", "07:05", by=lead)
    items = dict.fromkeys(("hand_sink", "probe_wipes", "cold_units", "hot_units"), True)
    diary.write("checklist", "07:20", by=cook, list="opening", items=items)
    for probe, minute in (("blue", 31), ("red", 33), ("pocket", 35)):
        error = dice.choice(("32", "32.2", "32.4", "31.8"))
        ice = {"method": "ice_point", "temperature": error, "unit": "F", "adjusted": False}
        diary.write("probe_check", f"07:{minute}", by=cook, probe=probe, **ice)
    for unit, clock in (("walk-in", "07:40"), ("chiller", "07:42")):
        diary.write("unit_check", clock, by=cook, unit_code=unit, of="air", **degrees(dice.uniform(35.5, 39)))
    diary.write("unit_check", "09:50", by=cook, unit_code="pass", of="air", **degrees(dice.uniform(148, 158)))
    receive(diary)


def degrees(value: float, probe: str | None = None) -> dict[str, Any]:
    """Give a temperature in °F as fields."""
    read = {"temperature": f"{value:.1f}", "unit": "F"}
    return read if probe is None else {**read, "probe": probe}


def lot_of(day: DemoDay) -> str:
    """Give the lot that a day cooks: delivered that morning or the day before."""
    back = day.back + day.back % 2
    return f"J{back:02d}-{SUPPLIERS[back // 2 % 2][:2].upper()}"


def receive(diary: Diary) -> None:
    """A delivery of whole chickens, every other morning, and on the first day of all."""
    if diary.day.back % 2 and diary.day.back != LENGTH:
        return
    dice = diary.day.dice("delivery")
    diary.write(
        "receiving",
        "08:15",
        by=in_charge_on(diary.day)[1],
        product="whole chicken, chilled",
        lot=lot_of(diary.day),
        supplier=SUPPLIERS[diary.day.back // 2 % 2],
        birds=120,
        state="chilled",
        decision="accepted",
        use_by=(diary.day.day + timedelta(days=4)).isoformat(),
        **degrees(dice.uniform(35, 39.5), "pocket"),
    )


def roast(diary: Diary, load: Load) -> list[str]:
    """One load from start to its trays; gives the trays."""
    day, cook = diary.day, in_charge_on(diary.day)[1]
    name, started = day.named(f"L{load.number}"), day.at(load.start)
    checks = dict.fromkeys(("water", "grease", "birds", "spits"), True)
    diary.write("load_started", started, by=cook, load=name, oven=load.oven, checks=checks)
    diary.write("oven_setting", started, by=cook, oven=load.oven, rotation="60", temperature="350", unit="F")
    trays = []
    for spit in range(1, load.spits + 1):
        own = {"load": name, "spit": spit}
        fields = {
            "birds": BIRDS,
            "lot": lot_of(day),
            "mean_weight": "3.1",
            "weight_unit": "lb",
            "ties": 6,
            "skewers": 2,
        }
        diary.write("spit_loaded", started + _minutes(spit), by=cook, **own, **fields)
        trays.append(_cook_spit(diary, load, spit, started + _minutes(72 + 5 * spit)))
    return trays


def _cook_spit(diary: Diary, load: Load, spit: int, ready: datetime) -> str:
    day, cook = diary.day, in_charge_on(diary.day)[1]
    name, tray = day.named(f"L{load.number}"), day.named(f"T{load.number}{spit}")
    dice, own = day.dice(f"spit {load.number} {spit}"), {"load": name, "spit": spit}
    early = (dice.randint(128, 138), dice.randint(146, 154))
    for value, before in zip(early, (36, 20), strict=True):  # on the way: what a forecast goes by
        diary.write(
            "cook_reading", ready - _minutes(before), by=cook, **own, bird=1, place="breast", **degrees(value, "blue")
        )
    usual = (f"{dice.uniform(167, 179):.1f}", f"{dice.uniform(166, 181):.1f}")
    for bird, read in zip((1, 4), load.readings.get(spit, usual), strict=True):
        at = ready + _minutes(bird // 3)
        diary.write("cook_reading", at, by=cook, **own, bird=bird, place="breast", **degrees(float(read), "blue"))
    off = {"ties_removed": 6, "skewers_removed": load.skewers_off.get(spit, 2)}
    diary.write("spit_pulled", ready + _minutes(4), by=cook, **own, tray=tray, hot_unit=load.unit, birds=BIRDS, **off)
    return tray


def _minutes(number: float) -> timedelta:
    return timedelta(minutes=number)


def serve(diary: Diary, tray: str, pulled: datetime, *, leave: int = 0, checks: tuple[int, ...] = (70, 150)) -> None:
    """Check a tray on its way and serve it out over three hours, but for `leave` birds."""
    cook, dice = in_charge_on(diary.day)[1], diary.day.dice(tray)
    last = 170 if leave == 0 else 150
    for after in checks:
        if after < last:
            reading = degrees(dice.uniform(141, 156), "red")
            diary.write("hold_reading", pulled + _minutes(after), by=cook, tray=tray, **reading)
    portions = [2.0, 1.5, BIRDS - leave - 3.5]
    for portion, after in zip(portions, (35, 95, last), strict=True):
        diary.write("tray_out", pulled + _minutes(after), by=cook, tray=tray, birds=portion, to="served")


def pulled_at(day: DemoDay, load: Load, spit: int) -> datetime:
    """When a spit of a load is pulled on an ordinary day."""
    return day.at(load.start) + _minutes(76 + 5 * spit)


def chill(diary: Diary, tray: str, at: datetime, birds: int, *, marks: tuple[float, float] = (64, 39.6)) -> str:
    """Chill what was left of a tray, cut up, and read it down past both marks."""
    cook, batch = in_charge_on(diary.day)[1], diary.day.named("B1")
    how = {"to": "chilled", "batch": batch, "cold_unit": "chiller", "method": "cut_up"}
    diary.write("tray_out", at, by=cook, tray=tray, birds=birds, **how, **degrees(139, "red"))
    for value, after in ((101, 40), (marks[0], 95), (marks[1], 205)):
        diary.write("cooling_reading", at + _minutes(after), by=cook, batch=batch, **degrees(value, "red"))
    return batch


def close_kitchen(diary: Diary) -> None:
    """Second reading of the cold units and the closing checklist."""
    cook, dice = in_charge_on(diary.day)[1], diary.day.dice("closing")
    for unit, clock in (("walk-in", "22:20"), ("chiller", "22:22")):
        diary.write("unit_check", clock, by=cook, unit_code=unit, of="air", **degrees(dice.uniform(36, 39.8)))
    items = dict.fromkeys(("food_put_away", "grease_emptied", "gas_off", "probes_cleaned"), True)
    diary.write("checklist", "22:40", by=cook, list="closing", items=items)
