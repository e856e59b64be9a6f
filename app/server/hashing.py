"""Passwords and PINs are checked a few at a time: each check is made to cost much, and a flood of them would slow
everybody down."""

from collections.abc import Iterator
from contextlib import contextmanager
from threading import BoundedSemaphore, Event

_FAILED_COSTS_S = 0.15
"""For how long a wrong try from an unknown place keeps its turn: so guesses take a part of a processor, never all."""
_PATIENCE_S = 10
_NEVER = Event()
"""Never set: to wait for it is to pause."""


class TooManyAtOnce(Exception):
    """So many are being checked that this one was not: it can be tried again in a few seconds."""


class Turns:
    """How many checks run at once in this process, and how many may wait for a turn without holding up other requests.

    Every serving process has its own.
    """

    def __init__(self, *, at_once: int, waiting: int) -> None:
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
                yield
            finally:
                self._running.release()
        finally:
            self._admitted.release()


KNOWN = Turns(at_once=2, waiting=16)
"""For enrolled tablets, and browsers in which this person signed in before."""
STRANGERS = Turns(at_once=1, waiting=4)
"""For all others: one after the other, so that a flood of made-up names slows no cook down."""


def keep_turn_after_failure() -> None:
    """Wait a moment, within the turn of a try that failed."""
    _NEVER.wait(_FAILED_COSTS_S)
