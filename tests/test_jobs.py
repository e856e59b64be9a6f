"""Work outside a request: done once, tried again, by one process for each machine that ends with its server."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import select

from app import create_app
from app.db import Database
from app.models import Job
from app.server import jobs

NOW = datetime(2026, 5, 1, 17, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


@pytest.fixture
def database(sqlite_database: Database) -> Database:
    """The rules of a queue are the same on both; its columns are those of any table."""
    return sqlite_database


@pytest.fixture
def context(app: Flask) -> Iterator[Flask]:
    """The app's context, in which jobs run."""
    with app.app_context():
        yield app


@pytest.fixture
def tried(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """What jobs of the kind `noted` were given; a payload with `fails` fails that often."""
    given: list[dict[str, Any]] = []
    monkeypatch.setattr(jobs, "_KINDS", dict(jobs._KINDS))

    @jobs.job("noted", lane="outside")
    def note(payload: jobs.Payload, at: datetime) -> None:
        given.append({**payload, "at": at})
        if len(given) <= int(payload.get("fails", 0)):
            raise RuntimeError("the other end\nis away")

    @jobs.job("drawn", lane="drawing")
    def draw(payload: jobs.Payload, at: datetime) -> None:
        given.append({"drawn": True})

    return given


def _ask(database: Database, key: str, at: datetime = NOW, kind: str = "noted", **payload: Any) -> bool:
    with database.writing() as session:
        return jobs.ask(session, kind, key, payload, at=at)


def test_what_is_asked_for_twice_is_done_once(context: Flask, database: Database, tried: list[dict[str, Any]]) -> None:
    assert _ask(database, "day 1", day="1")
    assert not _ask(database, "day 1", day="other")
    assert jobs.run_due(NOW) == 1
    assert not _ask(database, "day 1")
    assert jobs.run_due(NOW + timedelta(days=1)) == 0
    assert tried == [{"day": "1", "at": NOW}]


def test_what_failed_is_tried_again_with_growing_pauses(
    context: Flask, database: Database, tried: list[dict[str, Any]]
) -> None:
    _ask(database, "x", fails=2)
    assert (jobs.run_due(NOW), jobs.run_due(NOW)) == (1, 0)
    job = _job(database)
    assert (job.error, job.tries, job.done_at) == ("RuntimeError: the other end is away", 1, None)
    assert [jobs.run_due(NOW + number * MINUTE) for number in (0.9, 1, 2, 2.9, 3)] == [0, 1, 0, 0, 1]
    job = _job(database)
    assert (job.error, job.tries, job.done_at) == (None, 3, NOW + 3 * MINUTE)


def _job(database: Database) -> Job:
    with database.reading() as session:
        return session.scalars(select(Job)).one()


def test_a_rolled_back_transaction_asks_for_nothing(
    context: Flask, database: Database, tried: list[dict[str, Any]]
) -> None:
    with database.writing() as session:
        jobs.ask(session, "noted", "x", at=NOW)
        session.rollback()
    assert jobs.run_due(NOW) == 0


def test_lanes_do_not_wait_for_each_other(context: Flask, database: Database, tried: list[dict[str, Any]]) -> None:
    _ask(database, "x", fails=9)
    _ask(database, "y", kind="drawn")
    assert jobs.run_due(NOW, ("drawing",)) == 1
    assert tried == [{"drawn": True}]


def test_what_was_done_long_ago_is_forgotten(context: Flask, database: Database, tried: list[dict[str, Any]]) -> None:
    _ask(database, "x")
    jobs.run_due(NOW)
    jobs.forget_old(NOW + timedelta(days=59))
    assert not _ask(database, "x")
    jobs.forget_old(NOW + timedelta(days=61))
    assert _ask(database, "x", at=NOW + timedelta(days=61))


def test_one_process_at_a_time_does_the_jobs(context: Flask) -> None:
    assert not jobs.is_running()
    with jobs.holding_jobs(context) as is_ours:
        assert is_ours
        assert jobs.is_running()
        with jobs.holding_jobs(context) as is_ours_too:
            assert not is_ours_too
    assert not jobs.is_running()


@pytest.fixture
def started(database: Database, tmp_path: Path) -> Iterator[Callable[..., subprocess.Popen[bytes]]]:
    """Start a program on this database."""
    running: list[subprocess.Popen[bytes]] = []

    def start(*arguments: str) -> subprocess.Popen[bytes]:
        environment = {**os.environ, "DATABASE_URL": database.url, "SECRET_KEY": "k" * 32}
        running.append(
            subprocess.Popen([sys.executable, *arguments], env=environment, cwd=Path(__file__).parent.parent)
        )
        return running[-1]

    yield start
    for process in running:
        process.kill()
        process.wait()


def test_the_server_starts_the_process_that_does_the_jobs_and_it_ends_with_it(
    database: Database, started: Callable[..., subprocess.Popen[bytes]]
) -> None:
    app = create_app({"DATABASE_URL": database.url, "SECRET_KEY": "k" * 32})
    server = started("-m", "gunicorn", "--bind", "127.0.0.1:0", "--workers", "1", "app:create_app()")
    with app.app_context():
        _until(jobs.is_running)
        server.send_signal(signal.SIGTERM)
        server.wait(timeout=60)
        _until(lambda: not jobs.is_running())
        # A server that is killed says nothing to its jobs: they notice it themselves.
        killed = started("-m", "gunicorn", "--bind", "127.0.0.1:0", "--workers", "1", "app:create_app()")
        _until(jobs.is_running)
        killed.kill()
        _until(lambda: not jobs.is_running())


def _until(happened: Callable[[], bool]) -> None:
    for _ in range(600):
        if happened():
            return
        time.sleep(0.1)
    raise AssertionError("it did not happen within a minute")
