"""Passwords and PINs are checked a few at a time: each check is made to cost much, and a flood of them would slow
everybody down.

The few are those of all serving processes of a machine together: each holds one of as many lock files while it checks,
and the system lets go of it where a process is killed.
"""

import fcntl
import hashlib
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from threading import BoundedSemaphore, Event
from typing import IO

from flask import current_app, has_app_context

from app import clock

_FAILED_COSTS_S = 0.15
"""For how long a wrong try from an unknown place keeps its turn: so guesses take a part of a processor, never all."""
_PATIENCE_S = 10
_LOOKS_EVERY_S = 0.02
_NEVER = Event()
"""Never set: to wait for it is to pause."""


class TooManyAtOnce(Exception):
    """So many are being checked that this one was not: it can be tried again in a few seconds."""


class Turns:
    """How many checks run at once, and how many of this process may wait for a turn without holding up other requests.

    Turns of one `name` are those of every process of this machine over the same database.
    """

    def __init__(self, name: str, *, at_once: int, waiting: int) -> None:
        self._name, self._at_once = name, at_once
        self._running = BoundedSemaphore(at_once)
        self._admitted = BoundedSemaphore(at_once + waiting)

    @contextmanager
    def turn(self) -> Iterator[None]:
        """Check within it. Raises TooManyAtOnce where too many wait already, or this one waited too long."""
        if not self._admitted.acquire(blocking=False):
            raise TooManyAtOnce
        try:
            if not self._running.acquire(timeout=_PATIENCE_S):
                raise TooManyAtOnce
            try:
                with self._turn_of_machine():
                    yield
            finally:
                self._running.release()
        finally:
            self._admitted.release()

    @contextmanager
    def _turn_of_machine(self) -> Iterator[None]:
        with ExitStack() as opened:
            files = self._lock_files(opened)
            until = clock.running_s() + _PATIENCE_S
            while files and not any(map(_is_locked, files)):
                if clock.running_s() >= until:
                    raise TooManyAtOnce
                _NEVER.wait(_LOOKS_EVERY_S)
            yield

    def _lock_files(self, opened: ExitStack) -> list[IO[str]]:
        """Open as many as checks run at once; none where there is no app, or its folder takes no file: then the turns
        are those of this process, and nobody is kept from signing in."""
        if not has_app_context():
            return []
        folder = Path(current_app.instance_path)
        # One instance folder may serve several databases, as in tests.
        database = hashlib.sha256(str(current_app.config["DATABASE_URL"]).encode()).hexdigest()[:16]
        names = [f"hashing.{database}.{self._name}.{number}.lock" for number in range(self._at_once)]
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            return [opened.enter_context((folder / name).open("a")) for name in names]
        except OSError:
            return []


def _is_locked(file: IO[str]) -> bool:
    """Whether this process holds the lock of a file now, after a try; the others hold on to theirs."""
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


KNOWN = Turns("known", at_once=2, waiting=16)
"""For enrolled tablets, and browsers in which this person signed in before."""
STRANGERS = Turns("strangers", at_once=1, waiting=4)
"""For all others: one after the other, so that a flood of made-up names slows no cook down."""


def keep_turn_after_failure() -> None:
    """Wait a moment, within the turn of a try that failed."""
    _NEVER.wait(_FAILED_COSTS_S)
