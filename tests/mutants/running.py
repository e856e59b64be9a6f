"""Tests against planted changes: one process collects the tests once, and a child of it runs them for each change.

A child stops at the first test that fails. Its time is limited by what it computes, not by the clock on the wall, so
that a busy machine kills no change.
"""

import gc
import mmap
import os
import resource
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from typing import NamedTuple

import pytest

from .explained import ROOT
from .planting import plant, plant_before_loading, survey
from .selection import Mutant

_CASES = ("tests/rules",)
_DRAWN = ("properties",)
"""Left out: what breaks there by a drawn example only is no case that names the reason."""

_NEAR = {
    "exposure": ("one_time_out", "mixed_trays", "holding", "time_control", "prepared"),
    "tray_exposure": ("one_time_out", "mixed_trays", "holding", "time_control"),
    "parts": ("mixed_trays", "holding", "one_time_out"),
    "cooling_stages": ("cooling", "prepared"),
    "time_start": ("time_control",),
    "scope": ("cleared",),
    "food_reach": ("cleared",),
}
"""Which tests are about a file that none is named after."""

_NUMBERS = ("forecasts", "figures", "lethality", "saturation")
_OF_NUMBERS = (
    *("forecast", "conduction", "estimates", "cook_records", "saturation", "lethality"),
    *("control_chart", "falling", "trends"),
)
"""Tests that ask nothing of the rest of the rules."""
_LONGEST = "test_forecast_held_out"
"""Forecasts of what they have not seen: asked about forecasts alone, and last."""
_AGAIN_AND_AGAIN = "test_what_a_mending_cleared_is_what_judging_all_of_the_day_says"
"""It takes a fifth of all the time, holds one judgement against another, and tells of `cleared` alone."""

_AT_LOADING = ("app/rules/day/registry.py", "app/rules/plans/")
"""Where rules are declared, and plans are read."""

_LEDGER = ("tests/ledger", "tests/test_permissions.py")
_LONG = ("test_reading", "test_day_figures", "test_processes", "test_any_draft", "test_posts", "postgresql")

_ARGUMENTS = [argument for name in ("randomly", "xdist", "cacheprovider") for argument in ("-p", f"no:{name}")]
_SECONDS_OF_A_TEST, _SECONDS_OF_ALL = 10, 90
"""Of computing: several times what the longest test and all of them take."""

_MEMORY = 4 * 2**30
_FORK = get_context("fork")

Tell = Callable[[Mutant, str | None], None]


class Answer(NamedTuple):
    """Whether a change could be planted in what is loaded, and the first test that noticed it."""

    planted: bool
    noticed_by: str | None


def run(mutants: Sequence[Mutant], *, tell: Tell, until: float) -> None:
    """Run the tests for each of these changes, all of one area; tell of each which test noticed it, or None.

    What lies outside of functions wants the program loaded anew. So does a function that does its work while the
    program is loaded, before it is said that nothing notices its change.
    """
    places, without = (_CASES, _DRAWN) if mutants[0].area == "rules" else (_LEDGER, _LONG)
    chosen = [*_ARGUMENTS, "-q", "-x", "-k", " and ".join(f"not {name}" for name in without), *places]
    ours, theirs = _FORK.Pipe()
    loaded = _FORK.Process(target=_quietly, args=(chosen, Round(theirs)))
    loaded.start()
    theirs.close()
    for mutant in mutants:
        if time.monotonic() > until:
            break
        ours.send((mutant.path, mutant.source()))
        answer: Answer = ours.recv()
        if answer.noticed_by is None and (not answer.planted or mutant.path.startswith(_AT_LOADING)):
            answer = Answer(True, _noticed_when_loaded(chosen, mutant))
        tell(mutant, answer.noticed_by)
    ours.send(None)
    loaded.join()


@dataclass
class Round:
    """A pytest plugin that runs the collected tests once for each change that it is sent, instead of once."""

    connection: Connection
    noticed: dict[str, list[pytest.Item]] = field(default_factory=dict)
    """By file the tests that noticed a change of it, the latest first: they are likely to notice the next."""

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Run the tests without a change, which must pass; then with each."""
        survey()
        gc.collect()
        gc.freeze()  # what is loaded is not walked again in each child
        failing = _answer(session, [one for one in session.items if one.path.stem != _LONGEST], None).noticed_by
        if failing is not None:
            raise pytest.UsageError(f"the tests fail without any change: {failing}")
        for path, source in iter(self.connection.recv, None):
            first = self.noticed.setdefault(path, [])
            items = [*first, *(one for one in _nearest_first(session.items, path) if one not in first)]
            answer = _answer(session, items, (path, source))
            self.connection.send(answer)
            found = [one for one in items if one.nodeid == answer.noticed_by]
            self.noticed[path] = [*found, *(one for one in first if one not in found)]
        return True


def _answer(session: pytest.Session, items: Sequence[pytest.Item], change: tuple[str, str] | None) -> Answer:
    """Run tests in a child, with a changed file or as the program is."""
    place = mmap.mmap(-1, 8)
    child = os.fork()
    if child == 0:
        resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
        if change is not None and not plant(str(ROOT / change[0]), change[1]):
            os._exit(_UNPLANTED)
        os._exit(_run(session, items, place))
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    if status == _UNPLANTED:
        return Answer(False, None)
    return Answer(True, items[int.from_bytes(place[:], "big")].nodeid if status else None)


_UNPLANTED = 77


def _run(session: pytest.Session, items: Sequence[pytest.Item], place: mmap.mmap) -> int:
    """Run tests until one fails; what is running stands in `place`."""
    for number, (item, following) in enumerate(zip(items, [*items[1:], None], strict=True)):
        place[:] = number.to_bytes(8, "big")
        used = resource.getrusage(resource.RUSAGE_SELF)
        _limit(int(used.ru_utime + used.ru_stime) + _SECONDS_OF_A_TEST)
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
        if session.testsfailed:
            return 1
    return 0


def _noticed_when_loaded(chosen: list[str], mutant: Mutant) -> str | None:
    """Run tests in a process that loads the changed program."""
    child = os.fork()
    if child == 0:
        _limit(_SECONDS_OF_ALL)
        plant_before_loading(str(ROOT / mutant.path), mutant.source())
        os._exit(_quietly(chosen, NearestFirst(mutant.path)))
    return "loaded anew" if os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) else None


@dataclass
class NearestFirst:
    """A pytest plugin that runs the tests in the order, and of the choice, that a changed file asks for."""

    path: str

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Put the tests about the file first, and leave those out that are not about it."""
        items[:] = _nearest_first(items, self.path)


def _quietly(chosen: list[str], *plugins: object) -> int:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    return int(pytest.main(chosen, plugins=list(plugins)))


def _nearest_first(items: Sequence[pytest.Item], path: str) -> list[pytest.Item]:
    """Put the tests about the changed file first: most changes are noticed there."""
    near = _NEAR.get(Path(path).stem, (Path(path).stem,))
    is_near = {one: any(name in one.path.stem for name in near) for one in items}
    left_out = () if any(place in path for place in _NUMBERS) else _OF_NUMBERS
    asked = [one for one in items if is_near[one] or not any(name in one.path.stem for name in left_out)]
    asked = [one for one in asked if is_near[one] or one.name != _AGAIN_AND_AGAIN]
    asked = [one for one in asked if "forecasts" in path or one.path.stem != _LONGEST]
    return sorted(asked, key=lambda one: (one.path.stem == _LONGEST, one.name == _AGAIN_AND_AGAIN, not is_near[one]))


def _limit(seconds: int) -> None:
    """End this process once it has computed for so long."""
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, resource.RLIM_INFINITY))
