"""The forms of values: numbers, names, ids, instants and texts, as they are sent and as they are kept."""

from typing import Any

import pytest

from tests.support.shaping import kept, wrong

LATE = "2026-04-14T12:00:00"
ID = "7d1f6a52-6c1e-4f0e-9d43-0c1a5a4f0001"


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
