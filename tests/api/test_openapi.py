"""The OpenAPI document: valid, made from the table of kinds, and true of what is posted and answered."""

import uuid
from typing import Any

import jsonschema
import pytest
from flask.testing import FlaskClient
from openapi_spec_validator import OpenAPIV31SpecValidator

from app.api.draft_schemas import field_schema
from app.api.openapi import document
from app.kinds import SiteSet
from app.kinds.every_entry import FORMS
from app.kinds.form import form_of
from app.kinds.values import BadValue
from tests.support import cast
from tests.support.api import Api


def _check(name: str, value: Any) -> bool:
    schemas = document()["components"]["schemas"]
    schema = {**schemas[name], "components": {"schemas": schemas}}
    checker = jsonschema.Draft202012Validator.FORMAT_CHECKER
    return bool(jsonschema.Draft202012Validator(schema, format_checker=checker).is_valid(value))


def test_the_document_is_openapi_3_1(api: Api) -> None:
    client: FlaskClient = api.client
    response = client.get("/api/v1/openapi.json")
    assert response.status_code == 200
    OpenAPIV31SpecValidator(response.get_json()).validate()


def test_every_route_of_the_api_is_described(api: Api) -> None:
    rules = api.client.application.url_map.iter_rules()
    routes = {rule.rule.replace("<", "{").replace(">", "}") for rule in rules if rule.rule.startswith("/api/v1")}
    assert routes == {f"/api/v1{path}" for path in document()["paths"]}


@pytest.mark.parametrize("kind", sorted(FORMS))
def test_every_kind_and_field_is_described(kind: str) -> None:
    schema = document()["components"]["schemas"][kind]
    forms = schema.get("anyOf", [schema])
    described = {name for form in forms for name in form["properties"]}
    assert set(FORMS[kind].all_fields()) <= described


@pytest.mark.parametrize("kind", sorted(set(FORMS) - {"action_verified", "corrective_action"}))
def test_an_ordinary_draft_fits_its_schema(kind: str) -> None:
    draft = cast.draft(kind, at="11:00")
    assert _check(kind, draft)
    assert _check("draft", draft)
    assert not _check(kind, {**draft, "colour": "red"})
    assert not _check(kind, {name: value for name, value in draft.items() if name != "id"})


@pytest.mark.parametrize(
    ("kind", "fields", "fits"),
    [
        ("tray_out", {"to": "chilled"}, False),
        ("tray_out", {"to": "chilled", "batch": "A-B1"}, True),
        ("tray_out", {"to": "served", "batch": "A-B1"}, False),
        ("spit_pulled", {"birds": 0}, False),
        ("spit_pulled", {"birds": 0, "tray": ..., "hot_unit": ..., "discarded_birds": [1]}, True),
        ("probe_check", {"no_display": True, "temperature": ..., "unit": ...}, True),
        ("probe_check", {"no_display": True}, False),
        ("probe_check", {"method": "comparison"}, False),
        ("hold_reading", {"temperature": 601}, False),
        ("hold_reading", {"temperature": "1e2"}, False),
        ("hold_reading", {"unit": ...}, False),
        ("tray_out", {"birds": 0.3}, False),
    ],
)
def test_variants_are_told_apart(kind: str, fields: dict[str, Any], fits: bool) -> None:
    assert _check(kind, cast.draft(kind, at="11:00", **fields)) is fits


def test_a_clock_has_12_or_24_hours() -> None:
    (clock,) = [field for field in form_of(SiteSet).fields if field.name == "clock"]
    assert field_schema(clock) == {"type": "integer", "enum": [12, 24]}
    assert clock.type.read(24) == 24
    with pytest.raises(BadValue):
        clock.type.read(18)


def test_amendments_and_withdrawals_are_described() -> None:
    note, other = cast.draft("note", at="11:00"), str(uuid.uuid4())
    assert _check("note", {**note, "amends": other, "amend_reason": "a slip"})
    assert not _check("note", {**note, "amends": other})
    assert _check("draft", cast.withdrawal(note, at="11:00"))


def test_results_fit_their_schema(api: Api) -> None:
    results = api.post([cast.draft("note", at="11:00"), {}, 5]).get_json()
    assert all(_check("result", result) for result in results)
