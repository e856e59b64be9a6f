"""Whatever the OpenAPI document allows, and what it does not: every answer is one that the document describes.

The requests are made by schemathesis from the document itself: right ones and wrong ones, in path, query, headers and
body. `--hypothesis-profile=long` makes thousands.
"""

from collections.abc import Callable

import pytest
import schemathesis
from flask import Flask
from hypothesis import HealthCheck, given, settings
from schemathesis import Case, GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
    unsupported_method,
)

from app.api.openapi import document
from app.server import day_log
from tests.support import cast
from tests.support.api import Api
from tests.support.drafts import keep, ordinary_day

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    unsupported_method,
]
"""A wrong draft is answered 200 with its errors, so that a refused request is no mark of wrong data."""

_ABOUT_A_KITCHEN = ["post_entries", "read_day", "read_log", "read_ledger"]


@pytest.fixture
def described(api: Api, app: Flask, monkeypatch: pytest.MonkeyPatch) -> schemathesis.BaseSchema:
    """The document as the app serves it, over a kitchen with a day's records; a log is drawn quickly."""
    monkeypatch.setattr(day_log, "print_day", lambda *_args, **_given: b"%PDF-1.7")
    keep(app.extensions["database"], *ordinary_day())
    return schemathesis.openapi.from_wsgi("/api/v1/openapi.json", app)


def answers_as_described(
    described: schemathesis.BaseSchema, operation: str, mode: GenerationMode, prepare: Callable[[Case], None]
) -> None:
    """Ask in as many ways as the profile says."""
    headers = cast.bearer("pat")

    @settings(suppress_health_check=list(HealthCheck))
    @given(case=described.find_operation_by_id(operation).as_strategy(generation_mode=mode))
    def ask(case: Case) -> None:
        prepare(case)
        case.call_and_validate(checks=CHECKS, headers=headers)

    ask()


@pytest.mark.parametrize("operation", _ABOUT_A_KITCHEN)
def test_every_answer_to_what_is_wrong_is_as_described(described: schemathesis.BaseSchema, operation: str) -> None:
    answers_as_described(described, operation, GenerationMode.NEGATIVE, lambda _case: None)


@pytest.mark.parametrize("mode", GenerationMode, ids=lambda mode: mode.value)
@pytest.mark.parametrize("operation", _ABOUT_A_KITCHEN)
def test_every_answer_about_a_kitchen_that_is_there_is_as_described(
    described: schemathesis.BaseSchema, operation: str, mode: GenerationMode
) -> None:
    def here(case: Case) -> None:
        case.path_parameters |= {"site": "S1"} | ({"day": cast.DAY.isoformat()} if "day" in case.path else {})

    answers_as_described(described, operation, mode, here)


def test_every_operation_is_asked_for() -> None:
    operations = [path[method] for path in document()["paths"].values() for method in path if method != "parameters"]
    assert {one["operationId"] for one in operations} == {*_ABOUT_A_KITCHEN, "read_openapi"}
