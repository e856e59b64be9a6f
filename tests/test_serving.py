"""A machine that serves needs nothing that only tests need: no browser, no database server, no library of theirs."""

import os
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import time
import tomllib
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from datetime import UTC, datetime
from importlib.metadata import packages_distributions, requires
from itertools import count
from pathlib import Path
from threading import Event, Thread
from types import SimpleNamespace
from urllib.request import Request, urlopen

import pytest
from gunicorn.http.unreader import IterUnreader
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from app.db import Database
from app.server import patience, tls
from tests.support import cast

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]

ONLY_TESTS = {"chromium-headless-shell", "libatomic1", "postgresql", "poppler-utils", "qpdf", "debootstrap", "systemd"}
"""Debian packages."""

_WITHOUT = """
import importlib, pkgutil, sys
from importlib.abc import MetaPathFinder

class Missing(MetaPathFinder):
    def find_spec(self, name, path, target=None):
        if name.partition(".")[0] in blocked:
            raise ModuleNotFoundError(f"{name} is not on a machine that serves", name=name)

blocked = set(sys.argv[1].split())
sys.meta_path.insert(0, Missing())
"""
_IMPORT_ALL = """
for package in (importlib.import_module(name) for name in ("app", "demo_data")):
    for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
        importlib.import_module(module.name)
"""
_PRINT_A_LOG = """
from app import create_app
url, day, file = sys.argv[2:]
app = create_app({"DATABASE_URL": url, "SECRET_KEY": "only for tests"})
result = app.test_cli_runner().invoke(args=["log", "S1", day, "--output", file])
assert result.exit_code == 0, (result.output, result.exception)
"""


@pytest.fixture(scope="module")
def blocked() -> str:
    """The modules that only tests need, as one line."""
    serving = _needed(PROJECT["dependencies"])
    installed = packages_distributions().items()
    return " ".join(module for module, owners in installed if not serving & {canonicalize_name(one) for one in owners})


def test_what_only_tests_need_is_known(blocked: str) -> None:
    assert {"pytest", "playwright", "hypothesis", "freezegun", "pypdf", "pikepdf", "scipy", "xdist", "mypy"} <= set(
        blocked.split()
    )
    assert not {"flask", "sqlalchemy", "weasyprint", "matplotlib", "numpy"} & set(blocked.split())


def test_every_module_of_the_program_loads_without_the_libraries_of_the_tests(blocked: str) -> None:
    _run(_WITHOUT + _IMPORT_ALL, blocked)


def test_a_missing_library_is_noticed() -> None:
    with pytest.raises(subprocess.CalledProcessError) as raised:
        _run(_WITHOUT + _IMPORT_ALL, "pytest flask")
    assert "flask is not on a machine that serves" in raised.value.stderr


def test_a_log_is_printed_without_the_libraries_of_the_tests(
    blocked: str, sqlite_database: Database, tmp_path: Path
) -> None:
    with sqlite_database.writing() as session:
        cast.make_site(session)
    _run(_WITHOUT + _PRINT_A_LOG, blocked, sqlite_database.url, cast.DAY.isoformat(), str(tmp_path / "log.pdf"))
    assert (tmp_path / "log.pdf").read_bytes().startswith(b"%PDF-")


def test_every_library_that_is_installed_for_serving_is_used_there() -> None:
    code = "\n".join(
        path.read_text("utf-8") for folder in ("app", "migrations") for path in (ROOT / folder).rglob("*.py")
    )
    named = {_module(requirement) for requirement in PROJECT["dependencies"]}
    unused = {module for module in named if f"import {module}" not in code and f"from {module}" not in code}
    # psycopg is found by the database's name; zoneinfo reads what tzdata holds.
    assert unused == {"psycopg", "tzdata"}


def test_serving_installs_no_package_of_the_tests() -> None:
    serving, testing = _packages("run"), _packages("test")
    assert testing - serving == ONLY_TESTS
    assert serving < testing


def test_a_purpose_that_there_is_not_is_told() -> None:
    with pytest.raises(subprocess.CalledProcessError) as raised:
        _packages("play")
    assert "say run or test, not play" in raised.value.stderr


_HALF_A_HEADER = b"GET / HTTP/1.1\r\nHost: x\r\n"
_HALF_A_BODY = b"POST /signin HTTP/1.1\r\nHost: x\r\nContent-Length: 1000\r\n\r\nlogin="


_MANY = 40
"""Connections: more than there are threads."""


@pytest.fixture(scope="module")
def served(two_kitchens_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """The port of a server that these tests share: each leaves it as it should be, answering everybody."""
    path = tmp_path_factory.mktemp("served") / "kitchens.sqlite3"
    shutil.copyfile(two_kitchens_template, path)
    with _served(f"sqlite:///{path}") as port:
        yield port


@pytest.mark.parametrize("said", [b"", _HALF_A_HEADER, _HALF_A_BODY], ids=["nothing", "half a header", "half a body"])
def test_connections_that_say_no_more_hold_up_nobody(served: int, said: bytes) -> None:
    with ExitStack() as open_:
        for _ in range(_MANY):
            open_.enter_context(socket.create_connection(("127.0.0.1", served))).sendall(said)
        with urlopen(f"http://127.0.0.1:{served}/healthz", timeout=_PATIENCE_S) as answer:
            assert (answer.status, answer.read()) == (200, b"ok\n")


@contextmanager
def _served(url: str, *more: str) -> Iterator[int]:
    """A server of its own on a database; gives its port."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
    serve = [sys.executable, "-m", "gunicorn", "--bind", f"127.0.0.1:{port}", "--workers", "1", *more]
    command = [*serve, "--log-level", "warning", "app:create_app()"]
    with subprocess.Popen(command, cwd=ROOT, env=_environment(url), start_new_session=True) as server:
        try:
            _wait_for(port)
            yield port
        finally:
            _kill(server)


def _environment(url: str) -> dict[str, str]:
    """Give the environment of a server on a database that waits a second, not ten, for a request that pauses."""
    return {**os.environ, "DATABASE_URL": url, "SECRET_KEY": "only for tests", "REQUEST_PAUSE_S": "1"}


def test_clients_that_leave_their_end_open_hold_up_nobody(served: int) -> None:
    """Waiting two seconds for each, in the thread that takes all in, would be minutes."""
    with ExitStack() as open_:
        for _ in range(70):
            left = open_.enter_context(socket.create_connection(("127.0.0.1", served)))
            left.sendall(b"GET /healthz HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
        with urlopen(f"http://127.0.0.1:{served}/healthz", timeout=_PATIENCE_S) as answer:
            assert answer.status == 200


@pytest.mark.parametrize("is_begun", [False, True], ids=["the beginning", "a record"])
def test_tls_that_comes_byte_by_byte_holds_up_nobody(two_kitchens: Database, tmp_path: Path, is_begun: bool) -> None:
    tls.make_certificate(tmp_path, ["127.0.0.1"], at=datetime.now(UTC))
    files = tls.TlsFiles(tmp_path)
    context, ended = ssl.create_default_context(cafile=files.authority), Event()
    options = ("--certfile", str(files.server), "--keyfile", str(files.server_key))
    with _served(two_kitchens.url, *options) as port, ExitStack() as open_:
        begun = [_begin_tls(open_, context, port, is_begun=is_begun) for _ in range(_MANY)]
        dripping = Thread(target=_drip, args=(begun, ended))
        dripping.start()
        try:
            with urlopen(f"https://127.0.0.1:{port}/healthz", timeout=_PATIENCE_S, context=context) as answer:
                assert answer.status == 200
        finally:
            ended.set()
            dripping.join()


def _begin_tls(open_: ExitStack, context: ssl.SSLContext, port: int, *, is_begun: bool) -> tuple[socket.socket, bytes]:
    """Give a connection and what it is to send: the beginning of TLS, or, once that is over, a record of four KiB."""
    connection = open_.enter_context(socket.create_connection(("127.0.0.1", port)))
    comes, goes = ssl.MemoryBIO(), ssl.MemoryBIO()
    inside = context.wrap_bio(comes, goes, server_hostname="127.0.0.1")
    with suppress(ssl.SSLWantReadError):
        inside.do_handshake()
    while is_begun:
        connection.sendall(goes.read())
        try:
            inside.do_handshake()
            break
        except ssl.SSLWantReadError:
            comes.write(connection.recv(65_536))
    if is_begun:
        connection.sendall(goes.read())
        inside.write(b"GET /healthz HTTP/1.1\r\nX: " + b"x" * 4096)
    return connection, goes.read()


def _drip(begun: list[tuple[socket.socket, bytes]], ended: Event) -> None:
    for number in count():
        for connection, said in begun:
            with suppress(OSError):  # the server may have closed it
                connection.sendall(said[number : number + 1])
        if ended.wait(1):
            return


@pytest.mark.parametrize(("piece", "heard"), [(b"x", 4), (b"x" * 65_536, 10)], ids=["drips", "flows"])
def test_a_request_that_drips_is_ended(monkeypatch: pytest.MonkeyPatch, piece: bytes, heard: int) -> None:
    """Every nine seconds a piece comes: each within what a socket waits for."""
    clock = SimpleNamespace(now=0.0, running_s=lambda: clock.now)
    monkeypatch.setattr(patience, "clock", clock)
    unreader = IterUnreader([piece] * 20)
    patience.limit_listening(unreader)
    assert len(list(_heard(unreader, clock))) == heard
    patience.limit_listening(unreader)  # the next request has its own time
    assert len(list(_heard(unreader, clock))) == heard


def test_a_request_pauses_for_as_long_as_the_setting_says(served: int) -> None:
    with socket.create_connection(("127.0.0.1", served)) as pausing:
        pausing.sendall(_HALF_A_HEADER)
        begun = time.monotonic()
        pausing.settimeout(_PATIENCE_S)
        with suppress(ConnectionResetError):
            assert pausing.recv(1) == b""
        assert time.monotonic() - begun > 0.9  # neither at once, as of a request that cannot be read


def _heard(unreader: IterUnreader, clock: SimpleNamespace) -> Iterator[bytes]:
    """Give what is listened to of ten pieces."""
    for _ in range(10):
        try:
            yield unreader.chunk()
        except ConnectionResetError:
            return
        clock.now += 9


def test_no_header_says_where_the_program_lies(served: int) -> None:
    headers = {"SCRIPT_NAME": "/healthz", "PATH_INFO": "/setup"}
    with urlopen(Request(f"http://127.0.0.1:{served}/healthz", headers=headers), timeout=_PATIENCE_S) as answer:
        assert answer.read() == b"ok\n"


_PATIENCE_S = 60


def _kill(server: subprocess.Popen[bytes]) -> None:
    """End a server and all that it started; otherwise its threads would first wait out who says nothing to them."""
    os.killpg(server.pid, signal.SIGKILL)


def _wait_for(port: int) -> None:
    until = time.monotonic() + _PATIENCE_S
    while time.monotonic() < until:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise TimeoutError("gunicorn did not start")


def _packages(purpose: str) -> set[str]:
    """Give the Debian packages that set-up asks for."""
    run = subprocess.run([ROOT / "setup.sh", "list", purpose], capture_output=True, text=True, check=True)
    return {line.partition(":")[0] for line in run.stdout.splitlines()}


def _run(code: str, *arguments: str) -> None:
    subprocess.run([sys.executable, "-c", code, *arguments], cwd=ROOT, capture_output=True, text=True, check=True)


def _needed(requirements: list[str]) -> set[str]:
    """Give the distributions that these need, and those need, by their canonical names."""
    found: set[str] = set()
    waiting = [(Requirement(line), "") for line in requirements]
    while waiting:
        requirement, extra = waiting.pop()
        if requirement.marker and not requirement.marker.evaluate({"extra": extra}):
            continue
        name = canonicalize_name(requirement.name)
        if name not in found:
            found.add(name)
            extras = [*requirement.extras, ""]
            waiting += [(Requirement(line), one) for line in requires(name) or () for one in extras]
    return found


def _module(requirement: str) -> str:
    """Give the module that is imported of a distribution."""
    name = Requirement(requirement).name
    return {"argon2-cffi": "argon2", "pillow": "PIL"}.get(name, name.replace("-", "_"))
