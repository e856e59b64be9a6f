"""Tests against planted changes: one process collects the tests once, and a child of it runs them for each change.

A child stops at the first test that fails. Its time is limited by what it computes, not by the clock on the wall, so
that a busy machine kills no change.
"""

import gc
import os
import resource
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from .planting import plant, plant_before_loading, survey
from .selection import ROOT, Mutant

_CASES = ("tests/rules",)
_SLOW = ("held_out", "test_properties")
"""Left out: what breaks there by a drawn example only is no case that names the reason."""

_NUMBERS = ("forecasts", "figures", "lethality", "saturation")
_OF_NUMBERS = ("forecast", "conduction", "saturation", "lethality", "control_chart", "cleared")
"""Tests that ask nothing of the rest of the rules, and one that takes long."""

_LEDGER = ("tests/ledger", "tests/test_permissions.py")
_LONG = ("test_reading", "test_day_figures", "test_processes", "test_any_draft", "test_posts", "postgresql")

_PLUGINS = ("randomly", "xdist", "cacheprovider", "terminal")
_ARGUMENTS = [argument for name in _PLUGINS[:3] for argument in ("-p", f"no:{name}")]
_SECONDS = 90
"""Of computing, for the tests of one change: several times what all of them take."""

_MEMORY = 4 * 2**30

Tell = Callable[[Mutant, bool], None]


@dataclass
class Round:
    """A pytest plugin that runs the collected tests once for each change instead of once."""

    mutants: Sequence[Mutant]
    tell: Tell
    until: float
    """On the monotonic clock: no change is planted after it."""
    left: list[Mutant] = field(default_factory=list)
    """What lies outside of functions, and wants the program loaded anew."""

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Run the tests without a change, which must pass; then with each."""
        survey()
        gc.collect()
        gc.freeze()  # what is loaded is not walked again in each child
        if self._failed(session, session.items, None):
            raise pytest.UsageError("the tests fail without any change: make test")
        for mutant in self.mutants:
            if time.monotonic() > self.until:
                break
            dead = self._failed(session, _nearest_first(session.items, mutant), mutant)
            if dead is None:
                self.left.append(mutant)
            else:
                self.tell(mutant, dead)
        return True

    def _failed(self, session: pytest.Session, items: Sequence[pytest.Item], mutant: Mutant | None) -> bool | None:
        """Whether a test fails in a child; None where the change could not be planted."""
        child = os.fork()
        if child == 0:
            _limit()
            if mutant and not plant(str(ROOT / mutant.path), mutant.source()):
                os._exit(_UNPLANTED)
            os._exit(_run(session, items))
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        return None if status == _UNPLANTED else status != 0


_UNPLANTED = 77


def run(mutants: Sequence[Mutant], *, tell: Tell, until: float) -> None:
    """Run the tests for each of these changes, all of one area; tell of each whether a test failed."""
    places, without = (_CASES, _SLOW) if mutants[0].path.startswith("app/rules") else (_LEDGER, _LONG)
    chosen = [*_ARGUMENTS, "-q", "-x", "-k", " and ".join(f"not {name}" for name in without), *places]
    one = Round(mutants, tell, until)
    _quietly(chosen, one)
    for mutant in one.left:
        if time.monotonic() > until:
            break
        tell(mutant, _fails_when_loaded(chosen, mutant))


def _fails_when_loaded(chosen: list[str], mutant: Mutant) -> bool:
    child = os.fork()
    if child == 0:
        _limit()
        plant_before_loading(str(ROOT / mutant.path), mutant.source())
        os._exit(_quietly(chosen))
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) != 0


def _quietly(chosen: list[str], *plugins: object) -> int:
    child_says = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(child_says, stream)
    return int(pytest.main(chosen, plugins=list(plugins)))


def _run(session: pytest.Session, items: Sequence[pytest.Item]) -> int:
    for item, following in zip(items, [*items[1:], None], strict=True):
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
        if session.testsfailed:
            return 1
    return 0


def _nearest_first(items: Sequence[pytest.Item], mutant: Mutant) -> list[pytest.Item]:
    """Put the tests that are named after the changed file first: most changes are noticed there."""
    stem = Path(mutant.path).stem
    if not any(place in mutant.path for place in _NUMBERS):
        items = [
            one for one in items if stem in one.path.stem or not any(place in one.path.stem for place in _OF_NUMBERS)
        ]
    return sorted(items, key=lambda item: stem not in item.path.stem)


def _limit() -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (_SECONDS, _SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
