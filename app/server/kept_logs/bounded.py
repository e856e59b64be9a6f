"""Looking at a file that anybody sent, in a process of its own, one at a time on this machine."""

import hashlib
import json
import subprocess
import sys
from datetime import datetime
from pathlib import Path
from typing import Any

from flask_babel import gettext as _

from .. import hashing
from . import check_logs, check_one

TooManyAtOnce = hashing.TooManyAtOnce

_COMMAND = (sys.executable, "-I", str(Path(check_one.__file__)))
_PATIENCE_S = 2 * check_one.PROCESSOR_S
_TURNS = hashing.Turns("files", at_once=1, waiting=2)


def check_bounded(content: bytes) -> check_logs.Log:
    """Give what `check_logs.check_file` gives. Raises TooManyAtOnce where others wait already."""
    with _TURNS.turn():
        found = _checked(content)
    if found is None:
        log = check_logs.Log("", hashlib.sha256(content).hexdigest())
        log.faults.append(_("Reading it takes more memory or time than a log does."))
        return log
    for name in ("signed_at", "stamped_at"):
        found[name] = found[name] and datetime.fromisoformat(found[name])
    return check_logs.Log(**found)


def _checked(content: bytes) -> dict[str, Any] | None:
    try:
        run = subprocess.run(_COMMAND, input=content, capture_output=True, timeout=_PATIENCE_S, check=True)
    except (subprocess.TimeoutExpired, subprocess.CalledProcessError):
        return None
    found: dict[str, Any] = json.loads(run.stdout)
    return found
