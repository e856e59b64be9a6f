"""A day with every kind of subject and entry for the benches: invented, in an order that the ledger would take."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from app.kinds import Entry
from app.rules import facts
from app.rules.plans import plan
from tests.support import busy_day
from tests.support.busy_day import AS_OF, DAY, START

ENTRIES = 400
ROUNDS = 4
ADOPTED = plan.Adopted(
    1, "us_food_code_2022", (("time_control_procedure", "TC-2"),), "pat", busy_day.ADOPTED.adopted_at
)
EQUIPMENT = {
    **{code: facts.Equipment(code, "oven") for code in ("east", "west")},
    **{code: facts.Equipment(code, "hot_unit") for code in ("pass", "cabinet")},
    **{code: facts.Equipment(code, "cold_unit") for code in ("walk-in", "blast")},
    **{code: facts.Equipment(code, "probe", scale) for code, scale in (("blue", "dual"), ("white", "F"))},
}
PEOPLE = {
    "cook": facts.Person("cook", "Casey Cook", "cook"),
    "pat": facts.Person("pat", "Pat Porter", "in_charge"),
    "sam": facts.Person("sam", "Sam Silva", "in_charge"),
}
SITE = facts.Site("S1", "Bench kitchen", ZoneInfo("America/Chicago"), None, PEOPLE, EQUIPMENT)


@dataclass(frozen=True, slots=True)
class Row:
    """One entry before it has its number."""

    id: str
    kind: str
    minute: float
    fields: Mapping[str, Any]
    person: str = "cook"
    mends: "Row | None" = None
    withdrawn: bool = False


@dataclass(slots=True)
class Pages:
    """The day in the making."""

    rows: list[Row] = field(default_factory=list)

    def write(self, kind: str, minute: float, fields: Mapping[str, Any], **other: Any) -> Row:
        """Write an entry seen so many minutes after the day's first."""
        row = Row(f"00000000-0000-4000-8000-{len(self.rows) + 1:012x}", kind, minute, fields, **other)
        self.rows.append(row)
        return row


def entries() -> list[Entry]:
    """Give the day's entries by seq, in the order in which they were seen."""
    pages = Pages()
    morning(pages)
    for number in range(ROUNDS + 1):
        for kind, minute, fields in busy_day.load_rows(f"A-L{number}", 60 + 150 * number):
            pages.write(kind, minute, fields)
    for number in range(ROUNDS):
        _load_of_everything(pages, f"A-X{number}", 70 + 150 * number)
    _mended(pages, "A-X1-T3", 220 + 141)
    _failed_probe(pages)
    _more_birds_probed(pages, ENTRIES - 1 - len(pages.rows))
    signed(pages)
    return kept(pages)


def kept(pages: Pages, *, first_seq: int = 1) -> list[Entry]:
    """Give what was written as typed entries by seq, in the order in which they were seen."""
    seqs = {row.id: seq for seq, row in enumerate(sorted(pages.rows, key=lambda row: row.minute), start=first_seq)}
    return sorted((_entry(row, seqs) for row in pages.rows), key=lambda entry: entry.seq)


def _entry(row: Row, seqs: Mapping[str, int]) -> Entry:
    at, first = START + timedelta(minutes=row.minute), row.mends or row
    fields = {**row.fields, **({"withdrawn": True} if row.withdrawn else {})}
    return busy_day.typed_entry(
        row.kind,
        fields,
        seq=seqs[row.id],
        id=row.id,
        observed_at=START + timedelta(minutes=first.minute),
        recorded_at=at,
        person=row.person,
        root_seq=seqs[first.id],
        root=first.id,
        amends=row.mends.id if row.mends else None,
    )


_WEIGHT = {"mean_weight": Decimal("3.1"), "weight_unit": "lb"}


def read(value: str, probe: str = "blue") -> dict[str, Any]:
    """Give the fields of a temperature."""
    return {"temperature": Decimal(value), "unit": "F", "probe": probe}


def morning(pages: Pages) -> None:
    """Write who took charge, the lists, the probe checks, two deliveries and the checks of the units."""
    pages.write("in_charge_from", 0, {}, person="pat")
    pages.write("checklist", 1, {"list": "opening", "items": {}})
    for probe in ("blue", "white"):
        pages.write("probe_check", 2, {"method": "ice_point", "adjusted": False, **read("32.4", probe)})
    pages.write("receiving", 5, {**busy_day.DELIVERY, **read("38")})
    rejected = {**busy_day.DELIVERY, "lot": "0412-8", "decision": "rejected", "reason": "bags torn"}
    pages.write("receiving", 6, {**rejected, **read("45.5")})
    for unit, of, value in (("walk-in", "air", "38"), ("walk-in", "food", "39.5"), ("pass", "air", "152")):
        for minute in (8, 700):
            pages.write("unit_check", minute, {"unit_code": unit, "of": of, **read(value)})
    for minute in (10, 702):
        pages.write("unit_check", minute, {"unit_code": "blast", "of": "air", **read("36.4")})
    pages.write("checklist", 1300, {"list": "closing", "items": {}})


def _load_of_everything(pages: Pages, load: str, start: float) -> None:
    """Write a load that goes every way: to another tray, back into the oven, by the clock, cold, and hot again."""
    checks = dict.fromkeys(("water", "grease", "birds", "spits"), True)
    pages.write("load_started", start, {"load": load, "oven": "west", "checks": checks})
    for minute, percent in ((1, 60), (40, 80)):
        pages.write("oven_setting", start + minute, {"oven": "west", "rotation": Decimal(percent)})
    pages.write("equipment_out", start + 50, {"code": "west", "cause": "belt slipped"})
    pages.write("equipment_back", start + 55, {"code": "west"})
    for spit in (1, 2, 3):
        _spit(pages, load, spit, start)
    _back_into_the_oven(pages, load, start)
    _held(pages, load, start)
    _chilled_and_reheated(pages, load, start)


def _spit(pages: Pages, load: str, spit: int, start: float) -> None:
    own = {"load": load, "spit": spit}
    pages.write("spit_loaded", start + 2, {**own, "birds": 6, "lot": "0412-7", "ties": 6, **_WEIGHT})
    for bird, value in ((1, "168.2"), (4, "158.4" if spit == 3 else "171")):
        pages.write("cook_reading", start + 100, {**own, "bird": bird, "place": "breast", **read(value)})
    pulled = {"tray": f"{load}-T{spit}", "hot_unit": "pass", "birds": 6, "ties_removed": 6}
    pages.write("spit_pulled", start + 102, {**own, **pulled})


def _back_into_the_oven(pages: Pages, load: str, start: float) -> None:
    own = {"load": load, "spit": 5}
    back = {"tray": f"{load}-T3", "birds": 2, "to": "returned_to_oven", **own}
    pages.write("tray_out", start + 105, back)
    for bird in (1, 2):
        pages.write("cook_reading", start + 125, {**own, "bird": bird, "place": "breast", **read("169")})
    pages.write("spit_pulled", start + 127, {**own, "tray": f"{load}-T3", "birds": 2})


def _held(pages: Pages, load: str, start: float) -> None:
    """Write the life of its trays: one moved and too cold, one merged into the third and then timed."""
    first, second, third = (f"{load}-T{spit}" for spit in (1, 2, 3))
    low = pages.write("hold_reading", start + 135, {"tray": first, **read("131.5", "white")})
    pages.write("tray_moved", start + 136, {"tray": first, "hot_unit": "cabinet"})
    _answered(pages, start + 137, f"hold.temperature:tray:{first}:{low.id}")
    pages.write("hold_reading", start + 138, {"tray": second, **read("137", "white")})
    pages.write("tray_out", start + 139, {"tray": second, "birds": Decimal(2), "to": "other_tray", "into": third})
    until = START + timedelta(minutes=start + 140 + 240)
    pages.write("time_control_started", start + 140, {"tray": second, "marked_discard_by": until})
    pages.write("hold_reading", start + 141, {"tray": third, **read("149")})
    pages.write("hold_reading", start + 155, {"tray": first, **read("147")})
    for tray, birds in ((first, 2), (second, 4), (third, 8)):
        pages.write("tray_out", start + 200, {"tray": tray, "birds": Decimal(birds), "to": "served"})


def _mended(pages: Pages, tray: str, minute: float) -> None:
    """Write a reading whose digits were swapped and its right version, and a sale that was tapped twice."""
    wrong = pages.write("hold_reading", minute, {"tray": tray, **read("119")})
    right = {"tray": tray, **read("149.1"), "amend_reason": "digits swapped"}
    pages.write("hold_reading", minute + 2, right, mends=wrong)
    twice = pages.write("tray_out", minute + 5, {"tray": tray, "birds": Decimal(1), "to": "served"})
    pages.write("tray_out", minute + 6, {"amend_reason": "tapped twice"}, mends=twice, withdrawn=True)


def _answered(pages: Pages, minute: float, key: str) -> None:
    said = {"cause": "door open", "action": "door shut", "disposition": "continue_cooking", "prevention": "a closer"}
    pages.write("corrective_action", minute, {"findings": [key], **said})
    pages.write("action_verified", minute + 20, {"findings": [key], "outcome": "accepted"}, person="sam")


def _chilled_and_reheated(pages: Pages, load: str, start: float) -> None:
    batch, reheat, tray = f"{load}-B", f"{load}-R", f"{load}-T4"
    cold = {"to": "chilled", "batch": batch, "cold_unit": "walk-in", "method": "ice_bath", **read("140")}
    pages.write("tray_out", start + 160, {"tray": f"{load}-T1", "birds": Decimal(4), **cold})
    for minute, value in ((200, "101"), (260, "66"), (400, "40")):
        pages.write("cooling_reading", start + minute, {"batch": batch, **read(value)})
    pages.write("batch_moved", start + 420, {"batch": batch, "cold_unit": "blast"})
    pages.write("batch_out", start + 430, {"batch": batch, "birds": Decimal("0.5"), "to": "served_cold"})
    pages.write("reheat_started", start + 440, {"batch": batch, "birds": Decimal(2), "reheat": reheat})
    for minute, value, held in ((470, "150", 0), (490, "168", 20)):
        pages.write("reheat_reading", start + minute, {"reheat": reheat, **read(value), "held_s": Decimal(held)})
    done = {"reheat": reheat, "tray": tray, "hot_unit": "pass", "birds": Decimal(2)}
    pages.write("reheat_done", start + 495, done)
    pages.write("hold_reading", start + 520, {"tray": tray, **read("151")})
    pages.write("tray_out", start + 550, {"tray": tray, "birds": Decimal(2), "to": "served"})
    pages.write("batch_out", start + 560, {"batch": batch, "birds": Decimal("1.5"), "to": "discarded"})


def _more_birds_probed(pages: Pages, number: int) -> None:
    """Fill the day up with readings of a third and a fourth bird on some spits."""
    for each in range(number):
        load, spit, bird = each // 8, each % 8 // 2 + 1, 2 + each % 2
        own = {"load": f"A-L{load}", "spit": spit, "bird": bird, "place": "breast"}
        pages.write("cook_reading", 60 + 150 * load + 81 + spit, {**own, **read("170.4")})


def _failed_probe(pages: Pages) -> None:
    """Let a probe fail late in the day: each of its readings is to be reviewed, and one action answers for some."""
    failed = pages.write("probe_check", 900, {"method": "ice_point", "adjusted": True, **read("35.5", "white")})
    pages.write("probe_check", 902, {"method": "ice_point", "adjusted": False, **read("32.2", "white")})
    _answered(pages, 905, f"probe.accuracy:probe:white:{failed.id}")
    pages.write("note", 910, {"text": "The white probe was set right in ice water."})


def signed(pages: Pages, *, first_seq: int = 1) -> None:
    """Let the person in charge sign all that was written so far."""
    as_of: datetime = START + timedelta(minutes=1310)
    covered = {
        "covers_seq": first_seq - 1 + len(pages.rows),
        "covers_hash": "0" * 64,
        "as_of": as_of,
        "signer_name": "Sam Silva",
    }
    pages.write("sign_off", 1310, {"day": DAY, "meaning": "reviewed", **covered}, person="sam")


__all__ = ["ADOPTED", "AS_OF", "DAY", "ENTRIES", "SITE", "Pages", "entries", "kept", "morning", "read", "signed"]
