"""Reading a day: every field as the exchange format names it, numbers as numbers, instants in UTC."""

import json
from typing import Any

import jsonschema
import pytest

from app.api.openapi import document
from app.ledger.form import chain
from tests.support import cast
from tests.support.api import Api, is_problem

DAY = "S1/days/2026-04-14"


@pytest.fixture
def example_day(api: Api) -> list[dict[str, Any]]:
    """The example day, less its rejected reading."""
    drafts = [
        cast.draft("probe_check", at="06:10"),
        cast.draft("load_started", at="09:00", checks={"water": True, "grease": True, "birds": True, "spits": None}),
        cast.draft("spit_loaded", at="09:02", ties=5),
        cast.draft("cook_reading", at="10:31", bird=1, temperature="171.2"),
        cast.draft("spit_pulled", at="10:36", ties_removed=5),
    ]
    api.keep(*drafts)
    return drafts


def _read(api: Api, query: str = "?as_of=2026-04-14T17:00:00Z") -> Any:
    response = api.get(f"{DAY}{query}")
    assert (response.status_code, response.content_type) == (200, "application/json")
    schemas = document()["components"]["schemas"]
    jsonschema.validate(response.get_json(), {**schemas["day"], "components": {"schemas": schemas}})
    return response.get_json()


def test_the_example_day_reads_as_documented(api: Api, example_day: list[dict[str, Any]]) -> None:
    day = _read(api)
    assert (day["site"], day["day"], day["as_of"], day["through_seq"]) == (
        "S1",
        "2026-04-14",
        "2026-04-14T17:00:00.000Z",
        cast.nth(5),
    )
    assert day["plan"] == {
        "code": "us_food_code_2022",
        "version": 1,
        "adopted_by": "pat",
        "start_checks": ["water", "grease", "birds", "spits"],
    }
    spit = {"spit": 1, "birds": 5, "lots": ["0412-7"], "verdict": "not_shown", "birds_probed": 1}
    spit |= {"lowest": {"temperature": 171.2, "unit": "F"}, "pulled_at": "2026-04-14T15:36:00.000Z", "trays": ["A-T1"]}
    spit |= {"set_aside": None}
    started = {"started_at": "2026-04-14T14:00:00.000Z", "plan_version": 1}
    assert day["loads"] == [{"load": "A-L1", "oven": "east", **started, "spits": [spit]}]


def test_the_example_tray_reads_as_documented(api: Api, example_day: list[dict[str, Any]]) -> None:
    tray = {"tray": "A-T1", "hot_unit": "pass", "birds_in": 5, "birds_left": 5, "verdict": "not_shown"}
    tray |= {"known_hot_at": "2026-04-14T15:31:00.000Z", "check_due_at": "2026-04-14T17:06:00.000Z"}
    tray |= {"out_of_temperature_s": 0, "time_band": "under_2h", "discard_at": None}
    day = _read(api)
    finding = next(one["key"] for one in day["findings"] if one["rule"] == "cook.core_temperature")
    ways = ["discarded", "chilled", "other_tray", "returned_to_oven"]
    aside = {"since": "2026-04-14T15:36:00.000Z", "findings": [finding], "cleared": [], "ways": ways, "release": True}
    assert day["trays"] == [{**tray, "set_aside": aside}]


def test_the_example_finding_reads_as_documented(api: Api, example_day: list[dict[str, Any]]) -> None:
    pull, reading = example_day[4]["id"], example_day[3]["id"]
    day = _read(api)
    finding = next(one for one in day["findings"] if one["rule"] == "cook.core_temperature")
    key = f"cook.core_temperature:spit:A-L1/1:{pull}"
    assert finding == {
        "key": key,
        "rule": "cook.core_temperature",
        "subject": {"kind": "spit", "name": "A-L1", "spit": 1},
        "verdict": "not_shown",
        "concerns": "critical_limit",
        "day": "2026-04-14",
        "onset_at": "2026-04-14T15:36:00.000Z",
        "found_at": "2026-04-14T15:36:00.000Z",
        "ended_at": None,
        "entries": [pull, reading],
        "measured": {"birds_probed": 1},
        "limit": {"birds_probed": 2, "F": 165, "C": 74},
        "source": "FDA Food Code 2022, 3-401.11(A)(3); birds probed: house",
        "dispositions": ["continue_cooking", "discard", "hold_for_evaluation", "already_out"],
        "status": "open",
        "food": {"here": [{"kind": "tray", "name": "A-T1", "birds": 5}], "gone": []},
    }
    assert {"kind": "finding", "subject": finding["subject"], "key": key} in day["blocking"]
    assert {"kind": "running", "subject": {"kind": "tray", "name": "A-T1"}} in day["blocking"]
    assert (day["ready_to_sign"], day["signed"]) == (False, None)


def test_an_entry_is_shown_with_numbers_and_its_successor(api: Api) -> None:
    check = cast.draft("probe_check", at="06:10")
    mended = cast.draft("probe_check", at="06:10", temperature="32", amends=check["id"], amend_reason="misread")
    api.keep(check, mended)
    first, second = _read(api)["entries"]
    assert (first["temperature"], first["superseded_by"], first["late"]) == (32.4, mended["id"], True)
    assert (second["temperature"], second["superseded_by"], second["amends"]) == (32, None, check["id"])
    assert first["observed_at"] == "2026-04-14T11:10:00.000Z"


def test_all_movements_of_birds_are_counted(api: Api, example_day: list[dict[str, Any]]) -> None:
    api.keep(cast.draft("tray_out", at="11:30", birds="1.25"))
    birds = _read(api)["birds"]
    assert (birds["loaded"], birds["pulled"], birds["served"], birds["left"]) == (5, 5, 1.25, 3.75)


def test_what_was_known_earlier_can_be_asked_for(api: Api, example_day: list[dict[str, Any]]) -> None:
    assert _read(api, "?as_of=2026-04-14T09:30:00-05:00")["trays"] == []
    assert _read(api, "?as_of=2026-04-14T09:30:00%2B00:00")["loads"] == []
    assert _read(api, "?as_of=2026-04-14T14:30:00+00:00")["loads"][0]["load"] == "A-L1"
    assert _read(api, f"?through_seq={cast.nth(1)}")["loads"] == []
    assert _read(api, f"?through_seq={10**17}")["through_seq"] == cast.nth(5)


def test_a_day_without_entries_is_a_day(api: Api) -> None:
    response = api.get("S1/days/2026-04-01")
    assert (response.status_code, response.get_json()["entries"], response.get_json()["loads"]) == (200, [], [])


@pytest.mark.parametrize(
    "day", ["2026-02-30", "today", "20260414", "2026-W16-2", "2026-4-14", "0001-01-01", "9999-12-31", "٢٠٢٦-٠٤-١٤"]
)
@pytest.mark.parametrize("rest", ["", "/log.pdf"])
def test_a_day_that_is_no_date_is_not_there(api: Api, day: str, rest: str) -> None:
    assert is_problem(api.get(f"S1/days/{day}{rest}"), 404)


@pytest.mark.parametrize(
    "query",
    [
        *("as_of=", "as_of=noon", "as_of=2026-04-14T12:00:00", "as_of=2026-04-14T25:00:00Z", "as_of=1&as_of=2"),
        *("through_seq=", "through_seq=one", "through_seq=٣", f"through_seq={10**30}"),
    ],
)
def test_a_bad_query_value_is_refused(api: Api, query: str) -> None:
    assert is_problem(api.get(f"{DAY}?{query}"), 400)


def test_the_log_is_a_pdf(api: Api, example_day: list[dict[str, Any]]) -> None:
    response = api.get(f"{DAY}/log.pdf")
    assert (response.status_code, response.content_type) == (200, "application/pdf")
    assert response.data.startswith(b"%PDF-1.7")
    assert "S1-2026-04-14.pdf" in response.headers["Content-Disposition"]


def test_the_ledger_comes_as_hashed(api: Api, example_day: list[dict[str, Any]]) -> None:
    response = api.get("S1/ledger", by="ines")
    assert (response.content_type, response.is_streamed) == ("application/x-ndjson", True)
    lines = [json.loads(line) for line in response.data.splitlines()]
    hashes = [line.pop("hash") for line in lines]
    assert hashes == [chain.entry_hash(chain.canonical(line)) for line in lines]
    assert [line["previous_hash"] for line in lines] == [chain.genesis_hash("S1"), *hashes[:-1]]


def test_the_ledger_can_be_read_on_from_a_seq(api: Api, example_day: list[dict[str, Any]]) -> None:
    lines = api.get(f"S1/ledger?after_seq={cast.nth(3)}", by="pat").data.splitlines()
    assert [json.loads(line)["seq"] for line in lines] == [cast.nth(4), cast.nth(5)]
    assert api.get("S1/ledger?after_seq=99", by="pat").data == b""
    assert is_problem(api.get("S1/ledger?after_seq=-1", by="pat"), 400)
