"""Looking at a file that anybody sent, in a process of its own, one at a time on this machine."""

import json
import subprocess
import sys
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from flask_babel import gettext as _

from .. import hashing
from . import check_one
from .check_one import Answer

TooManyAtOnce = hashing.TooManyAtOnce

_COMMAND = (sys.executable, "-I", str(Path(check_one.__file__)))
_PATIENCE_S = 2 * check_one.PROCESSOR_S
_TURNS = hashing.Turns("files", at_once=1, waiting=2)

_NOTHING = Answer(faults=[], fingerprint="", is_intact=False, signed_at=None, stamped_at=None)


def check_bounded(content: bytes, certificates: Iterable[str]) -> Answer:
    """Say what a file is, given the fingerprints of the certificates that sign here.

    Raises TooManyAtOnce where others wait already.
    """
    with _TURNS.turn():
        found = _checked(content, certificates)
    return found or replace(_NOTHING, faults=[_("Reading it takes more memory or time than a log does.")])


def _checked(content: bytes, certificates: Iterable[str]) -> Answer | None:
    command = (*_COMMAND, *certificates)
    try:
        run = subprocess.run(command, input=content, capture_output=True, timeout=_PATIENCE_S, check=True)
    except (subprocess.TimeoutExpired, subprocess.CalledProcessError):
        return None
    found = json.loads(run.stdout)
    lists = {"head": found["head"] and tuple(found["head"]), "entries": tuple(map(tuple, found["entries"]))}
    return Answer(**{**found, **lists})
