"""Every kind's fields (design 3.5): what is taken, and the error at each field that is not as it should be."""

from typing import Any

import pytest

from app.kinds import KINDS
from app.kinds.every_entry import FORMS, SET_BY_SERVER
from app.ledger.form import shape
from tests.support import cast

AT = "12:00"
LATE = "2026-04-14T12:00:00"


def errors_of(draft: object) -> set[tuple[str, str]]:
    """Give the errors in the form of a draft, of a site whose altitude is not known."""
    shaped = shape.check(draft)
    place = {("pressure_hpa", "missing")} if shaped.needs_altitude else set()
    return {(error.field, error.code) for error in shaped.errors} | place


def kept(kind: str, **fields: Any) -> dict[str, Any]:
    shaped = shape.check(cast.draft(kind, at=AT, **fields))
    assert shaped.errors == ()
    return shaped.fields


def wrong(kind: str, **fields: Any) -> set[tuple[str, str]]:
    return errors_of(cast.draft(kind, at=AT, **fields))


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


# ---- the forms of values -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("given", "shown"),
    [
        (165, "165"),
        (164.9, "164.9"),
        ("164.90", "164.9"),
        ("007", "7"),
        ("-0", "0"),
        (-0.0, "0"),
        ("-0.00", "0"),
        ("-40.05", "-40.05"),
        (1e2, "100"),
        (0.1, "0.1"),
        ("0.07", "0.07"),
        (600, "600"),
        (-60, "-60"),
        ("0" * 60 + "9", "9"),
    ],
)
def test_a_measured_number_is_kept_in_its_shortest_plain_form(given: Any, shown: str) -> None:
    assert kept("hold_reading", temperature=given)["temperature"] == shown


@pytest.mark.parametrize(
    "given",
    [
        "",
        " 1",
        "1 ",
        "+1",
        "1.",
        ".5",
        "1.234",
        "1e2",
        "1,5",
        "٣",
        "1_0",
        "−1",
        "NaN",
        True,
        [],
        {},
        1.234,
        1e-7,
        "0x1",
    ],
)
def test_a_bad_form_of_a_number_is_a_wrong_type(given: Any) -> None:
    assert wrong("hold_reading", temperature=given) == {("temperature", "type")}


@pytest.mark.parametrize("given", [600.01, "600.01", -60.01, 10**30, 1e300, float("inf"), "9" * 5000, "1" + "0" * 50])
def test_a_temperature_no_display_shows_is_out_of_range(given: Any) -> None:
    assert wrong("hold_reading", temperature=given) == {("temperature", "range")}


def test_a_number_of_thousands_of_digits_is_out_of_range() -> None:
    assert wrong("hold_reading", temperature=-(10**5000)) == {("temperature", "range")}
    assert wrong("spit_loaded", birds=10**5000) == {("birds", "range")}


def test_not_a_number_is_a_wrong_type() -> None:
    assert wrong("hold_reading", temperature=float("nan")) == {("temperature", "type")}


@pytest.mark.parametrize(
    ("temperature", "unit", "is_taken"),
    [(315, "C", True), (315.01, "C", False), (-50, "C", True), (-50.01, "C", False), (600, "F", True)],
)
def test_the_range_of_a_temperature_is_that_of_its_unit(temperature: Any, unit: str, is_taken: bool) -> None:
    assert (wrong("hold_reading", temperature=temperature, unit=unit) == set()) is is_taken


@pytest.mark.parametrize(
    ("kind", "field", "taken", "refused"),
    [
        ("spit_loaded", "birds", [1, 500], [0, -1, 501]),
        ("spit_loaded", "ties", [0, 500], [-1, 501]),
        ("spit_loaded", "spit", [1, 500], [0, 501]),
        ("cook_reading", "bird", [1, 500], [0, 501]),
        ("cook_reading", "held_s", [0, 86400, "0.5"], [-1, 86400.01]),
        ("oven_setting", "rotation", [0, 100, 33.3], [-0.1, 100.1]),
        ("oven_setting", "humidity", [0, 100, 33.3], [-0.1, 100.1]),
    ],
)
def test_ranges(kind: str, field: str, taken: list[Any], refused: list[Any]) -> None:
    assert [wrong(kind, **{field: value}) for value in taken] == [set()] * len(taken)
    assert [wrong(kind, **{field: value}) for value in refused] == [{(field, "range")}] * len(refused)


def test_ranges_of_a_boiling_point() -> None:
    def check(**fields: Any) -> set[tuple[str, str]]:
        return wrong("probe_check", method="boiling_point", temperature=212, **fields)

    assert check(pressure_hpa=300) == check(pressure_hpa=1100) == check(altitude_m=9000) == set()
    assert check(pressure_hpa=299.99) == check(pressure_hpa=1100.01) == {("pressure_hpa", "range")}
    assert check(altitude_m=9000.01) == check(altitude_m=-500.01) == {("altitude_m", "range")}


@pytest.mark.parametrize("given", [5.0, "5", True, None.__class__, [5], 10**400])
def test_a_count_is_a_json_integer(given: Any) -> None:
    expected = "range" if given == 10**400 else "type"
    assert wrong("spit_loaded", birds=given) == {("birds", expected)}


@pytest.mark.parametrize("given", ["A", "a.b_c-1", "9", "A" * 32])
def test_a_name_is_taken_as_it_is(given: str) -> None:
    assert kept("tray_moved", tray=given)["tray"] == given


@pytest.mark.parametrize("given", ["", "-a", ".a", "_a", "A" * 33, "a b", "ä", "a\n", " a", "a/1", 7, "A\u200e"])
def test_a_bad_name_is_a_wrong_type(given: Any) -> None:
    assert wrong("tray_moved", tray=given) == {("tray", "type")}


@pytest.mark.parametrize("given", ["7D1F6A52-6C1E-4F0E-9D43-0C1A5A4F0001", "00000000-0000-0000-0000-000000000000", ID])
def test_a_uuid_is_kept_in_lower_case(given: str) -> None:
    assert kept("note", id=given)["id"] == given.lower()


@pytest.mark.parametrize(
    "given", ["-", "x", ID[:-1], "{" + ID + "}", ID.replace("-", ""), f"urn:uuid:{ID}", ID + "\n", 1]
)
def test_what_is_no_uuid_is_a_wrong_type(given: Any) -> None:
    assert wrong("note", id=given) == {("id", "type")}


@pytest.mark.parametrize(
    ("given", "shown"),
    [
        (f"{LATE}Z", f"{LATE}.000Z"),
        ("2026-04-14t12:00:00z", f"{LATE}.000Z"),
        (f"{LATE}-05:00", "2026-04-14T17:00:00.000Z"),
        (f"{LATE}+05:45", "2026-04-14T06:15:00.000Z"),
        (f"{LATE}-00:00", f"{LATE}.000Z"),
        (f"{LATE}.1Z", f"{LATE}.100Z"),
        (f"{LATE}.9999999999Z", f"{LATE}.999Z"),
        ("2016-12-31T23:59:60Z", "2017-01-01T00:00:00.000Z"),
        ("2026-01-01T00:30:00+14:00", "2025-12-31T10:30:00.000Z"),
    ],
)
def test_an_instant_is_kept_in_utc_to_the_millisecond(given: str, shown: str) -> None:
    assert kept("note", observed_at=given)["observed_at"] == shown


@pytest.mark.parametrize(
    "given",
    [
        *("", "2026-04-14", LATE, f"{LATE} Z", "2026-04-14 12:00:00Z", "2026-04-14T12:00Z", "20260414T120000Z"),
        *(f"{LATE}.Z", f"{LATE}+0500", f"{LATE}+05", f"{LATE}+24:00", f"{LATE}+05:60", "2026-02-29T12:00:00Z"),
        *("2026-04-14T24:00:00Z", "2026-04-14T12:60:00Z", "2026-04-14T12:00:61Z", "2026-W16-2T12:00:00Z"),
        *("0000-01-01T00:00:00Z", "٢026-04-14T12:00:00Z", f"{LATE}Z\n", 1776186000, True),
    ],
)
def test_what_is_no_rfc_3339_instant_is_a_wrong_type(given: Any) -> None:
    assert wrong("note", observed_at=given) == {("observed_at", "type")}


@pytest.mark.parametrize(
    "given", ["1969-12-31T23:59:59Z", "9999-12-31T23:59:60Z", "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-23:59"]
)
def test_an_instant_no_kitchen_saw_is_refused(given: str) -> None:
    assert {field for field, _code in wrong("note", observed_at=given)} == {"observed_at"}


@pytest.mark.parametrize(
    ("given", "kept_as"),
    [
        ("  trimmed \n", "trimmed"),
        ("Ka\u0308se", "Käse"),
        ("one\r\ntwo\rthree\nfour", "one\ntwo\nthree\nfour"),
        ("🐔 " + "x" * 998, "🐔 " + "x" * 998),
        ("a\u030a" * 1000, "å" * 1000),
        ("family \U0001f469\u200d\U0001f373", "family \U0001f469\u200d\U0001f373"),
    ],
)
def test_text_is_composed_and_trimmed(given: str, kept_as: str) -> None:
    assert kept("note", text=given)["text"] == kept_as


@pytest.mark.parametrize(
    "given",
    [
        "a\x00b",
        "a\tb",
        "a\x1bb",
        "a\x7fb",
        "a\x85b",
        "a\u202eb",
        "a\u2066b",
        "a\u200fb",
        "a\u061cb",
        "a\ud800",
        "x" * 1001,
    ],
)
def test_text_that_steers_or_is_too_long_is_refused(given: str) -> None:
    assert wrong("note", text=given) == {("text", "range")}


@pytest.mark.parametrize("field", ["product", "lot", "supplier"])
def test_line_ends_are_for_where_several_lines_are_meant(field: str) -> None:
    assert wrong("receiving", **{field: "a\nb"}) == {(field, "range")}


@pytest.mark.parametrize(("given", "expected"), [("", "missing"), ("   ", "missing"), (5, "type"), (["a"], "type")])
def test_text_that_is_nothing_is_missing(given: Any, expected: str) -> None:
    assert wrong("note", text=given) == {("text", expected)}


def test_empty_text_and_lists_are_as_good_as_absent_where_they_may_be() -> None:
    assert "lot" not in kept("spit_loaded", lot=" ")
    assert "discarded_birds" not in kept("spit_pulled", discarded_birds=[])


def test_the_table_has_the_kinds_of_the_design() -> None:
    assert len(KINDS) == 28
    assert [name for name, kind in KINDS.items() if not kind.AMENDABLE] == ["action_verified", "release", "sign_off"]
    assert not set(SET_BY_SERVER) & {name for form in FORMS.values() for name in form.all_fields()}
