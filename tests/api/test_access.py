"""Who may ask what: tokens, sites, roles, tablets, and the end of guessing."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from flask import Flask

from app import register
from app.db import Database
from tests.support import cast
from tests.support.api import Api, is_problem

PATHS = ("S1/days/2026-04-14", "S1/days/2026-04-14/log.pdf", "S1/ledger")
NOTE = {"kind": "note", "at": "11:00"}


@pytest.mark.parametrize(
    "header",
    [None, "", "Bearer", "Bearer  ", "Basic cGF0OnB3", "Bearer nonsense", "token-of-cook-at-S1", "Bearer \xff"],
)
@pytest.mark.parametrize("path", PATHS)
def test_nobody_is_asked_for_a_token(api: Api, header: str | None, path: str) -> None:
    headers = {} if header is None else {"Authorization": header}
    response = api.client.get(f"/api/v1/sites/{path}", headers=headers)
    assert is_problem(response, 401)
    assert response.headers["WWW-Authenticate"].startswith("Bearer")


def test_nobody_writes(api: Api) -> None:
    assert is_problem(api.client.post("/api/v1/sites/S1/entries", json=[cast.draft(**NOTE)]), 401)


def test_the_scheme_is_read_in_any_case(api: Api) -> None:
    headers = {"Authorization": f"bearer {cast.token('cook')}"}
    assert api.client.get("/api/v1/sites/S1/days/2026-04-14", headers=headers).status_code == 200


@pytest.mark.parametrize("site", ["S2", "S404", "s1", "..", "%00"])
@pytest.mark.parametrize("rest", ["days/2026-04-14", "days/2026-04-14/log.pdf", "ledger"])
def test_another_or_unknown_site_is_not_there(api: Api, site: str, rest: str) -> None:
    assert is_problem(api.get(f"{site}/{rest}", by="pat"), 404)


def test_another_sites_cook_writes_nothing(api: Api) -> None:
    assert is_problem(api.post([cast.draft(**NOTE)], by="other-cook", site="S1"), 404)
    assert api.lines() == []


@pytest.mark.parametrize(
    ("by", "statuses"),
    [("cook", (200, 200, 403)), ("pat", (200, 200, 200)), ("ines", (200, 200, 200)), ("A", (403, 403, 403))],
)
def test_reading_is_by_role_and_never_for_tablets(api: Api, by: str, statuses: tuple[int, ...]) -> None:
    assert tuple(api.get(path, by=by).status_code for path in PATHS) == statuses


def test_an_inspector_writes_nothing(api: Api) -> None:
    assert is_problem(api.post([cast.draft(**NOTE)], by="ines"), 403)


def test_a_tablet_writes_for_a_person_it_names(api: Api) -> None:
    api.keep(cast.draft(**NOTE, person="robin"), cast.draft(**NOTE, person="pat"), by="A")
    entries = api.lines()
    assert [b'"person":"robin"' in entries[0], b'"via":"tablet:A"' in entries[0]] == [True, True]


@pytest.mark.parametrize(
    ("by", "kind", "fields", "error"),
    [
        ("cook", "action_verified", {}, "kind"),
        ("cook", "in_charge_from", {}, "kind"),
        ("cook", "sign_off", {}, "kind"),
        ("pat", "sign_off", {}, "kind"),
        ("A", "sign_off", {"person": "pat"}, "kind"),
        ("cook", "note", {"person": "robin"}, "person"),
        ("pat", "note", {"person": "cook"}, "person"),
        ("cook", "note", {"entered_at": "2026-04-14T16:00:00Z"}, "entered_at"),
        ("A", "note", {"person": "ines"}, "person"),
    ],
)
def test_what_is_not_this_callers_is_forbidden(
    api: Api, by: str, kind: str, fields: dict[str, str], error: str
) -> None:
    draft = cast.draft(kind, at="11:00", **fields)
    if kind == "action_verified":
        draft["findings"] = [_finding(api)]
    assert api.only_error(draft, by=by) == (error, "forbidden")


def _finding(api: Api) -> str:
    """Open a finding: a spit pulled without a reading."""
    api.keep(
        cast.draft("load_started", at="09:00"),
        cast.draft("spit_loaded", at="09:02"),
        cast.draft("spit_pulled", at="10:36"),
    )
    return str(api.get("S1/days/2026-04-14").get_json()["findings"][0]["key"])


def test_a_token_ends_with_its_person(api: Api, database: Database) -> None:
    with database.writing() as session:
        register.retire_person(session, register.get_site(session, "S1"), "cook", at=cast.OPENED)
    assert is_problem(api.get("S1/days/2026-04-14"), 401)


def test_an_ended_token_is_answered_like_a_made_up_one(api: Api, database: Database) -> None:
    with database.writing() as session:
        register.retire_person(session, register.get_site(session, "S1"), "cook", at=cast.OPENED)
    made_up = api.client.get("/api/v1/sites/S1/days/2026-04-14", headers={"Authorization": "Bearer guess"})
    ended = api.get("S1/days/2026-04-14")
    assert (ended.status_code, ended.data, dict(ended.headers)) == (401, made_up.data, dict(made_up.headers))


def test_wrong_tokens_are_slowed_down_but_right_ones_are_not(
    api: Api, set_clock: Callable[[datetime | str], None]
) -> None:
    guess = {"Authorization": "Bearer guess"}
    statuses = [api.client.get("/api/v1/sites/S1/ledger", headers=guess).status_code for _ in range(22)]
    assert statuses == [401] * 20 + [429] * 2
    refused = api.client.get("/api/v1/sites/S1/ledger", headers=guess)
    assert is_problem(refused, 429)
    assert refused.headers["Retry-After"] == "2"
    assert api.get("S1/days/2026-04-14").status_code == 200
    set_clock(cast.moment("12:00") + timedelta(seconds=2))
    assert api.client.get("/api/v1/sites/S1/ledger", headers=guess).status_code == 401


def test_a_limit_on_writes_is_a_setting(api: Api, app: Flask) -> None:
    app.config["WRITES_PER_MINUTE"] = 2
    statuses = [api.post([cast.draft(**NOTE)]).status_code for _ in range(3)]
    assert statuses == [200, 200, 429]
    assert len(api.lines()) == 2
    assert api.post([cast.draft(**NOTE)], by="pat").status_code == 200
