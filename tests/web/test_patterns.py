"""The page of all parts: whoever changes a part sees it there, in its states."""

import re
from pathlib import Path

import pytest
from jinja2.runtime import Macro

from app.db import Database
from tests.support.browsing import Browser

_PARTS = Path(__file__).parent.parent.parent / "templates" / "_parts"
_MACRO = re.compile(r"\{%-? macro (?!_)(\w+)\(")


@pytest.fixture
def shown(database: Database, browser: Browser, monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """The parts that are on the page, whoever put them there: the page itself, its frame, or another part."""
    invoke, called = Macro._invoke, set[str]()

    def note(macro: Macro, arguments: list[object], autoescape: bool) -> str:
        called.add(macro.name)
        return invoke(macro, arguments, autoescape)

    monkeypatch.setattr(Macro, "_invoke", note)
    assert browser.sign_in("pat").get("/patterns").status == 200
    return called


@pytest.mark.parametrize("path", sorted(_PARTS.glob("*.html")), ids=lambda path: path.stem)
def test_every_part_is_on_the_page_of_all_parts(shown: set[str], path: Path) -> None:
    assert set(_MACRO.findall(path.read_text("utf-8"))) - shown == set()


def test_the_parts_are_those_that_the_pages_share() -> None:
    """So that the search finds what it is to find."""
    found = {name for path in _PARTS.glob("*.html") for name in _MACRO.findall(path.read_text("utf-8"))}
    assert {"row", "job_line", "time_line", "save_bar", "do_bar", "who_form"} <= found
