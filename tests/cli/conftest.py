"""A terminal on an empty database of each kind."""

from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest
from argon2 import PasswordHasher

from app import create_app
from app.register import passwords
from tests.cli.asking import Terminal


@pytest.fixture
def terminal(
    empty_url: str, tmp_path: Path, set_clock: Callable[[datetime | str], None], monkeypatch: pytest.MonkeyPatch
) -> Iterator[Terminal]:
    """A terminal at noon of the example day, before anything is set up; passwords are cheap to check."""
    set_clock("12:00")
    monkeypatch.setattr(passwords, "hasher", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
    app = create_app({"DATABASE_URL": empty_url, "SECRET_KEY": "only for tests"})
    yield Terminal(app, tmp_path)
    app.extensions["database"].engine.dispose()


@pytest.fixture
def kitchen(terminal: Terminal) -> Terminal:
    """A terminal once kitchen S1 is set up."""
    terminal.init()
    return terminal
