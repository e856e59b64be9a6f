"""An ordinary entry of each kind, as a client posts its own fields on the example day."""

from datetime import date
from typing import Any

from app.rules.plans.plan import limits_on

DAY = date(2026, 4, 14)

_A_KEY = "cook.core_temperature:spit:A-L1/1:00000000-0000-4000-8000-000000000001"
_READING = {"temperature": "170", "unit": "F", "probe": "blue"}
FIELDS: dict[str, dict[str, Any]] = {
    "receiving": {"product": "whole chicken", "lot": "0412-7", "supplier": "Prairie Poultry", "birds": 40}
    | {"state": "chilled", "temperature": "38", "unit": "F", "probe": "blue", "decision": "accepted"},
    "raw_out": {"lot": "0412-7", "birds": 2, "to": "discarded"},
    "unit_check": {"unit_code": "walk-in", "of": "air", "temperature": "38", "unit": "F"},
    "load_started": {"load": "A-L1", "oven": "east"},
    "spit_loaded": {"load": "A-L1", "spit": 1, "birds": 5, "lot": "0412-7"},
    "oven_setting": {"oven": "east", "rotation": "60"},
    "cook_reading": {"load": "A-L1", "spit": 1, "bird": 1, "place": "breast", **_READING},
    "spit_pulled": {"load": "A-L1", "spit": 1, "tray": "A-T1", "hot_unit": "pass", "birds": 5},
    "hold_reading": {"tray": "A-T1", **_READING, "temperature": "150"},
    "tray_moved": {"tray": "A-T1", "hot_unit": "cabinet"},
    "tray_out": {"tray": "A-T1", "birds": "1", "to": "served"},
    "time_control_started": {"tray": "A-T1"},
    "cooling_reading": {"batch": "A-B1", **_READING, "temperature": "65"},
    "batch_moved": {"batch": "A-B1", "cold_unit": "walk-in"},
    "reheat_started": {"batch": "A-B1", "birds": "1", "reheat": "A-R1"},
    "reheat_reading": {"reheat": "A-R1", **_READING, "held_s": 15},
    "reheat_done": {"reheat": "A-R1", "tray": "A-T2", "hot_unit": "pass", "birds": "1"},
    "batch_out": {"batch": "A-B1", "birds": "1", "to": "served_cold"},
    "probe_check": {"probe": "blue", "method": "ice_point", "temperature": "32.4", "unit": "F", "adjusted": False},
    "equipment_out": {"code": "east"},
    "equipment_back": {"code": "east"},
    "checklist": {"list": "opening"},
    "alarm_silenced": {"about": "tray", "name": "A-T1", "alarm": "check_overdue", "reason": "Coming."},
    "sound_test": {"heard": True},
    "in_charge_from": {},
    "corrective_action": {"cause": "taken off too soon", "action": "put back", "disposition": "continue_cooking"}
    | {"prevention": "probe the thickest bird", "findings": []},
    "release": {
        "findings": [_A_KEY],
        "basis": "read again with a true probe: 168 °F",
    },
    "action_verified": {"findings": [], "outcome": "accepted"},
    "sign_off": {"day": DAY.isoformat(), "meaning": "reviewed"},
    "thawing": {"lot": "0412-7", "birds": 10, "how": "cold_unit", "cold_unit": "walk-in"},
    "work_observed": {"whom": "cook", "watched": "probing", "outcome": "right"},
    "training": {"whom": "cook", "what": "probing and hot holding", "taught_by": "Pat Porter", "until": "2027-04-14"},
    "week_sign_off": {"week": "2026-04-13", "meaning": "verified"},
    "note": {"text": "Quiet morning."},
    "plan_reassessed": {"version": 1, "looked_at": "flow, limits, findings of the year", "outcome": "plan_stands"}
    | {"basis": "no unforeseen deviation"},
}


def ordinary(kind: str) -> dict[str, Any]:
    """Give a kind's own fields as on an ordinary day; every item of a checklist is in order."""
    limits = limits_on("us_food_code_2022", {}, DAY)[0]
    lists = {"load_started": ("checks", limits.start_checks), "checklist": ("items", limits.opening_checks)}
    name, items = lists.get(kind, ("", ()))
    return FIELDS[kind] | ({name: dict.fromkeys(items, True)} if name else {})
