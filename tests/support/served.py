"""The demo kitchen under gunicorn as it is served, for what is measured through the network."""

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import demo_data
from app import register, schema
from app.db import Database
from demo_data import kitchen

ROOT = Path(__file__).parent.parent.parent
WORKERS = 2
_PATIENCE_S = 120


@dataclass(frozen=True)
class Answer:
    """What a request gave, and how long it took in seconds."""

    status: int
    body: bytes
    took_s: float
    retry_after_s: float = 0.0


@dataclass
class Client:
    """One connection that is kept open, as a browser keeps it."""

    port: int
    headers: dict[str, str]
    _connection: http.client.HTTPConnection | None = field(default=None, repr=False)

    def get(self, path: str) -> Answer:
        """Get a page."""
        return self._ask("GET", path, None)

    def write(self) -> Answer:
        """Post one note, of just now."""
        at = (datetime.now(UTC) - timedelta(seconds=1)).isoformat(timespec="milliseconds")
        draft = {"id": str(uuid4()), "kind": "note", "observed_at": at, "text": "measured"}
        if "X-Writes-As" in self.headers:
            draft["person"] = self.headers["X-Writes-As"]
        return self._ask("POST", f"/api/v1/sites/{kitchen.SITE}/entries", json.dumps([draft]).encode())

    def _ask(self, method: str, path: str, body: bytes | None) -> Answer:
        start = time.perf_counter()
        for is_last_try in (False, True):
            if self._connection is None:
                self._connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=_PATIENCE_S)
            try:
                self._connection.request(method, path, body, {"Content-Type": "application/json", **self.headers})
                answer = self._connection.getresponse()
                read = answer.read()
            except (http.client.HTTPException, ConnectionError):  # the server closed what was idle
                self._connection.close()
                self._connection = None
                if is_last_try:
                    raise
            else:
                wait = float(answer.headers.get("Retry-After") or 0)
                return Answer(answer.status, read, time.perf_counter() - start, wait)
        raise AssertionError


def is_kept(answer: Answer) -> bool:
    """Whether a write was acknowledged."""
    return answer.status == 200 and json.loads(answer.body)[0]["status"] == "accepted"


def percentile(took: list[float], percent: int) -> float:
    """Give how long the slowest but so many in a hundred took."""
    return sorted(took)[min(len(took) - 1, len(took) * percent // 100)]


@dataclass(frozen=True)
class Served:
    """A server that runs, and who may ask it."""

    port: int
    tokens: dict[str, str]
    tablets: list[str]

    def person(self, login: str) -> Client:
        """Give a program with a person's token."""
        return Client(self.port, {"Authorization": f"Bearer {self.tokens[login]}"})

    def tablet(self, number: int) -> Client:
        """Give an enrolled tablet: its cookie reads pages, its credential writes for a cook."""
        credential = self.tablets[number]
        cook = sorted(self.tokens)[number % len(self.tokens)]
        named = {"Cookie": f"tablet={credential}", "Authorization": f"Bearer {credential}", "X-Writes-As": cook}
        return Client(self.port, named)


@contextmanager
def serving_demo(folder: Path, *, tablets: int = 0) -> Iterator[Served]:
    """Serve the demo kitchen, three weeks of it, with so many enrolled tablets."""
    url = f"sqlite:///{folder / 'ledger.db'}"
    tokens, credentials = _set_up(url, tablets)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    command = [sys.executable, "-m", "gunicorn", "--bind", f"127.0.0.1:{port}", "--workers", str(WORKERS)]
    environment = {**os.environ, "DATABASE_URL": url, "SECRET_KEY": "only for measuring"}
    with subprocess.Popen(
        [*command, "--log-level", "warning", "app:create_app()"], cwd=ROOT, env=environment
    ) as server:
        try:
            _wait_for(port)
            yield Served(port, tokens, credentials)
        finally:
            server.send_signal(signal.SIGTERM)


def _set_up(url: str, tablets: int) -> tuple[dict[str, str], list[str]]:
    schema.upgrade(url)
    database, now = Database(url), datetime.now(UTC).replace(microsecond=0) - timedelta(minutes=1)
    demo_data.load(database, at=now)
    with database.writing() as session:
        site = register.get_site(session, kitchen.SITE)
        people = [person for person in register.list_people(session, site) if person.role in ("cook", "in_charge")]
        tokens = {one.login: register.issue_token(session, one, days=1, at=now)[1] for one in people}
        credentials = [register.issue_tablet(session, site, f"B{number}", at=now)[1] for number in range(tablets)]
    database.engine.dispose()
    return tokens, credentials


def _wait_for(port: int) -> None:
    until = time.monotonic() + _PATIENCE_S
    while time.monotonic() < until:
        try:
            if Client(port, {}).get("/healthz").status == 200:
                return
        except OSError:
            pass
        time.sleep(0.2)
    raise TimeoutError("gunicorn did not start")
