"""What many ask for at once is made once: whoever asks gets it from the records as they stood then, or later.

A making that began after somebody asked has seen whatever was acknowledged before: so all who wait share the next one.
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from threading import Condition, Lock
from typing import Generic, TypeVar, cast

from flask import current_app

from app import clock

_T = TypeVar("_T")

_REST = 1
"""While many wait, the next making begins after so many times as long as the last one took: the processor is for those
who write, and more of those who read share it. Longer, and all who waited come back at once, and write at once."""
_MANY = 4
_MOST_KEPT = 256


def shared(key: Hashable, *, is_current: Callable[[_T], bool], make: Callable[[], _T]) -> _T:
    """Give what is kept under a key while `is_current`, else what one of those who ask for it now makes.

    What is kept is of this process. Raises what `make` raises, to all who waited for it.
    """
    kept = current_app.extensions.setdefault("shared", _Kept())
    return cast(_Slot[_T], kept.slot(key)).get(is_current, make)


class _Kept:
    def __init__(self) -> None:
        self._lock, self._slots = Lock(), OrderedDict[Hashable, _Slot[object]]()

    def slot(self, key: Hashable) -> "_Slot[object]":
        with self._lock:
            found = self._slots.setdefault(key, _Slot())
            self._slots.move_to_end(key)
            while len(self._slots) > _MOST_KEPT:
                self._slots.popitem(last=False)
            return found


@dataclass(frozen=True, slots=True)
class _Made(Generic[_T]):
    """What a making gave: a value, or why there is none."""

    number: int
    values: tuple[_T, ...] = ()
    error: BaseException | None = None

    def get(self) -> _T:
        if self.error is not None:
            raise self.error
        return self.values[0]


class _Slot(Generic[_T]):
    """One thing that is made again and again, by one thread at a time."""

    def __init__(self) -> None:
        self._changed = Condition()
        self._begun, self._waiting, self._rests_until = 0, 0, 0.0
        self._is_being_made = False
        self._last: _Made[_T] = _Made(0)

    def get(self, is_current: Callable[[_T], bool], make: Callable[[], _T]) -> _T:
        with self._changed:
            found = self._wait(is_current)
            if found is None:
                self._begun += 1
                self._is_being_made = True
        return self._make(make) if found is None else found.get()

    def _wait(self, is_current: Callable[[_T], bool]) -> _Made[_T] | None:
        """Wait for what can be given; give None to the one who is to make it."""
        asked = self._begun
        self._waiting += 1
        try:
            while True:
                if self._last.number > asked or any(is_current(value) for value in self._last.values):
                    return self._last
                rest = self._rests_until - clock.running_s()
                if not self._is_being_made and rest <= 0:
                    return None
                self._changed.wait(None if self._is_being_made else rest)
        finally:
            self._waiting -= 1

    def _make(self, make: Callable[[], _T]) -> _T:
        start = clock.running_s()
        try:
            value = make()
        except BaseException as error:
            self._keep(_Made(self._begun, error=error), start)
            raise
        self._keep(_Made(self._begun, (value,)), start)
        return value

    def _keep(self, made: _Made[_T], start: float) -> None:
        with self._changed:
            self._last, self._is_being_made = made, False
            end = clock.running_s()
            self._rests_until = end + _REST * (end - start) if self._waiting >= _MANY else 0.0
            self._changed.notify_all()
