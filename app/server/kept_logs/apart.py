"""pyHanko runs an event loop of its own, and a thread that runs one already refuses a second."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import ParamSpec, TypeVar

_P = ParamSpec("_P")
_Made = TypeVar("_Made")


def run_apart(function: Callable[_P, _Made], *args: _P.args, **kwargs: _P.kwargs) -> _Made:
    """Call a function in a thread of its own and give what it gives, or raise what it raises."""
    with ThreadPoolExecutor(1) as threads:
        return threads.submit(function, *args, **kwargs).result()
