"""Days by which the printed log is measured: an ordinary one of nine loads, and the busiest. All invented."""

import json
from decimal import Decimal

from app.rules.day import shown
from tests.support import full_day
from tests.support.full_day import Pages, read
from tests.support.set_up import assess

_CHECKS = dict.fromkeys(("water", "grease", "birds", "spits"), True)
_MOST = 400
_AFTER_A_YEAR = 150_001
"""The number of a day's first entry: a long number takes more room."""


def ordinary() -> shown.Assessment:
    """Assess an ordinary day: nine loads on thirteen spits, each spit read four times, each of its trays twice."""
    pages = Pages()
    full_day.morning(pages)
    for number in range(9):
        load, start = f"A-0414-L{number + 1}", 60 + 80 * number
        _started(pages, load, start, oven="east" if number % 2 else "west")
        for spit in range(1, 2 + number % 2):
            tray = f"A-0414-T{number + 1}{spit}"
            _cooked(pages, load, spit, start, birds=6)
            _pulled(pages, load, spit, start + 95, {tray: 6})
            _held(pages, tray, start + 95, birds=6 if number < 8 else 4, rounds=2)
    _leftovers(pages, "A-0414-T91")
    return _assessed(pages)


def busiest() -> shown.Assessment:
    """Assess the busiest day: six loads on twelve spits, forty trays, four hundred entries."""
    pages = Pages()
    full_day.morning(pages)
    trays: list[tuple[str, int]] = []
    for number in range(6):
        load, start = f"A-0414-L{number + 1}", 60 + 120 * number
        _started(pages, load, start, oven="east" if number % 2 else "west")
        for spit in (1, 2):
            filled = {f"A-0414-T{number + 1}{spit}{part}": 3 for part in range(4 if number > 3 else 3)}
            _cooked(pages, load, spit, start, birds=3 * len(filled))
            _pulled(pages, load, spit, start + 95, filled)
            trays += [(tray, start + 95) for tray in filled]
    for tray, start in trays:
        _held(pages, tray, start, birds=3, rounds=2)
    for each in range(_MOST - 1 - len(pages.rows)):
        tray, start = trays[each % len(trays)]
        pages.write("hold_reading", start + 20 + each // len(trays) * 10, {"tray": tray, **read("152.2")})
    return _assessed(pages)


def records(day: shown.Assessment) -> str:
    """Give what stands for the hashed entries of a day in its attachment."""
    return json.dumps(
        [{"seq": entry.seq, "id": entry.id, "kind": entry.kind, "hash": "0" * 64} for entry in day.entries]
    )


def _assessed(pages: Pages) -> shown.Assessment:
    full_day.signed(pages, first_seq=_AFTER_A_YEAR)
    entries = full_day.kept(pages, first_seq=_AFTER_A_YEAR)
    return assess(full_day.DAY, entries, site=full_day.SITE, plans=[full_day.ADOPTED], as_of=full_day.AS_OF)


def _started(pages: Pages, load: str, start: float, *, oven: str) -> None:
    pages.write("load_started", start, {"load": load, "oven": oven, "checks": _CHECKS})
    pages.write("oven_setting", start + 1, {"oven": oven, "rotation": Decimal(60)})


def _cooked(pages: Pages, load: str, spit: int, start: float, *, birds: int) -> None:
    own = {"load": load, "spit": spit}
    on = {"birds": birds, "lot": "0412-7", "ties": birds, "skewers": 2}
    pages.write("spit_loaded", start + 2 + spit, {**own, **on})
    for minute, values in ((70, ("151.4", "149")), (90, ("172.2", "168.8"))):
        for bird, value in zip((2, 5), values, strict=True):
            pages.write("cook_reading", start + minute + spit, {**own, "bird": bird, "place": "breast", **read(value)})


def _pulled(pages: Pages, load: str, spit: int, minute: float, trays: dict[str, int]) -> None:
    for number, (tray, birds) in enumerate(trays.items()):
        off = {"ties_removed": sum(trays.values()), "skewers_removed": 2} if number == 0 else {}
        own = {"load": load, "spit": spit, "tray": tray, "hot_unit": "pass", "birds": birds}
        pages.write("spit_pulled", minute + spit + number / 4, {**own, **off})


def _held(pages: Pages, tray: str, minute: float, *, birds: int, rounds: int) -> None:
    for number in range(rounds):
        pages.write("hold_reading", minute + 60 * (number + 1), {"tray": tray, **read(f"15{number}.4")})
        out = {"tray": tray, "birds": Decimal(birds) / rounds, "to": "served"}
        pages.write("tray_out", minute + 60 * (number + 1) + 5, out)


def _leftovers(pages: Pages, tray: str) -> None:
    cold = {"to": "chilled", "batch": "A-0414-B1", "cold_unit": "walk-in", "method": "ice_bath", **read("140")}
    pages.write("tray_out", 60 + 80 * 8 + 230, {"tray": tray, "birds": Decimal(2), **cold})
    for minute, value in ((40, "101"), (100, "66"), (220, "40")):
        pages.write("cooling_reading", 60 + 80 * 8 + 230 + minute, {"batch": "A-0414-B1", **read(value)})
