"""Every kind's fields: what is taken, and the error at each field that is not as it should be."""

from typing import Any

import pytest

from app.kinds import KINDS
from app.kinds.every_entry import FORMS, SET_BY_SERVER
from tests.support import cast
from tests.support.shaping import AT, errors_of, wrong

LATE = "2026-04-14T12:00:00"


@pytest.mark.parametrize("kind", sorted(set(KINDS) - {"corrective_action", "action_verified", "release"}))
def test_an_ordinary_entry_of_each_kind_is_taken(kind: str) -> None:
    assert wrong(kind) == set()


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_each_required_field_is_missed(kind: str) -> None:
    for field in FORMS[kind].fields:
        if field.required:
            assert (field.name, "missing") in wrong(kind, **{field.name: None})


@pytest.mark.parametrize("kind", sorted(KINDS))
@pytest.mark.parametrize("name", ["hash", "seq", "late", "via", "signer_name", "temprature"])
def test_what_a_kind_does_not_have_or_the_server_sets_is_unknown(kind: str, name: str) -> None:
    assert (name, "unknown") in wrong(kind, **{name: "1"})


READING = {"temperature": "150", "unit": "F"}
NO_READING: dict[str, Any] = {"temperature": ..., "unit": ...}
TO_OVEN: dict[str, Any] = {"to": "returned_to_oven", "load": "A-L1", "spit": 2}


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        ("receiving", {"temperature": ..., "unit": ..., "probe": ...}),
        ("receiving", {**NO_READING, "state": "frozen", "use_by": "2026-05-01"}),
        ("receiving", {"decision": "rejected", "reason": "warm"}),
        ("unit_check", {"unit_code": "pass", "of": "food", "probe": "blue"}),
        ("load_started", {"checks": {}}),
        ("load_started", {"checks": {"water": True, "grease": False, "spits": None}}),
        ("spit_loaded", {"lot": ..., "ties": 0, "skewers": 500, "mean_weight": "3.25", "weight_unit": "lb"}),
        ("oven_setting", {"rotation": 0}),
        ("oven_setting", {"rotation": "100", **READING}),
        ("oven_setting", {"rotation": ..., "humidity": "92.5"}),
        ("cook_reading", {"place": "thigh", "held_s": 86400}),
        ("spit_pulled", {"hot_unit": ..., "ties_removed": 5, "skewers_removed": 0}),
        ("spit_pulled", {"birds": 3, "discarded_birds": [1, 5]}),
        ("spit_pulled", {"birds": 0, "tray": ..., "hot_unit": ..., "discarded_birds": [1, 2, 3, 4, 5]}),
        *(("tray_out", {"to": to}) for to in ("served", "prepared", "donated", "discarded")),
        ("tray_out", {"to": "discarded", "reason": "dropped"}),
        ("tray_out", {"to": "chilled", "batch": "A-B1"}),
        ("tray_out", {"to": "chilled", "batch": "A-B1", "cold_unit": "blast", "method": "ice_bath", **READING}),
        ("tray_out", {"to": "reheated", "reheat": "A-R1"}),
        ("tray_out", {"to": "other_tray", "into": "A-T2", "birds": 0.25}),
        ("tray_out", {**TO_OVEN, "birds": 2}),
        ("time_control_started", {"marked_discard_by": f"{LATE}-05:00"}),
        ("reheat_done", {"hot_unit": ..., "discarded": 1}),
        *(("batch_out", {"to": to}) for to in ("reheated_to_order", "prepared", "donated", "discarded")),
        ("tray_out", {"to": "prepared", "batch": "A-B1", "product": "salad", "cold_unit": "blast", **READING}),
        ("tray_out", {"to": "prepared", "product": "soup, eaten at once"}),
        ("batch_out", {"to": "prepared", "into": "A-B2", "product": "salad"}),
        ("reheat_done", {"birds": 0, "discarded": "1.5", "tray": ..., "hot_unit": ...}),
        ("reheat_done", {"birds": "0.00", "discarded": 1, "tray": ..., "hot_unit": ...}),
        *(("raw_out", {"to": to, "reason": "torn"}) for to in ("discarded", "returned_to_supplier", "other")),
        *((kind, {"confirmed": True}) for kind in ("cook_reading", "hold_reading", "cooling_reading", "unit_check")),
        ("probe_check", {"method": "boiling_point", "temperature": 212, "pressure_hpa": 1013.25}),
        ("probe_check", {"method": "boiling_point", "temperature": 203, "altitude_m": "-499.99"}),
        ("probe_check", {"method": "comparison", "temperature": "165.1", "reference_temperature": 165}),
        ("probe_check", {**NO_READING, "no_display": True}),
        ("equipment_out", {"cause": "igniter\nbroken"}),
        ("checklist", {"list": "closing", "items": {"gas_off": True}}),
        ("corrective_action", {"findings": ["cook.core_temperature:spit:A-L1/1:x"]}),
        ("action_verified", {"findings": ["a.b:tray:A-T1:x"], "outcome": "sent_back", "remark": "Which\ntray?"}),
        ("note", {"text": "one\r\ntwo", "note": "a note on a note"}),
    ],
)
def test_each_variant_is_taken(kind: str, fields: dict[str, Any]) -> None:
    assert wrong(kind, **fields) == set()


@pytest.mark.parametrize(
    ("kind", "fields", "expected"),
    [
        ("receiving", {"state": "frozen"}, {("temperature", "unknown"), ("unit", "unknown")}),
        ("receiving", {"reason": "warm"}, {("reason", "unknown")}),
        ("receiving", {"state": "thawed", "temperature": "x"}, {("state", "range"), ("temperature", "type")}),
        ("receiving", {"use_by": "2026-02-30"}, {("use_by", "type")}),
        ("unit_check", {"unit": ...}, {("unit", "missing")}),
        ("unit_check", {"temperature": ...}, {("temperature", "missing")}),
        ("unit_check", NO_READING, {("temperature", "missing"), ("unit", "missing")}),
        ("load_started", {"checks": {"water": 1}}, {("checks", "type")}),
        ("load_started", {"checks": ["water"]}, {("checks", "type")}),
        ("spit_loaded", {"mean_weight": 3}, {("weight_unit", "missing")}),
        ("spit_loaded", {"weight_unit": "kg"}, {("mean_weight", "missing")}),
        ("spit_loaded", {"mean_weight": 0, "weight_unit": "kg"}, {("mean_weight", "range")}),
        ("oven_setting", {"unit": "F"}, {("temperature", "missing")}),
        ("cook_reading", {"place": "wing"}, {("place", "range")}),
        ("spit_pulled", {"birds": 0}, {("tray", "unknown"), ("hot_unit", "unknown"), ("discarded_birds", "missing")}),
        ("spit_pulled", {"tray": ...}, {("tray", "missing")}),
        ("spit_pulled", {"discarded_birds": [1, 1]}, {("discarded_birds", "range")}),
        ("spit_pulled", {"discarded_birds": [0]}, {("discarded_birds", "range")}),
        ("spit_pulled", {"discarded_birds": [1.0]}, {("discarded_birds", "type")}),
        ("spit_pulled", {"discarded_birds": [True]}, {("discarded_birds", "type")}),
        ("tray_out", {"batch": "A-B1"}, {("batch", "unknown")}),
        ("tray_out", {"reason": "dropped"}, {("reason", "unknown")}),
        ("tray_out", {"to": "chilled"}, {("batch", "missing")}),
        ("tray_out", {"to": "chilled", "batch": "A-B1", "into": "A-T2"}, {("into", "unknown")}),
        ("tray_out", {**TO_OVEN, "birds": "2"}, {("birds", "type")}),
        ("tray_out", {**TO_OVEN, "birds": 0.25}, {("birds", "type")}),
        ("tray_out", {"to": "eaten", "batch": "-"}, {("to", "range"), ("batch", "type")}),
        ("tray_out", {"birds": 0}, {("birds", "range")}),
        ("tray_out", {"birds": 0.3}, {("birds", "range")}),
        ("tray_out", {"birds": 500.25}, {("birds", "range")}),
        ("batch_out", {"to": "served"}, {("to", "range")}),
        ("probe_check", NO_READING, {("temperature", "missing"), ("unit", "missing")}),
        ("probe_check", {"no_display": True}, {("temperature", "unknown"), ("unit", "unknown")}),
        ("probe_check", {"no_display": False}, {("no_display", "range")}),
        ("probe_check", {"method": "comparison"}, {("reference_temperature", "missing")}),
        ("probe_check", {"reference_temperature": 32}, {("reference_temperature", "unknown")}),
        ("probe_check", {"pressure_hpa": 1000}, {("pressure_hpa", "unknown")}),
        ("probe_check", {"method": "boiling_point"}, {("pressure_hpa", "missing")}),
        ("probe_check", {"adjusted": 0}, {("adjusted", "type")}),
        ("corrective_action", {}, {("findings", "missing")}),
        ("corrective_action", {"findings": [1]}, {("findings", "type")}),
        ("corrective_action", {"findings": "a"}, {("findings", "type")}),
        ("corrective_action", {"findings": ["k"], "disposition": "eat"}, {("disposition", "range")}),
        ("in_charge_from", {"load": "A-L1"}, {("load", "unknown")}),
    ],
)
def test_what_is_wrong_is_told_at_its_field(kind: str, fields: dict[str, Any], expected: set[tuple[str, str]]) -> None:
    assert wrong(kind, **fields) == expected


def test_all_that_is_wrong_is_told_at_once() -> None:
    draft = {"kind": "cook_reading", "id": "7", "observed_at": "noon", "bird": 1.0, "temperature": "hot", "extra": 1}
    assert errors_of(draft) == {
        *(("id", "type"), ("observed_at", "type"), ("bird", "type"), ("temperature", "type"), ("extra", "unknown")),
        *((name, "missing") for name in ("load", "spit", "place", "probe", "unit")),
    }


@pytest.mark.parametrize(
    ("kind", "code"), [(None, "missing"), (7, "type"), (["note"], "type"), ("roast", "range"), ("NOTE", "range")]
)
def test_an_entry_of_no_known_kind_is_told_so(kind: Any, code: str) -> None:
    assert errors_of({"id": "x", "kind": kind, "load": 1}) == {
        *(("kind", code), ("id", "type"), ("observed_at", "missing"))
    }


@pytest.mark.parametrize("draft", [None, 1, "note", [], [{}], True, 1.5])
def test_an_element_that_is_no_object_is_told_so(draft: object) -> None:
    assert errors_of(draft) == {("", "type")}


# ---- amendments and withdrawals ------------------------------------------------------------------------------------

ID = "7d1f6a52-6c1e-4f0e-9d43-0c1a5a4f0001"
MENDS = {"amends": ID, "amend_reason": "slip"}


def test_an_amendment_is_a_complete_entry() -> None:
    assert wrong("note", **MENDS) == set()
    assert wrong("note", **MENDS, text=...) == {("text", "missing")}


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({"amends": ID}, {("amend_reason", "missing")}),
        ({"amend_reason": "slip"}, {("amends", "missing")}),
        ({**MENDS, "withdrawn": False}, {("withdrawn", "range")}),
        ({**MENDS, "withdrawn": "true"}, {("withdrawn", "type")}),
        ({**MENDS, "amends": "x"}, {("amends", "type")}),
        ({**MENDS, "amend_reason": "  "}, {("amend_reason", "missing")}),
    ],
)
def test_an_amendment_names_what_it_mends_and_why(fields: dict[str, Any], expected: set[tuple[str, str]]) -> None:
    assert wrong("note", **fields) == expected


def test_a_withdrawal_has_nothing_else() -> None:
    earlier = cast.draft("spit_loaded", at=AT)
    withdrawal = cast.withdrawal(earlier, at=AT)
    assert errors_of(withdrawal) == set()
    assert errors_of({**withdrawal, "birds": 5, "note": "x"}) == {("birds", "unknown"), ("note", "unknown")}
    assert errors_of({**withdrawal, "withdrawn": True, "amends": None}) == {("amends", "missing")}


def test_what_the_server_sets_no_form_has_and_five_kinds_are_not_amended() -> None:
    not_amended = [name for name, kind in KINDS.items() if not kind.AMENDABLE]
    assert not_amended == ["action_verified", "release", "sign_off", "week_sign_off", "plan_reassessed"]
    assert not set(SET_BY_SERVER) & {name for form in FORMS.values() for name in form.all_fields()}
