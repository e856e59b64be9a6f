"""Posting entries: each result in order, known ids, all or none, and what is refused as a whole."""

import json
import uuid
from decimal import Decimal
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import event

from app.server.settings import LARGEST_BODY
from tests.support import cast
from tests.support.api import Api, is_problem


def _example_day() -> list[dict[str, Any]]:
    return [
        cast.draft("probe_check", at="06:10"),
        cast.draft("load_started", at="09:00", checks={"water": True, "grease": True, "birds": True, "spits": None}),
        cast.draft("spit_loaded", at="09:02", ties=5),
        cast.draft("cook_reading", at="10:31", bird=1, temperature="171.2"),
        cast.draft("cook_reading", at="10:32", bird=4, temperature=166, probe="red"),
        cast.draft("spit_pulled", at="10:36", ties_removed=5),
    ]


def test_results_come_in_order_and_a_bad_entry_costs_no_good_one(api: Api) -> None:
    drafts = _example_day()
    response = api.post(drafts)
    assert (response.status_code, response.content_type) == (200, "application/json")
    results = response.get_json()
    assert [result["id"] for result in results] == [draft["id"] for draft in drafts]
    assert [result["status"] for result in results] == ["accepted"] * 4 + ["rejected", "accepted"]
    assert [result["seq"] for result in results] == [*map(cast.nth, (1, 2, 3, 4)), None, cast.nth(5)]
    assert results[4]["errors"] == [
        {"field": "probe", "code": "unknown", "message": "There is no probe called red here."}
    ]


def test_the_same_again_is_a_duplicate_with_its_seq(api: Api) -> None:
    (first,) = api.keep(draft := cast.draft("note", at="11:00"))
    (again,) = api.post([draft]).get_json()
    assert again == {"id": draft["id"], "status": "duplicate", "seq": first["seq"], "errors": []}


def test_the_same_id_with_other_content_differs(api: Api) -> None:
    api.keep(draft := cast.draft("note", at="11:00"))
    assert api.only_error({**draft, "text": "Another text."}) == ("id", "differs")
    assert api.only_error(draft, by="robin") == ("id", "differs")


def test_together_is_all_or_none(api: Api) -> None:
    api.keep(kept := cast.draft("note", at="10:59"))
    results = api.post([kept, cast.draft("note", at="11:00"), {}], query="?together=true").get_json()
    assert [result["status"] for result in results] == ["duplicate", "rejected", "rejected"]
    assert [(error["field"], error["code"]) for error in results[1]["errors"]] == [("id", "together")]
    assert len(api.lines()) == 1


def test_numbers_may_be_text_or_numbers(api: Api) -> None:
    for value in (38, 38.5, "38", "38.50", Decimal("38.25")):
        number = float(value) if isinstance(value, Decimal) else value
        api.keep(cast.draft("unit_check", at="11:00", temperature=number))


@pytest.mark.parametrize("element", [None, 1, "x", [], True, 1.5])
def test_an_element_that_is_no_object(api: Api, element: object) -> None:
    (result,) = api.post([element]).get_json()
    assert (result["id"], result["status"], result["seq"]) == (None, "rejected", None)
    assert [(error["field"], error["code"]) for error in result["errors"]] == [("", "type")]


def test_who_depends_on_an_entry_is_listed(api: Api) -> None:
    load, spit = cast.draft("load_started", at="09:00"), cast.draft("spit_loaded", at="09:02")
    api.keep(load, spit)
    (result,) = api.post([cast.withdrawal(load, at="09:30")]).get_json()
    (error,) = result["errors"]
    assert (error["field"], error["code"], error["dependents"]) == ("amends", "order", [spit["id"]])


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[",
        b"[{]",
        b"{}",
        b"null",
        b"[]",
        b'"text"',
        b"[NaN]",
        b'[{"temperature": Infinity}]',
        b'[{"temperature": -Infinity}]',
        b'[{"id": 1, "id": 2}]',
        b"[" * 100_000,
        b'{"a":' * 100_000,
        b"[1" + b"0" * 5000 + b"]",
        b"[1e99999999999999999999]",
        b"\xff\xfe[\x00]\x00",
        b"\xef\xbb\xbf[]",
        b'["\x00"]',
        json.dumps([{}] * 1001).encode(),
        b"id=1&kind=note",
    ],
)
def test_what_is_no_list_of_entries_is_refused_as_a_whole(api: Api, body: bytes) -> None:
    assert is_problem(api.post_bytes(body), 400)
    assert api.lines() == []


def test_a_thousand_entries_are_taken(api: Api) -> None:
    results = api.post([cast.draft("note", at="11:00") for _ in range(1000)]).get_json()
    assert [result["seq"] for result in results] == [cast.nth(number) for number in range(1, 1001)]


@pytest.mark.parametrize("content_type", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data"])
def test_the_body_is_json_whatever_it_is_called(api: Api, content_type: str) -> None:
    body = json.dumps([cast.draft("note", at="11:00")]).encode()
    assert api.post_bytes(body, content_type=content_type).get_json()[0]["status"] == "accepted"


def test_over_four_mebibytes_is_too_much(api: Api) -> None:
    assert is_problem(api.post_bytes(b" " * (LARGEST_BODY + 1)), 413)
    assert is_problem(api.post_bytes(b" " * LARGEST_BODY), 400)


def test_a_body_of_unknown_length_is_cut_off_too(api: Api) -> None:
    whole = json.dumps([cast.draft("note", at="11:00")]).encode()
    chunked = {"HTTP_TRANSFER_ENCODING": "chunked", "wsgi.input_terminated": True}
    for body, status in ((whole, 200), (b" " * (LARGEST_BODY + 1) + whole, 413)):
        response = api.client.post(
            "/api/v1/sites/S1/entries", data=body, headers=cast.bearer("cook"), environ_overrides=chunked
        )
        assert response.status_code == status


@pytest.mark.parametrize("query", ["?together=1", "?together=", "?together=true&together=false", "?together=TRUE"])
def test_a_bad_query_value_is_refused(api: Api, query: str) -> None:
    assert is_problem(api.post([cast.draft("note", at="11:00")], query=query), 400)


@pytest.mark.parametrize("method", ["get", "put", "patch", "delete"])
def test_entries_are_only_posted(api: Api, method: str) -> None:
    response = getattr(api.client, method)("/api/v1/sites/S1/entries", headers=cast.bearer("pat"))
    assert is_problem(response, 405)
    assert "POST" in response.headers["Allow"]


@pytest.mark.parametrize("path", ["/api/v1/", "/api/v1/sites", "/api/v1/sites/S1", "/api/v2/sites/S1/entries", "/api/"])
def test_what_is_not_there_is_told_as_a_problem(api: Api, path: str) -> None:
    assert is_problem(api.client.get(path, headers=cast.bearer("pat")), 404)


def test_an_id_in_capitals_is_the_same_entry(api: Api) -> None:
    draft = cast.draft("note", at="11:00", id=str(uuid.uuid4()).upper())
    api.keep(draft)
    (again,) = api.post([{**draft, "id": draft["id"].lower()}]).get_json()
    assert again["status"] == "duplicate"


def test_an_entry_that_comes_alone_reads_its_site_once(api: Api, app: Flask) -> None:
    asked: list[str] = []
    engine = app.extensions["database"].engine
    event.listen(engine, "checkout", lambda connection, *_: connection.set_trace_callback(asked.append))
    api.keep(cast.draft("note", at="11:00"))
    assert len([sql for sql in asked if "FROM sites" in sql]) == 1
    assert len([sql for sql in asked if sql.startswith("BEGIN")]) == 1  # who asks is looked up without one
