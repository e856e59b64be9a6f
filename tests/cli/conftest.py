"""A terminal on an empty database of each kind, and one on a kitchen that is set up."""

import shutil
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from flask import Flask
from sqlalchemy import make_url

from tests.support import postgres
from tests.support.terminal import Terminal


@pytest.fixture
def terminal(
    empty_url: str,
    tmp_path: Path,
    set_clock: Callable[[datetime | str], None],
    app_on: Callable[[str], Flask],
) -> Terminal:
    """A terminal at noon of the example day, before anything is set up."""
    set_clock("12:00")
    return Terminal(app_on(empty_url), tmp_path)


@pytest.fixture
def kitchen(
    terminal: Terminal, empty_url: str, set_up: dict[str, str], tmp_path_factory: pytest.TempPathFactory
) -> Terminal:
    """A terminal once kitchen S1 is set up: by the first test of a worker, copied for the others."""
    kind = make_url(empty_url).get_backend_name()
    copy = _copy_file if kind == "sqlite" else postgres.copy
    if kind in set_up:
        copy(set_up[kind], empty_url)
    else:
        terminal.init()
        terminal.app.extensions["database"].engine.dispose()
        name = str(tmp_path_factory.mktemp("kitchen") / "kitchen.sqlite3") if kind == "sqlite" else "kitchen_set_up"
        set_up[kind] = make_url(empty_url).set(database=name).render_as_string()
        copy(empty_url, set_up[kind])
    return terminal


@pytest.fixture(scope="session")
def set_up() -> dict[str, str]:
    """The URL of a database of each kind in which kitchen S1 is set up, once it is."""
    return {}


def _copy_file(url: str, copied_url: str) -> None:
    """Make the file of a SQLite database hold what another's holds."""
    shutil.copyfile(url.removeprefix("sqlite:///"), copied_url.removeprefix("sqlite:///"))
