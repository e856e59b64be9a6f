"""A log is drawn outside the request, one at a time, and kept a while; without the process for it, in the request."""

import sqlite3
from collections.abc import Callable
from datetime import datetime

import pytest
from flask import Flask
from sqlalchemy import event, func, select

from app import ledger
from app.db import Database
from app.models import Drawing, Job
from app.server import day_log, drawings, jobs
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, ordinary_day

DAY = f"/day/{cast.DAY}"
API = f"/api/v1/sites/S1/days/{cast.DAY}/log.pdf"
SetClock = Callable[[datetime | str], None]


@pytest.fixture
def pat(browser: Browser, database: Database) -> Browser:
    """The person in charge, on a day with records."""
    keep(database, *ordinary_day()[:-1])
    return browser.sign_in("pat")


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> list[datetime]:
    """The process for jobs lives, and draws quickly: gives as of when each log was drawn."""
    found: list[datetime] = []

    def draw(session: object, site: str, day: object, *, as_of: datetime) -> bytes:
        found.append(as_of)
        return f"%PDF-1.7 {site} {day} {as_of.isoformat()}".encode()

    monkeypatch.setattr(day_log, "print_day", draw)
    monkeypatch.setattr(jobs, "is_running", lambda: True)
    return found


def work(app: Flask, at: str = "12:00") -> int:
    """Do what the process for jobs does."""
    with app.app_context():
        return jobs.run_due(cast.moment(at))


def asked(database: Database) -> int:
    """Count the jobs."""
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(Job)) or 0


def test_a_page_says_that_the_log_is_being_made_and_fetches_it(app: Flask, pat: Browser, drawn: list[datetime]) -> None:
    answer = pat.client.get(f"{DAY}/log.pdf")
    assert answer.status_code == 202
    assert "The log is being made" in answer.text
    seconds, _, address = answer.headers["Refresh"].partition("; url=")
    assert (seconds, pat.client.get(address).status_code) == ("2", 202)
    assert drawn == []
    work(app)
    made = pat.client.get(address)
    assert (made.status_code, made.mimetype) == (200, "application/pdf")
    assert made.headers["Content-Disposition"] == 'attachment; filename="S1-2026-04-14-log.pdf"'
    assert made.data.startswith(b"%PDF-")


def test_the_same_log_is_drawn_once_for_all_who_ask(
    app: Flask, pat: Browser, drawn: list[datetime], database: Database
) -> None:
    for _ in range(20):
        assert pat.client.get(f"{DAY}/log.pdf").status_code == 202
    assert asked(database) == 1
    work(app)
    first = pat.client.get(f"{DAY}/log.pdf")
    assert (first.status_code, first.data) == (200, pat.client.get(f"{DAY}/log.pdf").data)
    assert drawn == [cast.moment("12:00")]


def test_a_new_entry_or_a_minute_later_asks_for_a_new_one(
    app: Flask, pat: Browser, drawn: list[datetime], set_clock: SetClock, database: Database
) -> None:
    pat.client.get(f"{DAY}/log.pdf")
    work(app)
    keep(database, cast.draft("note", at="11:59"))
    assert pat.client.get(f"{DAY}/log.pdf").status_code == 202
    work(app)
    set_clock("12:01:01")
    assert pat.client.get(f"{DAY}/log.pdf").status_code == 202
    work(app, "12:02")
    assert drawn == [cast.moment("12:00"), cast.moment("12:00"), cast.moment("12:01:01")]


def test_too_many_that_wait_are_told_to_come_back(
    app: Flask, pat: Browser, drawn: list[datetime], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drawings, "MOST_WAITING", 1)
    pat.client.get(f"{DAY}/log.pdf")
    page = pat.client.get("/day/2026-04-13/log.pdf")
    assert (page.status_code, page.headers["Retry-After"]) == (503, "10")
    assert "Many logs are being made now. Try again in a few seconds." in page.text
    api = pat.client.get(API.replace("04-14", "04-13"), headers=cast.bearer("pat"))
    assert (api.status_code, api.headers["Retry-After"]) == (503, "10")
    assert api.mimetype == "application/problem+json"
    work(app)
    assert pat.client.get("/day/2026-04-13/log.pdf").status_code == 202


def test_the_api_waits_for_the_log(
    app: Flask, pat: Browser, drawn: list[datetime], monkeypatch: pytest.MonkeyPatch
) -> None:
    class Working:
        def wait(self, _seconds: float) -> None:
            work(app)

    monkeypatch.setattr(drawings, "_NEVER", Working())
    answer = pat.client.get(API, headers=cast.bearer("pat"))
    assert (answer.status_code, answer.data[:5]) == (200, b"%PDF-")


def test_the_api_does_not_wait_for_ever(pat: Browser, drawn: list[datetime], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drawings, "_LONGEST_WAIT_S", 0.5)
    answer = pat.client.get(API, headers=cast.bearer("pat"))
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "10")


def test_a_log_that_cannot_be_drawn_says_so_and_can_be_asked_for_again(
    app: Flask, pat: Browser, drawn: list[datetime], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_args: object, **_given: object) -> bytes:
        raise ValueError("no such font")

    address = pat.client.get(f"{DAY}/log.pdf").headers["Refresh"].partition("; url=")[2]
    with monkeypatch.context() as patch:
        patch.setattr(day_log, "print_day", fail)
        work(app)
    failed = pat.client.get(address)
    assert (failed.status_code, "The records are as they were." in failed.text) == (500, True)
    pat.client.get(f"{DAY}/log.pdf")
    work(app)
    assert pat.client.get(f"{DAY}/log.pdf").status_code == 200


def test_a_log_of_another_kitchen_or_day_is_not_given_out(
    app: Flask, pat: Browser, drawn: list[datetime], database: Database
) -> None:
    pat.client.get(f"{DAY}/log.pdf")
    work(app)
    with database.reading() as session:
        number = session.scalar(select(Drawing.id))
    stranger = Browser(app.test_client()).sign_in("other-lead")
    assert stranger.client.get(f"{DAY}/log.pdf?drawing={number}").status_code == 202  # one of their own is made
    assert pat.client.get(f"/day/2026-04-13/log.pdf?drawing={number}").status_code == 202
    for made_up in ("0", "-1", "99999999999999999999", "x"):
        assert pat.client.get(f"{DAY}/log.pdf?drawing={made_up}").status_code == 200


def test_old_ones_are_dropped(
    app: Flask, pat: Browser, drawn: list[datetime], set_clock: SetClock, database: Database
) -> None:
    pat.client.get(f"{DAY}/log.pdf")
    work(app)
    set_clock("13:01")
    pat.sign_in("pat").client.get(f"{DAY}/log.pdf")
    with database.reading() as session:
        assert session.scalars(select(Drawing.as_of)).all() == [cast.moment("13:01")]


def test_without_the_process_for_it_the_request_draws(pat: Browser, database: Database) -> None:
    assert pat.client.get(f"{DAY}/log.pdf").data.startswith(b"%PDF-")
    assert asked(database) == 0


def test_a_log_that_waited_when_the_process_ended_is_drawn_by_whoever_fetches_it(
    pat: Browser, drawn: list[datetime], monkeypatch: pytest.MonkeyPatch
) -> None:
    address = pat.client.get(f"{DAY}/log.pdf").headers["Refresh"].partition("; url=")[2]
    monkeypatch.setattr(jobs, "is_running", lambda: False)
    assert pat.client.get(address).data.startswith(b"%PDF-")


def test_where_nothing_can_be_written_a_log_is_drawn_all_the_same(
    app: Flask, pat: Browser, drawn: list[datetime], database: Database
) -> None:
    @event.listens_for(app.extensions["database"].engine, "connect")
    def only_read(connection: sqlite3.Connection, _record: object) -> None:
        connection.execute("PRAGMA query_only = ON")

    app.extensions["database"].engine.dispose()
    assert pat.client.get(f"{DAY}/log.pdf").data.startswith(b"%PDF-")
    assert asked(database) == 0


def test_drawing_writes_no_entry(app: Flask, pat: Browser, drawn: list[datetime], database: Database) -> None:
    with database.reading() as session:
        before = ledger.head(session, "S1")
    pat.client.get(f"{DAY}/log.pdf")
    work(app)
    with database.reading() as session:
        assert ledger.head(session, "S1") == before
