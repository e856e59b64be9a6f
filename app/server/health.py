"""The health check: 200 when an entry could be kept now."""

import shutil
from datetime import datetime, timedelta
from pathlib import Path

from flask import Flask
from flask.typing import ResponseReturnValue
from sqlalchemy import delete, text
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from app import clock, ledger, register, schema, words
from app.models import WriteCheck

from . import get_database
from .outages import Outage, outage_of

_PLAIN = {"Content-Type": "text/plain; charset=utf-8"}
_PATIENCE_S = 3
"""For how long it waits for other writers: whoever asks for a server's health does not wait for long."""
_NEARLY_FULL = 32 * 1024 * 1024
_SEVERAL_ENTRIES = 128 * 1024
"""Bytes."""
_COUNTS_FOR = timedelta(seconds=2)
"""For so long nothing is written again: a flood of questions keeps no disk busy."""


def init_app(app: Flask) -> None:
    """Add `/healthz`."""
    app.add_url_rule("/healthz", "healthz", healthz)


def healthz() -> ResponseReturnValue:
    """Answer `ok` after a write that was kept, or 503 with the reason: the database, its disk, the server's clock."""
    try:
        why = _why_not(clock.utc_now())
    except SQLAlchemyError as error:
        outage = outage_of(error)
        if outage is None:
            raise
        why = words.outage_words(outage)
    return (f"{why}\n", 503, _PLAIN) if why else ("ok\n", _PLAIN)


def _why_not(now: datetime) -> str | None:
    """Give why no entry could be kept; None where one could. Raises what the database raises."""
    with get_database().reading() as session:
        if not schema.is_current(session.connection()):
            return words.outage_words(Outage.OTHER_VERSION)
        behind = ledger.clock_behind(session, now)
        last = session.get(WriteCheck, 1)
    if behind is not None:
        return words.clock_to_set_words(behind.behind)
    if last is None or not timedelta() <= now - last.at < _COUNTS_FOR:
        _write(now)
    return None


def _write(now: datetime) -> None:
    """Write as an entry is written: hold the sites, insert, and have it kept on the disk."""
    with get_database().writing(patience_s=_PATIENCE_S) as session:
        _be_impatient(session)
        for site in register.list_sites(session):
            ledger.hold(session, site.code)
        session.execute(delete(WriteCheck))
        session.add(WriteCheck(id=1, at=now, padding=_padding()))


def _padding() -> bytes:
    """Give what is written beside, on an SQLite file's disk that is nearly full."""
    file = get_database().engine.url.database or ""
    is_file = get_database().engine.dialect.name == "sqlite" and Path(file).exists()
    return bytes(_SEVERAL_ENTRIES if is_file and shutil.disk_usage(file).free < _NEARLY_FULL else 0)


def _be_impatient(session: Session) -> None:
    if session.get_bind().dialect.name == "postgresql":
        session.execute(text(f"SET LOCAL lock_timeout = '{_PATIENCE_S}s'"))
