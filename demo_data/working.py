"""Today, as far as it has come: told backwards from the moment the demo is loaded, so that there is something to do."""

from datetime import datetime, timedelta

from app.db import Database

from .calendar import DemoDay, business_date
from .diary import Diary, in_charge_on
from .ordinary import BIRDS, Load, degrees, lot_of


def write_today(database: Database, *, at: datetime) -> None:
    """Write what the day allows: the opening, then a load on its way, then a tray from an earlier load."""
    today = DemoDay(business_date(at), 0)
    diary = Diary(today)
    minutes = (at - today.at("04:00")) / timedelta(minutes=1)
    _open(diary, at - timedelta(minutes=min(330, minutes - 1)))
    if minutes > 80:
        _roasting(diary, at)
    if minutes > 240:
        _holding(diary, at)
        _cooling(diary, at)
        _reheating(diary, at)
    diary.keep(database)


def _open(diary: Diary, at: datetime) -> None:
    lead, cook = in_charge_on(diary.day)
    diary.write("in_charge_from", at, by=lead)
    items = dict.fromkeys(("hand_sink", "probe_wipes", "cold_units", "hot_units"), True)
    diary.write("checklist", at, by=cook, list="opening", items=items)
    for probe in ("blue", "red"):
        ice = {"method": "ice_point", "temperature": "32.2", "unit": "F", "adjusted": False}
        diary.write("probe_check", at, by=cook, probe=probe, **ice)
    diary.write("unit_check", at, by=cook, unit_code="walk-in", of="air", **degrees(37.4))
    diary.write(
        "receiving",
        at,
        by=cook,
        product="whole chicken, chilled",
        lot=lot_of(diary.day),
        supplier="Two Brooks Farm",
        birds=60,
        state="chilled",
        decision="accepted",
        use_by=(diary.day.day + timedelta(days=4)).isoformat(),
        **degrees(38.1, "blue"),
    )


def _start(diary: Diary, load: Load, at: datetime) -> str:
    name, cook = diary.day.named(f"L{load.number}"), in_charge_on(diary.day)[1]
    checks = dict.fromkeys(("water", "grease", "birds", "spits"), True)
    diary.write("load_started", at, by=cook, load=name, oven=load.oven, checks=checks)
    for spit in range(1, load.spits + 1):
        fields = {"load": name, "spit": spit, "birds": BIRDS, "lot": lot_of(diary.day), "ties": 6, "skewers": 2}
        diary.write("spit_loaded", at + timedelta(minutes=spit), by=cook, **fields)
    return name


def _roasting(diary: Diary, at: datetime) -> None:
    """A load 74 minutes in the oven: one bird done, the next to probe."""
    cook, name = in_charge_on(diary.day)[1], _start(diary, Load(2, "west", "", spits=3), at - timedelta(minutes=74))
    for minutes, value in ((30, 131), (14, 151), (3, 166.8)):
        seen = at - timedelta(minutes=minutes)
        fields = {"load": name, "spit": 1, "bird": 1, "place": "breast"}
        diary.write("cook_reading", seen, by=cook, **fields, **degrees(value, "blue"))


def _holding(diary: Diary, at: datetime) -> None:
    """An earlier load in hot holding: one tray due for its check, one that read low."""
    cook, pulled = in_charge_on(diary.day)[1], at - timedelta(minutes=104)
    name = _start(diary, Load(1, "east", "", spits=2), pulled - timedelta(minutes=86))
    for spit in (1, 2):
        tray, own = diary.day.named(f"T1{spit}"), {"load": name, "spit": spit}
        for bird, value in ((1, 171.4), (4, 168.9)):
            seen = pulled - timedelta(minutes=3)
            diary.write("cook_reading", seen, by=cook, **own, bird=bird, place="breast", **degrees(value, "blue"))
        off = {"ties_removed": 6, "skewers_removed": 2}
        diary.write("spit_pulled", pulled, by=cook, **own, tray=tray, hot_unit="pass", birds=BIRDS, **off)
        diary.write("tray_out", at - timedelta(minutes=50), by=cook, tray=tray, birds=2, to="served")
    low = {"tray": diary.day.named("T12"), **degrees(133.6, "red")}
    diary.write("hold_reading", at - timedelta(minutes=18), by=cook, **low)


def _cooling(diary: Diary, at: datetime) -> None:
    """Two birds of the earlier load on their way down, cut up in the chiller."""
    cook, batch = in_charge_on(diary.day)[1], diary.day.named("B1")
    how = {"to": "chilled", "batch": batch, "cold_unit": "chiller", "method": "cut_up"}
    out = {"tray": diary.day.named("T11"), "birds": 2, **how, **degrees(139.4, "red")}
    diary.write("tray_out", at - timedelta(minutes=46), by=cook, **out)
    for value, minutes in ((118, 33), (98, 12)):
        seen = at - timedelta(minutes=minutes)
        diary.write("cooling_reading", seen, by=cook, batch=batch, **degrees(value, "red"))


def _reheating(diary: Diary, at: datetime) -> None:
    """A bird of yesterday's batch on its way up for the counter."""
    cook, reheat = in_charge_on(diary.day)[1], diary.day.named("R1")
    yesterday = DemoDay(diary.day.day - timedelta(days=1), 1).named("B1")
    diary.write("reheat_started", at - timedelta(minutes=31), by=cook, batch=yesterday, birds=1, reheat=reheat)
    diary.write("reheat_reading", at - timedelta(minutes=7), by=cook, reheat=reheat, **degrees(126.2, "blue"))
