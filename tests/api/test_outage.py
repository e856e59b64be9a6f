"""A database that does not answer: 503, nothing kept, and the same ids may be sent again."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import datetime

import pytest
from flask import Flask
from sqlalchemy import exc

from app import ledger
from app.db import Database, opening
from tests.support import cast
from tests.support.api import Api, is_problem


@pytest.fixture
def broken_app(tmp_path: object, set_clock: Callable[[datetime | str], None], make_app: Callable[..., Flask]) -> Flask:
    """The app on a folder that is not there."""
    set_clock("12:00")
    return make_app(f"sqlite:///{tmp_path}/gone/ledger.db")


def test_every_request_says_that_the_database_is_away(broken_app: Flask) -> None:
    api = Api(broken_app.test_client())
    assert is_problem(api.post([cast.draft("note", at="11:00")]), 503)
    for path in ("S1/days/2026-04-14", "S1/days/2026-04-14/log.pdf", "S1/ledger"):
        assert is_problem(api.get(path, by="pat"), 503)


def test_a_database_that_was_never_set_up_is_away(
    tmp_path: object, set_clock: Callable[[str], None], make_app: Callable[..., Flask]
) -> None:
    set_clock("12:00")
    app = make_app(f"sqlite:///{tmp_path}/empty.db")
    assert is_problem(Api(app.test_client()).get("S1/ledger", by="pat"), 503)


def test_nothing_is_kept_and_the_same_can_be_sent_again(api: Api, app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    draft, append = cast.draft("note", at="11:00"), ledger.append

    def append_and_fail(*args: object, **kwargs: object) -> None:
        append(*args, **kwargs)
        raise exc.OperationalError("COMMIT", {}, sqlite3.OperationalError("disk I/O error"))

    with monkeypatch.context() as patch:
        patch.setattr(ledger, "append", append_and_fail)
        assert is_problem(api.post([draft]), 503)
    assert api.post([draft]).get_json()[0]["status"] == "accepted"


def test_a_database_that_stays_locked_is_away(api: Api, database: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "_PATIENCE_S", 0.2)  # a cook is given longer; the answer is the same
    path = str(database.engine.url.database)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert is_problem(api.post([cast.draft("note", at="11:00")]), 503)
    assert api.post([cast.draft("note", at="11:00")]).get_json()[0]["status"] == "accepted"
