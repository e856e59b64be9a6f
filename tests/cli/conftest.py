"""A terminal on an empty database of each kind."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from flask import Flask

from app.register import passwords
from tests.support.terminal import Terminal


@pytest.fixture
def terminal(
    empty_url: str,
    tmp_path: Path,
    set_clock: Callable[[datetime | str], None],
    make_app: Callable[..., Flask],
    monkeypatch: pytest.MonkeyPatch,
) -> Terminal:
    """A terminal at noon of the example day, before anything is set up; passwords are cheap to check."""
    set_clock("12:00")
    monkeypatch.setattr(passwords, "hasher", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
    return Terminal(make_app(empty_url), tmp_path)


@pytest.fixture
def kitchen(terminal: Terminal) -> Terminal:
    """A terminal once kitchen S1 is set up."""
    terminal.init()
    return terminal
