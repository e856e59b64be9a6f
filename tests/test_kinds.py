"""Every kind of entry is known wherever kinds have to be known; what one lacks is named. A new one takes two files."""

from pathlib import Path

import pytest

from app.api.openapi import document
from app.kinds import KINDS, Entry
from app.kinds.every_entry import FORMS
from app.kinds.form import form_of
from app.kinds.permissions import writing
from app.words import fields as field_words
from app.words.kinds.saying import WORDS
from tests.support import checkout
from tests.support.ordinary import FIELDS as ORDINARY

ROOT = Path(__file__).parent.parent
ENTRIES = (ROOT / "docs" / "entries.md").read_text("utf-8")


def lacking(kind: type[Entry], *, openapi: str) -> list[str]:
    """Name what a kind lacks; nothing for one that is complete."""
    name, asked = kind.KIND, []
    fields = form_of(kind).all_fields()
    asked += [("words", kind in WORDS), ("docs/entries.md", f"`{name}`" in ENTRIES)]
    asked += [("ordinary entry for the tests", name in ORDINARY)]
    asked += [("form", name in FORMS), ("OpenAPI", f'"{name}"' in openapi), ("permission", bool(writing(name)))]
    asked += [(f"word of {field}", field in field_words._FIELDS) for field in fields]
    return [what for what, found in asked if not found]


@pytest.fixture(scope="module")
def openapi() -> str:
    return str(document()).replace("'", '"')


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS.keys())
def test_a_kind_is_complete(kind: type[Entry], openapi: str) -> None:
    assert lacking(kind, openapi=openapi) == []


def test_what_a_kind_lacks_is_named(openapi: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(WORDS, KINDS["note"])
    assert lacking(KINDS["note"], openapi=openapi) == ["words"]


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the project to which a kind is added by the project's own guide."""
    return checkout.copy_to(tmp_path_factory.mktemp("copy"))


CLASS = '''

@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GreaseEmptied(Entry):
    """The grease tray of an oven is emptied."""

    KIND = "grease_emptied"
    ABOUT = ("code", "oven")
    code: Annotated[str, Code(kinds=("oven",))]
    reason: Annotated[str | None, LINES] = None
'''
WORDING = """

from app.kinds.equipment import GreaseEmptied

@says(GreaseEmptied, N_("Grease tray emptied"))
def _grease_emptied(entry: GreaseEmptied, zone: ZoneInfo) -> str:
    return entry.reason or ""
"""
TEST = """
from app.api.openapi import document
from tests.support import cast
from tests.support.browsing import Browser


def test_it_is_written_and_shown_everywhere(cook: Browser, browser: Browser) -> None:
    page = cook.get("/write/grease_emptied").send(code="east", reason="Full to the brim")
    assert (page.path, page.status) == ("/", 200), page.words
    entries = cook.get("/entries")
    assert "Grease tray emptied" in entries.words and "Full to the brim" in entries.words
    pat = browser.sign_in("pat")
    day = pat.get(f"/day/{cast.DAY.isoformat()}")
    assert "Grease tray emptied: Full to the brim" in day.words
    assert "grease_emptied" in str(document())


def test_it_is_mended_by_its_own_form(cook: Browser) -> None:
    cook.get("/write/grease_emptied").send(code="east", reason="Full")
    page = cook.get("/entries").follow("Correct").send(reason="Half full", amend_reason="Looked again.")
    assert page.status == 200
    assert "Half full" in cook.get("/entries").words
"""


def test_a_kind_is_added_in_its_class_and_its_words(copy: Path) -> None:
    checkout.add(copy, {"app/kinds/equipment.py": CLASS, "app/words/kinds/equipment.py": WORDING})
    checkout.run_test(copy, "tests/web/test_grease_emptied.py", TEST)
