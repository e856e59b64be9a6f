"""Work outside a request: asked for in the transaction that makes it due, done once, by one process for each machine.

A job's function runs in the app's context, outside any transaction, and may be run again after a crash: whatever it
does a second time must do no harm. One that fails is tried again with growing pauses, the last error kept beside it.
Times are taken from the caller in `ask` and `run_due`; the process that runs for ever asks the clock.
"""

import fcntl
import hashlib
import json
import logging
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

from flask import Flask, current_app
from sqlalchemy import delete, select
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from app import clock
from app.models import Job

from . import get_database

LANES = ("drawing", "counting", "outside")
"""What waits for the processor to draw or to count, and for other machines: none keeps another waiting."""

_FIRST_PAUSE, _LONGEST_PAUSE = timedelta(minutes=1), timedelta(hours=6)
_KEPT = timedelta(days=60)
"""How long it is known that a job was done."""
_LOOKS_EVERY_S, _TIDIES_EVERY_S = 0.5, 3600

_log = logging.getLogger(__name__)

Payload = Mapping[str, Any]
_Run = Callable[[Payload, datetime], None]


class _Kind(NamedTuple):
    lane: str
    run: _Run


_KINDS: dict[str, _Kind] = {}


def job(kind: str, *, lane: str) -> Callable[[_Run], _Run]:
    """Declare what does jobs of a kind: it is called with the payload and the time."""
    if lane not in LANES:
        raise ValueError(f"no lane {lane}")

    def declare(run: _Run) -> _Run:
        _KINDS[kind] = _Kind(lane, run)
        return run

    return declare


def ask(
    session: Session,
    kind: str,
    key: str,
    payload: Payload | None = None,
    *,
    at: datetime,
    due_at: datetime | None = None,
) -> bool:
    """Ask for a job, unless one of that kind and key was asked for already; give whether it is a new one."""
    if kind not in _KINDS:
        raise ValueError(f"no job {kind}")
    if session.scalar(select(Job.id).where(Job.kind == kind, Job.key == key)) is not None:
        return False
    session.add(
        Job(
            kind=kind,
            key=key,
            payload=json.dumps(payload or {}, sort_keys=True),
            asked_at=at,
            due_at=at if due_at is None else due_at,
            tries=0,
        )
    )
    session.flush()
    return True


def newest_failure(session: Session) -> Job | None:
    """Give what waits for another machine and failed last, if anything does."""
    failed = select(Job).where(Job.done_at.is_(None), Job.tries > 0, Job.kind.in_(_kinds_of("outside")))
    return session.scalar(failed.order_by(Job.due_at.desc()).limit(1))


def failures(session: Session, *kinds: str) -> Sequence[Job]:
    """Give the jobs of some kinds that went wrong at their last try and wait for the next, oldest first."""
    failed = select(Job).where(Job.done_at.is_(None), Job.tries > 0, Job.kind.in_(kinds))
    return session.scalars(failed.order_by(Job.id)).all()


def run_due(at: datetime, lanes: tuple[str, ...] = LANES) -> int:
    """Do what is due, oldest first, and give how many were tried. Only the process that holds the jobs may call it."""
    tried = 0
    for lane in lanes:
        while (found := _next_due(lane, at)) is not None:
            _try(found, at)
            tried += 1
    return tried


def _kinds_of(lane: str) -> list[str]:
    return [name for name, kind in _KINDS.items() if kind.lane == lane]


def _next_due(lane: str, at: datetime) -> Job | None:
    due = (
        select(Job)
        .where(Job.done_at.is_(None), Job.due_at <= at, Job.kind.in_(_kinds_of(lane)))
        .order_by(Job.due_at, Job.id)
        .limit(1)
    )
    with get_database().reading() as session:
        return session.scalar(due)


def _try(found: Job, at: datetime) -> None:
    try:
        _KINDS[found.kind].run(json.loads(found.payload), at)
    except Exception as error:
        _log.warning("job %s %s failed: %s: %s", found.kind, found.key, type(error).__name__, error)
        _keep(found.id, tries=found.tries + 1, error=_one_line(error), due_at=at + _pause(found.tries))
    else:
        _keep(found.id, tries=found.tries + 1, error=None, done_at=at)


def _keep(job_id: int, **values: Any) -> None:
    with get_database().writing() as session:
        # Whoever forgot it meanwhile does not want to know.
        if (row := session.get(Job, job_id)) is not None:
            for name, value in values.items():
                setattr(row, name, value)


def _pause(tries: int) -> timedelta:
    pause: timedelta = _FIRST_PAUSE * 2 ** min(tries, 10)
    return min(pause, _LONGEST_PAUSE)


def _one_line(error: Exception) -> str:
    return " ".join(f"{type(error).__name__}: {error}".split())[:500]


def forget_old(at: datetime) -> None:
    """Forget what was done long ago."""
    with get_database().writing() as session:
        session.execute(delete(Job).where(Job.done_at < at - _KEPT))


@contextmanager
def holding_jobs(app: Flask) -> Iterator[bool]:
    """Be the one process of this machine that does this database's jobs; gives False where another one is."""
    path = _lock_path(app)
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with path.open("a") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            yield False
        else:
            yield True


def is_running() -> bool:
    """Whether a process of this machine does the jobs now."""
    path = _lock_path(current_app)
    if not path.exists():
        return False
    with path.open("a") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_SH | fcntl.LOCK_NB)
        except BlockingIOError:
            return True
    return False


def _lock_path(app: Flask) -> Path:
    # One instance folder may serve several databases, as in tests.
    digest = hashlib.sha256(str(app.config["DATABASE_URL"]).encode()).hexdigest()[:16]
    return Path(app.instance_path) / f"jobs.{digest}.lock"


def run_for_ever(app: Flask, stopped: threading.Event) -> None:
    """Do jobs as they become due, a thread for each lane, until told to stop."""
    threads = [threading.Thread(target=_run_lane, args=(app, lane, stopped), name=lane) for lane in LANES]
    threads.append(threading.Thread(target=_tidy, args=(app, stopped), name="tidying"))
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def _tidy(app: Flask, stopped: threading.Event) -> None:
    with app.app_context():
        while not stopped.wait(_TIDIES_EVERY_S):
            try:
                forget_old(clock.utc_now())
            except SQLAlchemyError as error:
                _log.warning("old jobs are not forgotten: %s", _one_line(error))


def _run_lane(app: Flask, lane: str, stopped: threading.Event) -> None:
    with app.app_context():
        while not stopped.wait(_LOOKS_EVERY_S):
            try:
                run_due(clock.utc_now(), (lane,))
            except SQLAlchemyError as error:
                # The database may be away for a while, or not set up yet; the work waits in it.
                _log.warning("jobs wait for the database: %s", _one_line(error))
                stopped.wait(5)
