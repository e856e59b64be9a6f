"""Durable entries by POST, against a bare Flask route with one durable INSERT under the same gunicorn, in the same run.

Run: python -m tests.bench.bench_post
"""

import json
import multiprocessing
import os
import socket
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from multiprocessing.pool import Pool
from pathlib import Path
from uuid import uuid4

from flask import Flask, request
from werkzeug.middleware.dispatcher import DispatcherMiddleware

from app import create_app, schema
from app.db import Database
from tests.support import cast

WORKERS, CLIENTS = 2, 2
SECONDS, ROUNDS, BATCH = 0.5, 12, 1000
"""Many short turns: whatever else the machine does meanwhile slows all three alike."""


def make_app() -> DispatcherMiddleware:
    """Give what gunicorn serves: the bare route at `/bare`, everything else is the app."""
    return DispatcherMiddleware(create_app(), {"/bare": _bare_app(os.environ["BARE_FILE"])})


def _bare_app(path: str) -> Flask:
    app, kept = Flask("bare"), threading.local()  # gunicorn serves by threads, and a connection belongs to its own

    @app.post("/")
    def insert() -> str:
        if not hasattr(kept, "connection"):
            kept.connection = _bare_connection(path)
        kept.connection.execute("INSERT INTO rows (body) VALUES (?)", (request.get_data(),))
        return "ok"

    return app


def _bare_connection(path: str) -> sqlite3.Connection:
    connection = sqlite3.connect(path, timeout=15, isolation_level=None)
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("CREATE TABLE IF NOT EXISTS rows (id INTEGER PRIMARY KEY, body BLOB)")
    return connection


def main() -> None:
    """Print the two ratios that the README quotes."""
    with tempfile.TemporaryDirectory() as folder, _served(Path(folder)) as port, multiprocessing.Pool(CLIENTS) as pool:
        rounds = [_round(port, pool) for _ in range(ROUNDS)]
    bare, single, batch = (statistics.fmean(rates) for rates in zip(*rounds, strict=True))
    print(f"bare route with one durable INSERT: {bare:.0f} requests/s")
    print(f"POST of one entry: {single:.0f} requests/s, {single / bare:.2f} of the bare route (at least 0.60)")
    print(f"POST of {BATCH}: {batch:.0f} entries/s, {batch / single:.1f} times the rate of single ones (at least 20)")


def _round(port: int, pool: Pool) -> tuple[float, float, float]:
    return (
        _rate(port, pool, _bare_request, most=2000),
        _rate(port, pool, _single_request, most=1000),
        _rate(port, pool, _batch_request, most=20) * BATCH,
    )


def _rate(port: int, pool: Pool, make: Callable[[], bytes], *, most: int) -> float:
    """Give the requests a second of a few clients, each of which asks again as soon as it is answered."""
    return sum(pool.starmap(_ask, [(port, make, most)] * CLIENTS, chunksize=1))


def _ask(port: int, make: Callable[[], bytes], most: int) -> float:
    requests = [make() for _ in range(most)]  # before the clock runs: what a client does in between is not measured
    done, start = 0, time.perf_counter()
    while done < most and time.perf_counter() - start < SECONDS:
        answer = _send(port, requests[done])
        if not answer.startswith(b"HTTP/1.1 200") or b'"rejected"' in answer:
            raise RuntimeError(answer[:500].decode(errors="replace"))
        done += 1
    return done / (time.perf_counter() - start)


def _send(port: int, body: bytes) -> bytes:
    with socket.create_connection(("127.0.0.1", port)) as connection:
        connection.sendall(body)
        return b"".join(iter(lambda: connection.recv(65_536), b""))


def _bare_request() -> bytes:
    return _request("/bare/", [_draft()])


def _single_request() -> bytes:
    return _request("/api/v1/sites/S1/entries", [_draft()])


def _batch_request() -> bytes:
    return _request("/api/v1/sites/S1/entries", [_draft() for _ in range(BATCH)])


def _draft() -> dict[str, object]:
    tray = f"A-T{uuid4().int % 20}"
    at = (datetime.now(UTC) - timedelta(minutes=1)).isoformat(timespec="seconds")
    reading = {"tray": tray, "temperature": "150.5", "unit": "F", "probe": "blue"}
    return {"id": str(uuid4()), "kind": "hold_reading", "observed_at": at, **reading}


def _request(path: str, drafts: list[dict[str, object]]) -> bytes:
    body = json.dumps(drafts).encode()
    head = f"POST {path} HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer {cast.token('cook')}\r\n"
    rest = f"Connection: close\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    return (head + rest).encode() + body


@contextmanager
def _served(folder: Path) -> Iterator[int]:
    url = f"sqlite:///{folder}/ledger.db"
    _set_up(url)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    environment = {**os.environ, "DATABASE_URL": url, "SECRET_KEY": "bench", "BARE_FILE": f"{folder}/bare.db"}
    gunicorn = [sys.executable, "-m", "gunicorn", "--bind", f"127.0.0.1:{port}", "--workers", str(WORKERS)]
    server = subprocess.Popen(
        [*gunicorn, "--log-level", "warning", "tests.bench.bench_post:make_app()"], env=environment
    )
    try:
        _wait(port)
        _open_trays(port)
        yield port
    finally:
        server.terminate()
        server.wait()


def _set_up(url: str) -> None:
    schema.upgrade(url)
    database = Database(url)
    with database.writing() as session:
        cast.make_site(session)
    database.engine.dispose()


def _wait(port: int) -> None:
    for _ in range(100):
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/healthz", timeout=1)
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise RuntimeError("gunicorn did not start")


def _open_trays(port: int) -> None:
    at = (datetime.now(UTC) - timedelta(hours=1)).isoformat(timespec="seconds")
    drafts = [cast.draft("load_started", at=datetime.fromisoformat(at))]
    drafts += [cast.draft("spit_loaded", at=datetime.fromisoformat(at), birds=100)]
    drafts += [
        cast.draft("spit_pulled", at=datetime.fromisoformat(at), tray=f"A-T{number}", birds=5) for number in range(20)
    ]
    answer = _send(port, _request("/api/v1/sites/S1/entries", drafts))
    if b'"rejected"' in answer:
        raise RuntimeError(answer.decode())


if __name__ == "__main__":
    main()
