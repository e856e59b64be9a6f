"""SQL compiled once a worker: each test opens a database of its own, to which the same statements are sent."""

from typing import Any

from sqlalchemy import Engine, event

from app.db import transactions

_make_engine = transactions.make_engine
_first: dict[str, Engine] = {}
"""By kind of database the engine that was connected first: how it writes SQL, and what it has written, serve all."""


def share() -> None:
    """Let every database that is opened from now on use the SQL of the first of its kind."""
    transactions.make_engine = make_engine


def make_engine(url: str, *, may_create: bool = False) -> Engine:
    """Give an engine for a URL, as the program makes it."""
    engine = _make_engine(url, may_create=may_create)
    first = _first.get(engine.dialect.name)
    if first is None:
        event.listen(engine, "first_connect", lambda *_: _first.setdefault(engine.dialect.name, engine))
    else:
        shared: Any = engine
        shared.dialect, shared._compiled_cache = first.dialect, first._compiled_cache
    return engine
