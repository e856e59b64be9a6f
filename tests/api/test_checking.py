"""Checking entries, stage by stage: all errors of the first stage that fails, each at its field."""

import uuid
from typing import Any

from tests.support import cast
from tests.support.api import Api


def _errors(api: Api, draft: dict[str, Any]) -> set[tuple[str, str]]:
    (result,) = api.post([draft]).get_json()
    return {(error["field"], error["code"]) for error in result["errors"]}


def test_a_display_that_is_not_dark_is_no_other_kind_of_check(api: Api) -> None:
    assert api.only_error(cast.draft("probe_check", at="11:00", no_display=False)) == ("no_display", "range")


def test_every_name_that_is_not_there_is_told_at_once(api: Api) -> None:
    mending = {"amends": str(uuid.uuid4()), "amend_reason": "misread"}
    errors = _errors(api, cast.draft("unit_check", at="11:00", unit_code="attic", probe="red", **mending))
    assert errors == {("amends", "unknown"), ("unit_code", "unknown"), ("probe", "unknown")}


def test_a_checklist_takes_every_item_that_clients_are_told_of(api: Api) -> None:
    items = dict.fromkeys(api.get("S1/days/2026-04-14").get_json()["plan"]["start_checks"], True)
    api.keep(
        cast.draft("checklist", at="11:00", items=items),
        cast.draft("checklist", at="11:00", list="closing", items=items),
    )
    assert api.only_error(cast.draft("checklist", at="11:00", items={"roof": True})) == ("items", "unknown")
