"""The home screen with a million entries of history, against the same open work without.

Run: python -m tests.bench.bench_home [ENTRIES]. Takes minutes: the history goes in through the ledger's own append.
"""

import sys
import tempfile
import time
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import islice
from pathlib import Path
from typing import Any

from flask.testing import FlaskClient

from app import clock, create_app, ledger, register, schema
from app.db import Database
from tests.support import busy_day

HISTORY = 1_000_000
BATCH = 1_000
ROUNDS = 60
PASSWORD = "a bench of oak and a clock"
COOK = ledger.Caller("cook", "Casey Cook", "cook", "tablet:A")


def main() -> None:
    """Print the ratio that the README quotes."""
    entries = int(sys.argv[1]) if len(sys.argv) > 1 else HISTORY
    with tempfile.TemporaryDirectory() as folder:
        clients = [_kitchen(Path(folder) / "short.sqlite3", 0), _kitchen(Path(folder) / "long.sqlite3", entries)]
        for client in clients:
            _home_s(client)
        # In turn, so that whatever else the machine does falls on both; the best round of each.
        rounds = [[_home_s(client) for client in clients] for _ in range(ROUNDS)]
        short, long = (min(times) for times in zip(*rounds, strict=True))
    print(f"home screen: {short * 1000:.1f} ms; with {entries} entries of history {long * 1000:.1f} ms, ", end="")
    print(f"{long / short:.2f} times (at most 1.2)")


def _home_s(client: FlaskClient) -> float:
    start = time.process_time()
    response = client.get("/")
    spent = time.process_time() - start
    assert response.status_code == 200, response.status
    assert b"A-L1-T1" in response.data
    return spent


def _kitchen(path: Path, entries: int) -> FlaskClient:
    """Give a signed-in cook of a kitchen with some history and today's open work."""
    app = create_app({"DATABASE_URL": f"sqlite:///{path}", "SECRET_KEY": "bench", "WTF_CSRF_ENABLED": False})
    database: Database = app.extensions["database"]
    schema.upgrade(database.url)
    now = clock.utc_now()
    _set_up(database, now - timedelta(days=20 * 365))
    _append(database, _history(entries, until=now - timedelta(days=3)))
    _append(database, _open_work(now))
    client = app.test_client()
    client.post("/signin", data={"login": "cook", "password": PASSWORD})
    return client


def _set_up(database: Database, at: datetime) -> None:
    hashed = register.hash_password(PASSWORD, login="cook")
    with database.writing() as session:
        site = register.add_site(session, "S1", name="Bench kitchen", timezone="America/Chicago", at=at)
        lead = register.add_person(session, site, "pat", name="Pat Porter", role="in_charge", password=hashed, at=at)
        register.add_person(session, site, "cook", name="Casey Cook", role="cook", password=hashed, at=at)
        for kind, code in (("oven", "east"), ("hot_unit", "pass"), ("cold_unit", "walk-in"), ("probe", "blue")):
            register.add_equipment(session, site, kind, code, at=at)
        register.adopt_plan(session, site, None, {}, by=lead, at=at)


def _append(database: Database, drafts: Iterator[tuple[datetime, dict[str, Any]]]) -> None:
    written = datetime.min.replace(tzinfo=UTC)
    while batch := list(islice(drafts, BATCH)):
        written = max(written, *(at for at, _ in batch))  # the clock of a server does not go back
        with database.writing() as session:
            results = ledger.append(session, "S1", [draft for _, draft in batch], by=COOK, at=written)
        refused = [result for result in results if result.status != "accepted"]
        assert not refused, refused[0]


def _history(entries: int, *, until: datetime) -> Iterator[tuple[datetime, dict[str, Any]]]:
    """Give loads of long ago, five a day, all served out."""
    loads = -(-entries // _A_LOAD)
    for number in range(loads):
        start = until - timedelta(days=(loads - number) // 5 + 1) + timedelta(minutes=150 * (number % 5))
        yield from _load(f"H-{number}", start)


_A_LOAD = sum(1 for _ in busy_day.load_rows("A-L1", 0))


def _open_work(now: datetime) -> Iterator[tuple[datetime, dict[str, Any]]]:
    """Give what a kitchen has going on: a delivery, a checked probe, trays of one load, another load in the oven."""
    morning = now - timedelta(minutes=200)
    ice = {"probe": "blue", "method": "ice_point", "temperature": "32.2", "unit": "F", "adjusted": False}
    yield morning, _draft("probe_check", morning, ice)
    cold = {"temperature": "38", "unit": "F", "probe": "blue"}
    yield morning, _draft("receiving", morning, {**busy_day.DELIVERY, **cold})
    for load, since in (("A-L1", 160), ("A-L2", 60)):
        rows = list(_load(load, now - timedelta(minutes=since)))
        yield from (row for row in rows if row[0] <= now)


def _load(load: str, start: datetime) -> Iterator[tuple[datetime, dict[str, Any]]]:
    for kind, minute, fields in busy_day.load_rows(load, 0):
        at = start + timedelta(minutes=minute)
        yield at, _draft(kind, at, fields)


def _draft(kind: str, at: datetime, fields: dict[str, Any]) -> dict[str, Any]:
    plain = {name: str(value) if isinstance(value, Decimal) else value for name, value in fields.items()}
    return {"id": str(uuid.uuid4()), "kind": kind, "observed_at": at.astimezone(UTC).isoformat(), **plain}


if __name__ == "__main__":
    main()
