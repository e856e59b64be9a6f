"""Requests that are too long, in every sense: refused in words, whatever stands in them."""

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from app.db import Database
from tests.support import cast
from tests.support.api import Api, is_problem

ROOT = Path(__file__).parent.parent.parent
_PATIENCE_S = 60


@pytest.mark.parametrize(
    "temperature",
    ["9" * 4300, "1" + "0" * 4299, "0." + "1" * 5000, "1e400", "1e-400", "-1e400", "0.00000000000000000001", "1E+2"],
    ids=lambda text: f"{text[:6]} of {len(text)}",
)
def test_a_number_that_no_display_shows_is_rejected_at_its_field(api: Api, temperature: str) -> None:
    body = json.dumps([cast.draft("hold_reading", at="11:00", temperature="here")])
    answer = api.post_bytes(body.replace('"here"', temperature).encode())
    if answer.status_code == 200:
        (result,) = answer.get_json()
        assert result["status"] == "rejected"
        assert {error["field"] for error in result["errors"]} <= {"temperature", "tray"}
    else:
        assert is_problem(answer, 400)


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b'[{"note": ' + b"9" * 4301 + b"}]", "not JSON"),
        (b'[{"note": 1e9999999999999999999}]', "a number is too large"),
        (b"[" * 100_000, "nested too deeply"),
        (b'[{"id": 1, "id": 2}]', "the same name twice"),
    ],
)
def test_what_no_program_can_read_is_refused_as_a_whole(api: Api, body: bytes, said: str) -> None:
    answer = api.post_bytes(body)
    assert is_problem(answer, 400)
    assert said in answer.get_json(force=True)["detail"]


@pytest.mark.parametrize("seq", ["9" * 4000, "-1", "1.5", "٣"])
def test_a_long_or_odd_number_in_the_address_is_refused(api: Api, seq: str) -> None:
    assert is_problem(api.get(f"S1/ledger?after_seq={seq}", by="pat"), 400)


@pytest.mark.parametrize(
    ("request_head", "status"),
    [
        (f"GET /{'x' * 5000} HTTP/1.1\r\nHost: localhost\r\n\r\n", 414),
        (f"GET /healthz HTTP/1.1\r\nHost: localhost\r\nX-Long: {'x' * 9000}\r\n\r\n", 431),
        ("GET /healthz HTTP/1.1\r\nHost: localhost\r\n" + "X-Many: 1\r\n" * 101 + "\r\n", 431),
        ("GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n", 200),
    ],
    ids=["line", "header", "headers", "ordinary"],
)
def test_what_is_too_long_before_the_body_is_refused_by_the_server(port: int, request_head: str, status: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=_PATIENCE_S) as connection:
        connection.sendall(request_head.encode())
        assert connection.recv(100).split()[1] == str(status).encode()


@pytest.mark.parametrize(("path", "said"), [("/signin", b"That is too much at once"), ("/check", b"larger than 16 MB")])
def test_a_body_announced_far_too_large_is_refused_without_waiting_for_it(port: int, path: str, said: bytes) -> None:
    head = f"POST {path} HTTP/1.1\r\nHost: localhost\r\nContent-Length: {200 * 2**20}\r\n"
    with socket.create_connection(("127.0.0.1", port), timeout=_PATIENCE_S) as connection:
        connection.sendall(f"{head}Content-Type: multipart/form-data; boundary=x\r\n\r\n".encode())
        answer = b"".join(iter(lambda: connection.recv(65536), b""))  # until it is closed
    assert answer.split()[1] == b"413"
    assert said in answer
    assert b"\r\nConnection: close\r\n" in answer


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory, two_kitchens_template: Path) -> Iterator[int]:
    """Where gunicorn serves two kitchens."""
    folder = tmp_path_factory.mktemp("served")
    file = folder / "ledger.db"
    file.write_bytes(two_kitchens_template.read_bytes())
    Database(f"sqlite:///{file}").engine.dispose()
    with _served(f"sqlite:///{file}") as number:
        yield number


@contextmanager
def _served(url: str) -> Iterator[int]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        number = int(free.getsockname()[1])
    command = [sys.executable, "-m", "gunicorn", "--bind", f"127.0.0.1:{number}", "--log-level", "critical"]
    environment = {**os.environ, "DATABASE_URL": url, "SECRET_KEY": "only for tests"}
    with subprocess.Popen([*command, "app:create_app()"], cwd=ROOT, env=environment) as server:
        try:
            _wait_for(number)
            yield number
        finally:
            server.send_signal(signal.SIGINT)


def _wait_for(number: int) -> None:
    until = time.monotonic() + _PATIENCE_S
    while time.monotonic() < until:
        try:
            socket.create_connection(("127.0.0.1", number), timeout=1).close()
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise TimeoutError("gunicorn did not start")
