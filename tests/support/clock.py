"""A clock that stands where a test sets it, for everything in this process that asks what time it is."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from freezegun import freeze_time
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


@contextmanager
def stopped(at: datetime) -> Iterator[FrozenDateTimeFactory]:
    """Stop the clock at an instant; `move_to(instant)` of what is given sets it to another."""
    with freeze_time(at, ignore=_MEASURE_TIME + _NO_CLOCK, real_asyncio=True) as clock:
        assert isinstance(clock, FrozenDateTimeFactory)
        yield clock
