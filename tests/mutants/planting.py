"""Planting a change in a process that has loaded the program and collected its tests already."""

import functools
import gc
import sys
from collections.abc import Callable, Iterator
from importlib.machinery import SourceFileLoader
from types import CodeType, FunctionType

_Place = tuple[str, int]
_KEPT_BY_KIND = "once_a_kind.<locals>.Known"
"""What `app/kinds/form.py` keeps of a function of a kind; named, for the program is not to be loaded here."""


@functools.cache
def survey() -> tuple[dict[str, list[FunctionType]], list[Callable[[], object]]]:
    """Give what is loaded, before a child is made: functions by their file, and how to forget what is kept."""
    functions: dict[str, list[FunctionType]] = {}
    forgetting: list[Callable[[], object]] = []
    for one in gc.get_objects():
        if isinstance(one, FunctionType):
            functions.setdefault(one.__code__.co_filename, []).append(one)
        elif isinstance(one, functools._lru_cache_wrapper) and one.__wrapped__.__module__ != __name__:
            forgetting.append(one.cache_clear)
        elif type(one).__qualname__ == _KEPT_BY_KIND:
            forgetting.append(one.clear)
    return functions, forgetting


def plant(path: str, source: str) -> bool:
    """Give the functions of a loaded file the changed code; False where the change lies outside of functions.

    What is asked for and kept from before is forgotten.
    """
    changed = dict(_codes(compile(source, path, "exec")))
    planted = False
    functions, forgetting = survey()
    for function in functions.get(path, []):
        code = changed.get((function.__code__.co_qualname, function.__code__.co_firstlineno))
        if code is not None and code != function.__code__:
            function.__code__ = code
            planted = True
    for forget in forgetting:
        forget()
    return planted


def plant_before_loading(path: str, source: str) -> None:
    """Have the changed file loaded in the place of the one that lies there; nothing on disk changes."""
    known = SourceFileLoader.get_code

    def get_code(self: SourceFileLoader, fullname: str) -> CodeType | None:
        if self.path == path:
            return compile(source, path, "exec")
        return known(self, fullname)

    SourceFileLoader.get_code = get_code
    sys.dont_write_bytecode = True


def _codes(code: CodeType) -> Iterator[tuple[_Place, CodeType]]:
    """Give each function's code within a module's, by its name and line."""
    for one in code.co_consts:
        if isinstance(one, CodeType):
            yield (one.co_qualname, one.co_firstlineno), one
            yield from _codes(one)
