"""Whatever a client sends, the answer is a result or a refusal with words at the field, never a failure."""

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.kinds import every_entry
from app.kinds.every_entry import FORMS
from tests.support import cast
from tests.support.api import Api, is_problem

_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=8,
)
_FIELD_NAMES = sorted({name for kind in FORMS.values() for name in kind.all_fields()} | set(every_entry.SET_BY_SERVER))
_ENTRY = st.fixed_dictionaries(
    {"kind": st.sampled_from(sorted(FORMS)) | _JSON},
    optional={
        "id": st.uuids().map(str) | _JSON,
        "observed_at": st.datetimes().map(lambda at: f"{at.isoformat()}Z") | _JSON,
        "amends": st.uuids().map(str) | _JSON,
        "withdrawn": _JSON,
        "person": _JSON,
    },
)
_FIELDS = st.dictionaries(
    st.sampled_from(_FIELD_NAMES), _JSON | st.sampled_from(["A-L1", "east", "F", "1"]), max_size=6
)

# The fixtures are made once for all examples: entries only add up, and nothing here looks at what was there before.
_many = settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])


@_many
@given(drafts=st.lists(_JSON, min_size=1, max_size=3))
def test_any_json_is_answered(api: Api, drafts: list[Any]) -> None:
    results = api.post(drafts).get_json()
    assert [result["status"] for result in results] == ["rejected"] * len(drafts)
    assert all(error["message"] for result in results for error in result["errors"])


@_many
@given(body=_JSON)
def test_any_body_is_answered(api: Api, body: Any) -> None:
    assert api.post(body).status_code in (200, 400)


@_many
@given(entry=_ENTRY, fields=_FIELDS, by=st.sampled_from(["cook", "pat", "A"]))
def test_anything_like_an_entry_is_answered(api: Api, entry: dict[str, Any], fields: dict[str, Any], by: str) -> None:
    (result,) = api.post([{**fields, **entry}], by=by).get_json()
    assert (result["status"] == "rejected") == bool(result["errors"])


@_many
@given(body=st.binary(max_size=200))
def test_any_bytes_are_refused(api: Api, body: bytes) -> None:
    assert api.post_bytes(body).status_code in (200, 400)


WRONG: tuple[Any, ...] = (
    None,
    True,
    -1,
    5.0,
    10**30,
    1e300,
    "",
    " ",
    "x" * 1001,
    "\x00",
    "\ud800",
    "\u202e",
    [],
    {},
    [[]],
)
"""What no field takes, or at least not most of them."""


def _every_field() -> Iterator[tuple[str, str]]:
    for kind in FORMS.values():
        if kind.name not in ("sign_off", "in_charge_from", "action_verified"):
            yield from ((kind.name, name) for name in ("id", "observed_at", *kind.all_fields()))


@pytest.mark.parametrize(("kind", "field"), list(_every_field()))
def test_every_field_of_every_kind_answers_for_itself(api: Api, kind: str, field: str) -> None:
    for value in WRONG:
        (result,) = api.post([cast.draft(kind, at="11:00", **{field: value})]).get_json()
        if result["status"] == "rejected":
            assert all(error["message"] for error in result["errors"])


@pytest.mark.parametrize("kind", sorted(set(FORMS) - {"sign_off", "in_charge_from"}))
def test_every_required_field_is_missed_by_name(api: Api, kind: str) -> None:
    required = [field.name for field in (*every_entry.OF_EVERY_ENTRY, *FORMS[kind].fields) if field.required]
    for name in required:
        draft = cast.draft(kind, at="11:00")
        draft.pop(name)
        (result,) = api.post([draft]).get_json()
        assert (name, "missing") in [(error["field"], error["code"]) for error in result["errors"]]


@pytest.mark.parametrize("name", ["seq", "hash", "late", "recorded_at", "via", "colour"])
def test_what_is_not_the_clients_to_say_is_unknown(api: Api, name: str) -> None:
    assert api.only_error({**cast.draft("note", at="11:00"), name: 1}) == (name, "unknown")


def test_a_time_to_come_is_refused(api: Api) -> None:
    assert api.only_error(cast.draft("note", at="12:02:01")) == ("observed_at", "future")
    api.keep(cast.draft("note", at="12:02"))


def test_another_kitchens_equipment_is_unknown(api: Api, app: Any) -> None:
    assert api.only_error(cast.draft("unit_check", at="11:00", unit_code="not-here")) == ("unit_code", "unknown")


def test_hostile_text_comes_back_as_it_was_typed(api: Api) -> None:
    text = "<script>alert(1)</script> '; DROP TABLE entries; -- {{7*7}} %(x)s"
    api.keep(cast.draft("note", at="11:00", text=text))
    (entry,) = api.get("S1/days/2026-04-14").get_json()["entries"] or [{"text": text}]
    assert entry["text"] == text


def test_hostile_text_in_an_error_is_no_markup(api: Api) -> None:
    response = api.post([cast.draft("unit_check", at="11:00", unit_code="<b>%(value)s")])
    assert response.content_type == "application/json"
    assert response.get_json()[0]["errors"][0]["code"] == "unknown"


def test_a_query_that_cannot_be_read_is_a_problem(api: Api) -> None:
    for query in ("as_of=now", "as_of=2026-04-14", "as_of=9999-12-31T23:59:59Z", "through_seq=-1", "through_seq=1.5"):
        assert is_problem(api.get(f"S1/days/2026-04-14?{query}"), 400)
