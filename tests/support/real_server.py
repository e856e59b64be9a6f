"""The program under gunicorn, as a kitchen serves it, at one port: to be killed and started again."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path
from types import TracebackType
from typing import Self

ROOT = Path(__file__).parent.parent.parent
_PATIENCE_S = 60


class RealServer:
    """A server on a database; it is a group of processes of its own, and runs inside a `with`."""

    def __init__(self, url: str) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self._url = url
        self._running: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        """Where a browser finds it."""
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        command = [sys.executable, "-m", "gunicorn", "--bind", f"127.0.0.1:{self.port}", "--workers", "2"]
        # A group of its own: the workers and the process for jobs are killed with it.
        self._running = subprocess.Popen(
            [*command, "--log-level", "critical", "app:create_app()"],
            cwd=ROOT,
            env={**os.environ, "DATABASE_URL": self._url, "SECRET_KEY": "only for tests"},
            start_new_session=True,
            stderr=subprocess.DEVNULL,
        )
        self._wait()

    def kill(self) -> None:
        """Kill all its processes at once, as a power cut does."""
        if self._running is not None and self._running.poll() is None:
            os.killpg(self._running.pid, signal.SIGKILL)
            self._running.wait()

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.kill()

    def _wait(self) -> None:
        until = time.monotonic() + _PATIENCE_S
        while time.monotonic() < until:
            try:
                with urllib.request.urlopen(f"{self.address}/healthz", timeout=5):
                    return
            except OSError:
                time.sleep(0.05)
        raise TimeoutError("gunicorn did not start")
