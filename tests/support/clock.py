"""A clock that stands where a test sets it, for everything in this process that asks what time it is."""

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

_looked_through: dict[str, tuple[ModuleType, list[tuple[str, Any]]]] = {}
_look_through = api._get_cached_module_attributes


def _names_of_the_clock(module: ModuleType) -> list[tuple[str, Any]]:
    """Give under which names a module knows the clock. Once it is loaded they stay; freezegun lists all names of each
    of a thousand modules whenever the clock is stopped, to see whether one is new."""
    known = _looked_through.get(module.__name__)
    if known is None or known[0] is not module:
        known = _looked_through[module.__name__] = (module, _look_through(module))
    return known[1]


api._get_cached_module_attributes = _names_of_the_clock


@contextmanager
def stopped(at: datetime) -> Iterator[FrozenDateTimeFactory]:
    """Stop the clock at an instant; `move_to(instant)` of what is given sets it to another."""
    with freeze_time(at, ignore=_MEASURE_TIME + _NO_CLOCK, real_asyncio=True) as clock:
        assert isinstance(clock, FrozenDateTimeFactory)
        yield clock
