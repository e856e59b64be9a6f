"""A clock that stands where a test sets it, for everything in this process that asks what time it is."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from types import ModuleType
from typing import Any

from freezegun import api, freeze_time
from freezegun.api import FrozenDateTimeFactory

_MEASURE_TIME = ["_pytest", "hypothesis", "playwright", "psycopg", "sqlalchemy", "werkzeug.serving"]
"""They ask how long something takes or may take, not what time it is."""

_NO_CLOCK = [
    *("PIL", "aiohttp", "alembic", "anyio", "cryptography", "fluids", "fontTools", "mako", "numpy", "packaging"),
    *("openapi_spec_validator", "pikepdf", "pydantic", "pygments", "pypdf", "requests", "schemathesis", "scipy"),
    *("urllib3", "weasyprint"),
]
"""Nothing a test looks at has its time from them. To look through their modules took half of the time of stopping the
clock, which thousands of tests do."""

_UNASKED = (*_MEASURE_TIME, *_NO_CLOCK)

_looked_through: dict[str, tuple[ModuleType, list[tuple[str, Any]]]] = {}
_without: dict[str, ModuleType] = {}
"""Modules that know no clock."""
_look_through = api._get_cached_module_attributes


def _names_of_the_clock(module: ModuleType) -> list[tuple[str, Any]]:
    """Give under which names a module knows the clock. Once it is loaded they stay; freezegun lists all names of each
    of a thousand modules whenever the clock is stopped, to see whether one is new."""
    known = _looked_through.get(module.__name__)
    if known is None or known[0] is not module:
        known = _looked_through[module.__name__] = (module, _look_through(module))
        if not known[1]:
            _without[module.__name__] = module
    return known[1]


class _Interpreter:
    """What freezegun sees of the interpreter: of thousands of loaded modules the few that may know the clock."""

    def __init__(self) -> None:
        self._modules: dict[str, ModuleType] = {}
        self._seen: object = None

    @property
    def modules(self) -> dict[str, ModuleType]:
        """The modules that know the clock, and those that were loaded since it was last stopped."""
        last = next(reversed(sys.modules))
        seen = len(sys.modules), len(_without), last, sys.modules.get(last)
        if seen != self._seen:
            loaded = list(sys.modules.items())
            self._modules = {
                name: module
                for name, module in loaded
                if _without.get(name) is not module and not name.startswith(_UNASKED)
            }
            self._seen = seen
        return self._modules


api._get_cached_module_attributes = _names_of_the_clock
api.sys = _Interpreter()  # type: ignore[attr-defined]  # its own look at the interpreter


@contextmanager
def stopped(at: datetime) -> Iterator[FrozenDateTimeFactory]:
    """Stop the clock at an instant; `move_to(instant)` of what is given sets it to another."""
    with freeze_time(at, ignore=list(_UNASKED), real_asyncio=True) as clock:
        assert isinstance(clock, FrozenDateTimeFactory)
        yield clock
