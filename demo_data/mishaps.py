"""What went wrong on the bad days, by how many days before today."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from .chilled import FOUND, throw_forgotten_away
from .diary import Diary, in_charge_on
from .ordinary import BIRDS, LOADS, degrees, pulled_at, serve

_LOAD_1, _LOAD_2, _LOAD_3 = LOADS
Story = Callable[[Diary, Sequence[str]], None]


@dataclass(frozen=True)
class Mishap:
    """A bad day: what is different about its loads, which trays (load, spit) it serves itself, and its story."""

    story: Story | None = None
    loads: Mapping[int, Mapping[str, Any]] = field(default_factory=dict)
    trays: tuple[tuple[int, int], ...] = ()

    def __call__(self, diary: Diary, trays: Sequence[str]) -> None:
        if self.story is not None:
            self.story(diary, trays)


def _minutes(number: float) -> timedelta:
    return timedelta(minutes=number)


def _undercooked(diary: Diary, trays: Sequence[str]) -> None:
    """A spit pulled at 158 °F: its birds go back to the oven on a free spit, and are read again."""
    day, cook = diary.day, in_charge_on(diary.day)[1]
    name, tray, out_at = day.named("L1"), trays[1], pulled_at(day, _LOAD_1, 2) + _minutes(6)
    back = {"load": name, "spit": 4}
    diary.write("tray_out", out_at, by=cook, tray=tray, birds=BIRDS, to="returned_to_oven", **back)
    for bird, value in ((1, 171.5), (4, 169.2)):
        reading = degrees(value, "blue")
        diary.write("cook_reading", out_at + _minutes(18), by=cook, **back, bird=bird, place="breast", **reading)
    again = day.named("T14")
    pulled = {"tray": again, "hot_unit": "pass", "birds": BIRDS}
    diary.write("spit_pulled", out_at + _minutes(20), by=cook, **back, **pulled)
    serve(diary, again, out_at + _minutes(20))


def _warm_cabinet(diary: Diary, trays: Sequence[str]) -> None:
    """A cabinet with its door ajar: 128 °F after an hour, shut, hot again half an hour later."""
    day, cook = diary.day, in_charge_on(diary.day)[1]
    tray, pulled = trays[3], pulled_at(day, _LOAD_2, 1)
    for value, after in ((128.4, 62), (131, 70), (139.5, 92), (146, 160)):
        diary.write("hold_reading", pulled + _minutes(after), by=cook, tray=tray, **degrees(value, "red"))
    diary.write("tray_out", pulled + _minutes(40), by=cook, tray=tray, birds=2, to="served")
    diary.write("tray_out", pulled + _minutes(110), by=cook, tray=tray, birds=3.5, to="served")
    diary.write("tray_out", pulled + _minutes(170), by=cook, tray=tray, birds=0.5, to="discarded", reason="quality")


def _missed_check(diary: Diary, trays: Sequence[str]) -> None:
    """A tray that nobody read for two hours."""
    serve(diary, trays[4], pulled_at(diary.day, _LOAD_2, 2), checks=(122,))


def _mended(diary: Diary, _trays: Sequence[str]) -> None:
    """A reading typed as 156 and mended to 165.6 after the spit was pulled: the finding goes, the question stays."""
    reading = next(
        draft
        for _, _, draft in diary.pages
        if draft["kind"] == "cook_reading" and draft["temperature"] == "156.0" and draft["bird"] == 4
    )
    cook = in_charge_on(diary.day)[1]
    diary.mend(reading, "12:05", "digits dropped while typing", by=cook, temperature="165.6")


def _probe_fails(diary: Diary, trays: Sequence[str]) -> None:
    """The red probe reads 2.9 °F high in ice at the end of the day: one good reading may have been none."""
    ice = {"method": "ice_point", "temperature": "34.9", "unit": "F", "adjusted": False}
    cook = in_charge_on(diary.day)[1]
    diary.write("hold_reading", "17:05", by=cook, tray=trays[7], **degrees(136.8, "red"))
    diary.write("probe_check", "23:04", by=cook, probe="red", **ice)


def _past_midnight(diary: Diary, trays: Sequence[str]) -> None:
    """A late order: a tray kept hot past midnight, checked all the way."""
    cook, tray = in_charge_on(diary.day)[1], trays[6]
    for value, clock in (
        (151, "17:40"),
        (149, "19:00"),
        (150, "20:20"),
        (147, "21:40"),
        (148, "23:00"),
        (146, "24:20"),
    ):
        diary.write("hold_reading", clock, by=cook, tray=tray, **degrees(value, "red"))
    diary.write("tray_out", "18:10", by=cook, tray=tray, birds=2, to="served")
    diary.write("tray_out", "25:15", by=cook, tray=tray, birds=4, to="served")


def _released(diary: Diary, key: str, clock: str | datetime, basis: str) -> None:
    """Somebody in charge releases what a finding set aside."""
    diary.write("release", clock, by=in_charge_on(diary.day)[0], findings=[key], basis=basis)


def _skewer_missing(diary: Diary, trays: Sequence[str]) -> None:
    """A skewer fewer came off than went on: the tray waits until it is found."""
    day, cook = diary.day, in_charge_on(diary.day)[1]
    pull = _of_tray(diary, "spit_pulled", trays[4])
    found = pulled_at(day, _LOAD_2, 2) + _minutes(25)
    diary.write("note", found, by=cook, text="Skewer found in the drip pan, whole.")
    key = f"ties.balance:spit:{pull['load']}/{pull['spit']}:{pull['id']}"
    _released(diary, key, found + _minutes(5), "The skewer was found whole in the drip pan; every bird was searched.")


def _of_tray(diary: Diary, kind: str, tray: str) -> Mapping[str, Any]:
    return next(draft for _, _, draft in diary.pages if draft["kind"] == kind and draft["tray"] == tray)


def _sold_before_it_was_seen(diary: Diary, trays: Sequence[str]) -> None:
    """A spit pulled at 157 °F; two birds were sold before anybody looked, the others are thrown away."""
    cook, pulled = in_charge_on(diary.day)[1], pulled_at(diary.day, _LOAD_2, 1)
    diary.write("tray_out", pulled + _minutes(12), by=cook, tray=trays[3], birds=2, to="served")
    rest = {"tray": trays[3], "birds": BIRDS - 2, "to": "discarded", "reason": "temperature"}
    diary.write("tray_out", pulled + _minutes(26), by=cook, **rest)


def _market_day(diary: Diary, trays: Sequence[str]) -> None:
    """Counter service by time as the control: marked, three birds sold, one thrown away in time."""
    day, cook = diary.day, in_charge_on(diary.day)[1]
    tray, started = trays[2], pulled_at(day, _LOAD_1, 3) + _minutes(20)
    diary.write("hold_reading", started - _minutes(5), by=cook, tray=tray, **degrees(158, "red"))
    marked = (started + _minutes(240)).isoformat()
    diary.write("time_control_started", started, by=cook, tray=tray, marked_discard_by=marked)
    diary.write("tray_out", started + _minutes(110), by=cook, tray=tray, birds=5, to="served")
    diary.write("tray_out", started + _minutes(225), by=cook, tray=tray, birds=1, to="discarded", reason="time")


def _over_time(diary: Diary, trays: Sequence[str]) -> None:
    """A tray under time as the control is forgotten on the pass: two birds are found late, and thrown away."""
    day, cook = diary.day, in_charge_on(diary.day)[1]
    tray, started = trays[2], pulled_at(day, _LOAD_1, 3) + _minutes(20)
    diary.write("hold_reading", started - _minutes(6), by=cook, tray=tray, **degrees(161, "red"))
    marked = (started + _minutes(240)).isoformat()
    diary.write("time_control_started", started, by=cook, tray=tray, marked_discard_by=marked)
    diary.write("tray_out", started + _minutes(130), by=cook, tray=tray, birds=BIRDS - 2, to="served")
    diary.write("tray_out", started + _minutes(265), by=cook, tray=tray, birds=2, to="discarded", reason="time")


def _sent_back(diary: Diary, _trays: Sequence[str]) -> None:
    """A second delivery that came warm, and went back."""
    fields = {"product": "whole chicken, chilled", "lot": f"J{diary.day.back:02d}-LA", "supplier": "Larch & Sons"}
    fields |= {"state": "chilled", "decision": "rejected", "reason": "the van's cooling was off"}
    cook = in_charge_on(diary.day)[1]
    diary.write("receiving", "08:40", by=cook, birds=60, **fields, **degrees(47.6, "pocket"))


def _oven_out(diary: Diary, _trays: Sequence[str]) -> None:
    """The burner of the east oven went out for 36 minutes with a load in it."""
    cook = in_charge_on(diary.day)[1]
    out = diary.write("equipment_out", "09:35", by=cook, code="east", cause="burner out")
    diary.write("equipment_back", "10:11", by=cook, code="east", cause="thermocouple cleaned by the fitter")
    key = f"cook.interrupted:load:{diary.day.named('L1')}:{out['id']}"
    _released(diary, key, "10:50", "Every spit was probed at the limit after the burner was lit again.")


def _warm_chiller(diary: Diary, _trays: Sequence[str]) -> None:
    """The chiller's door stood open: its air warm, its food a little over the limit, cold again after an hour."""
    cook = in_charge_on(diary.day)[1]
    for clock, of, value in (("13:50", "air", 46.1), ("14:04", "food", 42.3), ("15:10", "food", 39.8)):
        check = {"unit_code": "chiller", "of": of} | degrees(value, "red" if of == "food" else None)
        diary.write("unit_check", clock, by=cook, **check)


def _boiling(diary: Diary, _trays: Sequence[str]) -> None:
    """The pocket probe checked in boiling water, and the red one beside the blue."""
    cook = in_charge_on(diary.day)[1]
    boiling = {"method": "boiling_point", "altitude_m": "180", "temperature": "211.4", "unit": "F", "adjusted": False}
    diary.write("probe_check", "14:20", by=cook, probe="pocket", **boiling)
    beside = {"method": "comparison", "temperature": "151.2", "reference_temperature": "150.6", "unit": "F"}
    diary.write("probe_check", "14:30", by=cook, probe="red", adjusted=False, **beside)


MISHAPS: Mapping[int, Mishap] = {
    20: Mishap(_undercooked, {1: {"readings": {2: ("168.4", "158.2")}}}, trays=((1, 2),)),
    19: Mishap(_sent_back),
    17: Mishap(_warm_cabinet, trays=((2, 1),)),
    15: Mishap(_missed_check, trays=((2, 2),)),
    14: Mishap(_oven_out),
    13: Mishap(_skewer_missing, {2: {"skewers_off": {2: 1}}}),
    FOUND: Mishap(throw_forgotten_away),
    11: Mishap(_mended, {1: {"readings": {1: ("170.2", "156")}}}),
    10: Mishap(_boiling),
    8: Mishap(_probe_fails),
    7: Mishap(_warm_chiller),
    6: Mishap(_over_time, trays=((1, 3),)),
    4: Mishap(_past_midnight, trays=((3, 1),)),
    3: Mishap(_sold_before_it_was_seen, {2: {"readings": {1: ("168.2", "157.4")}}}, trays=((2, 1),)),
    2: Mishap(_market_day, trays=((1, 3),)),
    1: Mishap(_warm_cabinet, trays=((2, 1),)),
}
