"""What gunicorn needs beside its defaults; it reads this file by itself where it is started."""

import os
import socket
import struct
import subprocess
import sys
from pathlib import Path
from typing import Any

from app.server.errors import READ_OFF as LARGEST_ANNOUNCED
from app.server.garbage import collect_less_often
from app.server.patience import PAUSE_S
from app.server.tls import TlsFiles

_jobs: list[subprocess.Popen[bytes]] = []

# A worker that streams a long ledger, or sets a long log, is busy and not stuck: after the default's 30 s it would be
# cut short.
timeout = 300

# A connection that says nothing takes no thread, it waits aside: there are more threads than a kitchen has devices.
# While one prints, the others still write down.
worker_class = "app.server.patience.PatientWorker"
threads = 32

# So long one waits aside, in seconds: for its first request, the next one, or more of the beginning of TLS.
keepalive = 10

# One that takes no more of an answer would hold its thread for ever: after so many seconds it is closed.
_TAKES_SOMETHING_WITHIN_S = 60

# No header says where the program lies, or which page is asked for: the address alone does.
forwarder_headers = ""


# With a certificate for the kitchen's own network (the command certificate makes it) the server speaks TLS itself;
# TLS=0 leaves that to a proxy in front.
_tls = TlsFiles(Path(__file__).parent / "instance" / "tls")
if _tls.are_there() and os.environ.get("TLS") != "0":
    certfile, keyfile = str(_tls.server), str(_tls.server_key)
    os.environ.setdefault("SESSION_COOKIE_SECURE", "1")


def post_worker_init(worker: object) -> None:
    """Settle down once the app is loaded."""
    collect_less_often()
    # Whoever saves asks the database a dozen times, and after each waits for a thread that makes a page to let go of
    # the interpreter: after the default's 5 ms that would add up.
    sys.setswitchinterval(0.0001)


def pre_request(worker: object, request: Any) -> None:
    """Close the connection behind the answer to a body that is refused anyhow: its bytes are waited for by nobody."""
    announced = next((value for name, value in request.headers if name == "CONTENT-LENGTH"), "")
    if announced.isdecimal() and int(announced) > LARGEST_ANNOUNCED:
        request.must_close = True


def when_ready(server: Any) -> None:
    """Start the one process that works outside requests, so that what it draws keeps no cook waiting."""
    limits = ((socket.SO_RCVTIMEO, PAUSE_S), (socket.SO_SNDTIMEO, _TAKES_SOMETHING_WITHIN_S))
    for listener in server.LISTENERS:  # what it accepts takes this over from it
        for option, seconds in limits:
            listener.sock.setsockopt(socket.SOL_SOCKET, option, struct.pack("ll", seconds, 0))
    _jobs.append(subprocess.Popen([sys.executable, "-m", "flask", "--app", "app", "jobs", "--forever"]))


def on_exit(server: object) -> None:
    """Stop it; were it left alone, it would end by itself."""
    for process in _jobs:
        process.terminate()
        process.wait(timeout=30)
