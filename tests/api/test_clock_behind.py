"""The server's clock behind its own records: the list is refused as a whole, and the same can be sent again."""

from collections.abc import Callable
from datetime import datetime

import pytest
from flask import Flask

from app.db import Database
from app.kinds import REGISTER_KINDS
from tests.support import cast
from tests.support.api import Api, is_problem

SetClock = Callable[[datetime | str], None]
BEHIND = "the clock of this server is behind its own records"


@pytest.fixture
def behind(api: Api, set_clock: SetClock) -> Api:
    """The API of a server whose clock went back by two hours after an entry was kept at noon."""
    api.keep(cast.draft("note", at="11:59"))
    set_clock("10:00")
    return api


@pytest.mark.parametrize("query", ["", "?together=true"])
@pytest.mark.parametrize("by", ["cook", "pat", "A"])
def test_nothing_of_the_list_is_kept(behind: Api, by: str, query: str) -> None:
    before = behind.lines()
    named = {"person": "cook"} if by == "A" else {}
    response = behind.post([cast.draft("note", at="09:00", **named), {"kind": "no such kind"}], by=by, query=query)
    assert is_problem(response, 503)
    assert BEHIND in response.get_json()["detail"]
    assert "by 2 h" in response.get_json()["detail"]
    assert behind.lines() == before


def test_the_same_list_is_kept_once_the_clock_is_right(behind: Api, set_clock: SetClock) -> None:
    draft = cast.draft("note", at="09:00")
    assert is_problem(behind.post([draft]), 503)
    set_clock("12:00")
    behind.keep(draft)


def test_the_same_list_is_kept_once_the_clock_is_accepted(behind: Api, app: Flask) -> None:
    draft = cast.draft("note", at="09:00")
    assert is_problem(behind.post([draft]), 503)
    assert app.test_cli_runner().invoke(args=["clock", "S1", "--reason", "ran ahead"]).exit_code == 0
    behind.keep(draft)


def test_a_known_entry_sent_again_is_refused_as_all_the_rest(behind: Api) -> None:
    assert is_problem(behind.post([cast.draft("note", at="09:00")]), 503)


def test_reading_goes_on(behind: Api) -> None:
    assert behind.get("S1/days/2026-04-14").status_code == 200
    assert behind.get("S1/ledger", by="pat").status_code == 200


def test_another_kitchen_on_the_same_server_goes_on(behind: Api) -> None:
    (result,) = behind.post([cast.draft("note", at="09:00")], by="other-cook", site="S2").get_json()
    assert result["status"] == "accepted"


def test_a_few_seconds_behind_is_no_reason_to_refuse(behind: Api, set_clock: SetClock) -> None:
    set_clock("11:59:55")
    behind.keep(cast.draft("note", at="11:58"))


@pytest.mark.parametrize("kind", REGISTER_KINDS)
@pytest.mark.parametrize("by", ["cook", "pat", "A"])
def test_a_kind_of_the_register_is_no_clients_to_write(api: Api, kind: str, by: str) -> None:
    before = api.lines()
    draft = cast.draft("note", at="11:00") | {"kind": kind, "colour": "red", "seq": 7}
    assert api.only_error(draft, by=by) == ("kind", "forbidden")
    assert api.lines() == before


def test_a_kind_of_the_register_costs_no_entry_beside_it(api: Api, database: Database) -> None:
    good, clock_set = cast.draft("note", at="11:00"), {"kind": "clock_set", "reason": "mine"}
    results = api.post([clock_set, good]).get_json()
    assert [result["status"] for result in results] == ["rejected", "accepted"]
    assert results[0]["errors"][0]["message"].startswith("The program writes this itself")
