"""A terminal on an empty database of each kind."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from flask import Flask

from tests.support.terminal import Terminal


@pytest.fixture
def terminal(
    empty_url: str,
    tmp_path: Path,
    set_clock: Callable[[datetime | str], None],
    make_app: Callable[..., Flask],
) -> Terminal:
    """A terminal at noon of the example day, before anything is set up."""
    set_clock("12:00")
    return Terminal(make_app(empty_url), tmp_path)


@pytest.fixture
def kitchen(terminal: Terminal) -> Terminal:
    """A terminal once kitchen S1 is set up."""
    terminal.init()
    return terminal
