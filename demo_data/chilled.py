"""What becomes of a chilled batch on days that are not ordinary: reheated, cooled too slowly, kept past its date."""

from collections.abc import Sequence
from datetime import timedelta

from .calendar import DemoDay
from .diary import Diary, in_charge_on
from .ordinary import degrees

FORGOTTEN, FOUND = 19, 12
"""Days before today: the batch of which one bird stayed behind in the chiller, and when it was found."""


def prepare(diary: Diary, batch: str) -> None:
    """Yesterday's birds boned for salad, as on most days."""
    cook = in_charge_on(diary.day)[1]
    diary.write("batch_out", "11:20", by=cook, batch=batch, birds=2, to="prepared")


def prepare_salad(diary: Diary, batch: str) -> None:
    """Yesterday's birds made into salad and kept cold: a batch of its own, with their day of cooking."""
    cook, salad = in_charge_on(diary.day)[1], diary.day.named("S1")
    into = {"to": "prepared", "into": salad, "product": "chicken salad"}
    diary.write("batch_out", "11:20", by=cook, batch=batch, birds=2, **into)
    diary.write("cooling_reading", "11:50", by=cook, batch=salad, **degrees(39.4, "red"))
    diary.write("batch_out", "14:30", by=cook, batch=salad, birds=2, to="served_cold")


def reheat_one(diary: Diary, batch: str) -> None:
    """One bird made hot for the counter, read hot and held; the other one is forgotten in the chiller."""
    _reheat(diary, batch, birds=1, readings=((118, 40, None), (167.2, 75, 20)))
    tray, cook = diary.day.named("TR1"), in_charge_on(diary.day)[1]
    diary.write("hold_reading", "13:10", by=cook, tray=tray, **degrees(149.5, "red"))
    diary.write("tray_out", "13:40", by=cook, tray=tray, birds=1, to="served")


def reheat_badly(diary: Diary, batch: str) -> None:
    """Two birds put out at 158 °F; somebody notices at the next reading, and they are thrown away."""
    _reheat(diary, batch, birds=2, readings=((112, 35, None), (158.3, 75, None)))
    tray, cook = diary.day.named("TR1"), in_charge_on(diary.day)[1]
    diary.write("hold_reading", "12:35", by=cook, tray=tray, **degrees(151, "red"))
    diary.write("tray_out", "12:50", by=cook, tray=tray, birds=2, to="discarded", reason="temperature")


def _reheat(diary: Diary, batch: str, *, birds: int, readings: Sequence[tuple[float, int, int | None]]) -> None:
    cook, reheat, start = in_charge_on(diary.day)[1], diary.day.named("R1"), diary.day.at("11:00")
    diary.write("reheat_started", start, by=cook, batch=batch, birds=birds, reheat=reheat)
    for value, after, held in readings:
        own = degrees(value, "blue") | ({} if held is None else {"held_s": held})
        diary.write("reheat_reading", start + timedelta(minutes=after), by=cook, reheat=reheat, **own)
    into = {"tray": diary.day.named("TR1"), "hot_unit": "pass"}
    diary.write("reheat_done", "12:18", by=cook, reheat=reheat, birds=birds, **into)


def throw_forgotten_away(diary: Diary, _trays: Sequence[str]) -> None:
    """The forgotten bird is found a week on, past its last day."""
    old = DemoDay(diary.day.day - timedelta(days=FORGOTTEN - FOUND), FORGOTTEN).named("B1")
    cook = in_charge_on(diary.day)[1]
    diary.write("batch_out", "08:50", by=cook, batch=old, birds=1, to="discarded")


def cool_too_slowly(diary: Diary, tray: str) -> None:
    """Two birds chilled whole and covered: over 70 °F after two hours and a quarter, and thrown away."""
    cook, batch, at = in_charge_on(diary.day)[1], diary.day.named("B1"), diary.day.at("19:36")
    how = {"to": "chilled", "batch": batch, "cold_unit": "walk-in", "method": "other"}
    diary.write("tray_out", at, by=cook, tray=tray, birds=2, **how, **degrees(139, "red"))
    diary.write("batch_moved", at + timedelta(minutes=45), by=cook, batch=batch, cold_unit="chiller")
    for value, after in ((122, 40), (97, 90), (81, 136)):
        diary.write("cooling_reading", at + timedelta(minutes=after), by=cook, batch=batch, **degrees(value, "red"))
    diary.write("batch_out", "22:05", by=cook, batch=batch, birds=2, to="discarded")
