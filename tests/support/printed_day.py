"""A full day in the kitchen as its log prints it: good and bad spits, a mended reading, a late one, birds chilled."""

from dataclasses import replace
from datetime import date, datetime
from typing import Any

from app.kinds import Entry
from app.rules.day import shown
from tests.support import cast
from tests.support.cast import entry
from tests.support.set_up import assess

ENDS = cast.moment("23:30")
HEAD = (73, "f51eab33595e213eb00677066b7c2149eee81495aa7ad7275187cfa9bbee0fbd")
RECORDS = '{"v": 1, "site": "S1"}'
"""What is attached; anything will do: the tests of kept logs hold it to the ledger."""


def entries() -> list[Entry]:
    """Give the day's entries; what is wrong with one stands beside it."""
    return [*_morning(), *_first_load(), *_second_load(), *_trays(), *_leftovers(), *_mended()]


def _morning() -> list[Entry]:
    food = entry("unit_check", at="15:00", seq=7, temperature="39", of="food")
    return [
        entry("in_charge_from", at="08:00", seq=1, person="pat"),
        entry("checklist", at="08:05", seq=2),
        entry("receiving", at="08:20", seq=3),
        entry("probe_check", at="08:30", seq=4),
        entry("probe_check", at="08:32", seq=5, probe="white", temperature="28.9"),  # over 2 °F off: it failed
        entry("unit_check", at="08:35", seq=6),
        food,
    ]


def _first_load() -> list[Entry]:
    return [
        entry("load_started", at="09:00", seq=10),
        entry("spit_loaded", at="09:02", seq=11, birds=6, ties=6, mean_weight="3.25", weight_unit="lb"),
        entry("spit_loaded", at="09:04", seq=12, spit=2, birds=6, ties=6),
        entry("oven_setting", at="09:05", seq=13, temperature="350", unit="F"),
        entry("cook_reading", at="10:30", seq=14, temperature="168"),
        entry("cook_reading", at="10:31", seq=15, bird=4, temperature="171.2"),
        entry("spit_pulled", at="10:36", seq=16, birds=6, ties_removed=6),
        entry("cook_reading", at="10:37", seq=17, spit=2, temperature="156"),  # too low, and pulled all the same
        entry("cook_reading", at="10:38", seq=18, spit=2, bird=5, temperature="169"),
        entry("spit_pulled", at="10:40", seq=19, spit=2, tray="A-T2", birds=6, ties_removed=5),  # a tie is missing
    ]


def _second_load() -> list[Entry]:
    checks = {"water": True, "grease": False, "birds": True, "spits": None}
    return [
        entry("load_started", at="14:00", seq=30, load="A-L2", oven="west", checks=checks),
        entry("spit_loaded", at="14:02", seq=31, load="A-L2", birds=5, lot="0413-1"),  # nobody received this lot
        entry("cook_reading", at="15:30", seq=32, load="A-L2", temperature="170", note="juices ran clear"),
        entry("spit_pulled", at="15:35", seq=33, load="A-L2", tray="A-T3", birds=5),  # one bird probed, not two
    ]


def _trays() -> list[Entry]:
    return [
        entry("hold_reading", at="12:00", seq=40, temperature="151"),
        entry("hold_reading", at="13:30", seq=41, temperature="128"),  # too cold
        entry("tray_out", at="13:35", seq=42, birds="3.25"),
        entry("tray_out", at="13:40", seq=43, birds="2.75", to="discarded", reason="temperature"),
        entry("tray_moved", at="11:00", seq=44, tray="A-T2"),
        entry("hold_reading", at="12:05", seq=45, tray="A-T2", temperature="149", late=True),
        entry("tray_out", at="13:00", seq=46, tray="A-T2", birds="4"),
        entry("hold_reading", at="17:00", seq=47, tray="A-T3", temperature="146"),
        entry("hold_reading", at="20:00", seq=48, tray="A-T3", temperature="139"),  # a check between was missed
    ]


def _leftovers() -> list[Entry]:
    chilled: dict[str, Any] = {"to": "chilled", "batch": "A-B1", "method": "ice_bath", "cold_unit": "walk-in"}
    return [
        entry("tray_out", at="13:20", seq=60, tray="A-T2", birds="2", **chilled),
        entry("cooling_reading", at="15:00", seq=61, temperature="66"),
        entry("cooling_reading", at="18:00", seq=62, temperature="40"),
        entry("tray_out", at="20:30", seq=63, tray="A-T3", birds="2.5", to="served"),
        entry("checklist", at="22:00", seq=64, list="closing", items={"gas_off": True, "food_put_away": True}),
        entry("note", at="22:05", seq=65, text="The pass runs cool at the door side."),
    ]


def _mended() -> list[Entry]:
    wrong = entry("hold_reading", at="12:10", seq=70, tray="A-T2", temperature="119")
    right = entry("hold_reading", at="12:10", seq=71, tray="A-T2", temperature="149", of=wrong, person="robin")
    right = replace(right, amend_reason="119 was a slip of the finger")
    twice = entry("tray_out", at="12:50", seq=72, tray="A-T2", birds="1")
    gone = replace(entry("tray_out", at="12:51", seq=73, of=twice, withdrawn=True), amend_reason="tapped twice")
    return [wrong, right, twice, gone]


def assessment(
    *extra: Entry, as_of: datetime = ENDS, settings: tuple[tuple[str, str], ...] = (), day: date = cast.DAY
) -> shown.Assessment:
    """Assess the day (or another), with more entries or plan settings where a test needs them."""
    adopted = replace(cast.ADOPTED, settings=settings)
    return assess(day, [*entries(), *extra], site=cast.site_facts(), plans=[adopted], as_of=as_of)
