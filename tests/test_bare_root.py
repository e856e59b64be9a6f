"""The steps of the container file in a bare Debian: nothing that is on this machine helps them.

A container engine runs nowhere here: debootstrap makes the bare root, and chroot stands for `RUN` and `CMD`. It takes
some minutes and Debian's packages: only as root, and where debootstrap is.
"""

import os
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from urllib.request import urlopen

import pytest

from tests.support.checkout import copy_all_to

_PATIENCE_S = 120

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(
        os.geteuid() != 0 or shutil.which("debootstrap") is None, reason="wants root and Debian's package debootstrap"
    ),
]

_REACHES_PACKAGES = ("/etc/resolv.conf", "/etc/apt/sources.list", "/etc/pip.conf")
_AUTHORITIES = Path("/etc/ssl/certs/ca-certificates.crt")
"""By what this machine reaches packages; a bare Debian elsewhere has its own."""


@pytest.fixture(scope="module")
def bare_root() -> Iterator[Path]:
    """A bare Debian with the program in /opt/roast-ledger, and nothing else: on a disk, as it has devices."""
    with tempfile.TemporaryDirectory(prefix="bare-") as folder:
        yield from _made_bare(Path(folder) / "root")


def _made_bare(root: Path) -> Iterator[Path]:
    made = subprocess.run(["debootstrap", "--variant=minbase", "bookworm", str(root)], capture_output=True, check=False)
    if made.returncode:
        pytest.skip("no bare Debian can be made here: Debian's packages are out of reach")
    for path in _REACHES_PACKAGES:
        _copy(Path(path), root / path.lstrip("/"))
    _copy(_AUTHORITIES, root / "etc/authorities.crt")
    for folder in ("etc/apt/sources.list.d", "etc/apt/apt.conf.d", "usr/share/keyrings", "etc/xdg/pip"):
        if Path("/", folder).exists():
            shutil.copytree(Path("/", folder), root / folder, dirs_exist_ok=True)
    copy_all_to(root / "opt/roast-ledger")
    # The devices are debootstrap's own: were this machine's bound there, a run that is killed would leave them to
    # whoever tidies up.
    (root / "dev/shm").mkdir(mode=0o1777, exist_ok=True)
    if subprocess.run(["mount", "-t", "proc", "proc", str(root / "proc")], check=False).returncode:
        pytest.skip("this machine lets nobody mount /proc")
    try:
        if subprocess.run(_in(root, "apt-get", "-qq", "update"), capture_output=True, check=False).returncode:
            pytest.skip("a bare Debian reaches no packages here")
        yield root
    finally:
        subprocess.run(["umount", "--lazy", str(root / "proc")], check=True)
        shutil.rmtree(root)


def _copy(source: Path, target: Path) -> None:
    if source.exists():
        target.parent.mkdir(parents=True, exist_ok=True)
        target.unlink(missing_ok=True)
        shutil.copy2(source, target)


def _in(root: Path, *line: str, user: str = "root", **environment: str) -> list[str]:
    """Give a command in the bare root, with an environment as bare."""
    settings = [f"{name}={value}" for name, value in environment.items()]
    kept = [f"{name}={value}" for name, value in os.environ.items() if name.startswith("PIP_") and name != "PIP_CERT"]
    path = "PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin"
    return [
        "chroot",
        f"--userspec={user}:{user}",
        str(root),
        "/usr/bin/env",
        "-i",
        path,
        "PIP_CERT=/etc/authorities.crt",
        *kept,
        *settings,
        *line,
    ]


def test_the_container_file_serves_in_a_bare_debian(bare_root: Path) -> None:
    install = subprocess.run(
        _in(bare_root, "/opt/roast-ledger/docs/service/install.sh"), capture_output=True, text=True, check=False
    )
    assert install.returncode == 0, install.stderr[-3000:]
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    start = _in(bare_root, "/opt/roast-ledger/docs/service/start.sh", user="ledger", BIND=f"127.0.0.1:{port}")
    with subprocess.Popen(start, stdout=subprocess.PIPE, text=True, start_new_session=True) as server:
        try:
            assert _answer(f"http://127.0.0.1:{port}/healthz", server) == "ok\n"
            assert server.stdout is not None
            lines = [server.stdout.readline() for _ in range(3)]
            assert "/begin/" in lines[-1]
        finally:
            with suppress(ProcessLookupError):
                os.killpg(server.pid, signal.SIGTERM)
    _has_nothing_that_only_tests_need(bare_root)


def _has_nothing_that_only_tests_need(root: Path) -> None:
    listed = subprocess.run(
        _in(root, "dpkg-query", "-W", "-f", "${Package}\n"), capture_output=True, text=True, check=True
    )
    assert not {"chromium", "chromium-headless-shell", "postgresql", "qpdf", "poppler-utils"} & set(
        listed.stdout.split()
    )
    libraries = {path.name for path in (root / "opt/roast-ledger/.venv").glob("lib/python3*/site-packages/*")}
    assert "flask" in libraries
    assert not {"pytest", "playwright", "hypothesis", "mypy"} & libraries


def _answer(url: str, server: "subprocess.Popen[str]") -> str:
    until = time.monotonic() + _PATIENCE_S
    while True:
        try:
            with urlopen(url, timeout=60) as answer:
                return str(answer.read().decode())
        except OSError:  # nothing listens yet, or a busy machine is still loading it
            assert server.poll() is None, "it did not start"
            assert time.monotonic() < until
            time.sleep(0.2)
