"""A server that is killed under load, as by a power cut: what it acknowledged must be there afterwards."""

import http.client
import json
import random
import time
import urllib.request
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Event, Thread
from uuid import uuid4

from sqlalchemy import select

from app import ledger, models, schema
from app.db import Database
from tests.support import cast
from tests.support.real_server import RealServer

CLIENTS = 4
_PATIENCE_S = 60


def kill_under_load(folder: Path, *, times: int, seed: int = 1) -> tuple[int, int]:
    """Kill a server so often while clients write; give how many entries were acknowledged, and how many are there.

    Raises AssertionError where an acknowledged one is gone, or the chain or what is kept beside it is not whole.
    """
    url, dice = f"sqlite:///{folder / 'ledger.db'}", random.Random(seed)
    schema.upgrade(url)
    database = Database(url)
    with database.writing() as session:
        cast.make_site(session)
    acknowledged: set[str] = set()
    for _ in range(times):
        with RealServer(url) as server:
            writers = _Writers(server.port)
            writers.write_for(dice.uniform(0.05, 0.6))
            server.kill()
            acknowledged |= writers.stop()
        hold_whole(database, acknowledged)
    with database.reading() as session:
        assert list(ledger.compare(session, "S1", at=datetime.now(UTC))) == []
    with database.reading() as session:
        kept = len(session.scalars(select(models.Entry.id)).all())
    database.engine.dispose()
    return len(acknowledged), kept


def hold_whole(database: Database, acknowledged: set[str]) -> None:
    """Hold that every acknowledged entry is there, once, and that the chain is whole."""
    with database.reading() as session:
        ids = session.scalars(select(models.Entry.id)).all()
        assert len(ids) == len(set(ids))
        assert acknowledged - set(ids) == set()
        assert ledger.verify(session, "S1") is None


class _Writers:
    """Clients that write one entry after the other, and remember what was acknowledged."""

    def __init__(self, port: int) -> None:
        self._address = f"http://127.0.0.1:{port}/api/v1/sites/S1/entries"
        self._stopped, self._acknowledged = Event(), set[str]()
        self._threads = [Thread(target=self._write) for _ in range(CLIENTS)]

    def write_for(self, seconds: float) -> None:
        """Begin, and go on for so long after the first was acknowledged."""
        for thread in self._threads:
            thread.start()
        until = time.monotonic() + _PATIENCE_S
        while not self._acknowledged and time.monotonic() < until:
            time.sleep(0.01)
        time.sleep(seconds)

    def stop(self) -> set[str]:
        """End, and give what was acknowledged."""
        self._stopped.set()
        for thread in self._threads:
            thread.join()
        assert self._acknowledged
        return self._acknowledged

    def _write(self) -> None:
        while not self._stopped.is_set():
            drafts = [_draft() for _ in range(random.choice((1, 1, 1, 20)))]
            headers = {**cast.bearer("cook"), "Content-Type": "application/json"}
            request = urllib.request.Request(self._address, json.dumps(drafts).encode(), headers)
            try:
                with urllib.request.urlopen(request, timeout=_PATIENCE_S) as answer:
                    results = json.load(answer)
            except (OSError, ValueError, http.client.HTTPException):
                continue  # not acknowledged: the server was killed
            self._acknowledged |= {result["id"] for result in results if result["status"] == "accepted"}


def _draft() -> dict[str, object]:
    at = (datetime.now(UTC) - timedelta(seconds=1)).isoformat(timespec="milliseconds")
    return {"id": str(uuid4()), "kind": "note", "observed_at": at, "text": "under load"}
