"""The documentation covers what there is: commands, settings, kinds of entries; and its links lead somewhere."""

import re
from pathlib import Path

import pytest
from flask import Flask

from app import create_app
from app.kinds import ALL_KINDS
from app.rules.day.registry import RULES
from app.rules.plans.settings import SETTINGS
from docs import list_access, list_entries, list_rules

ROOT = Path(__file__).parent.parent
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]


def words(*names: str) -> set[str]:
    """Give everything that stands in code marks in pages of docs/."""
    text = "\n".join((ROOT / "docs" / name).read_text("utf-8") for name in names)
    return {word for marked in re.findall(r"`([^`]+)`", text) for word in re.findall(r"[\w.-]+", marked)}


@pytest.fixture(scope="module")
def app() -> Flask:
    return create_app({"DATABASE_URL": "sqlite://", "SECRET_KEY": "docs"})


def test_every_command_is_described(app: Flask) -> None:
    own = {name for name, command in app.cli.commands.items() if command.callback.__module__.startswith("app.")}
    assert {"init", "verify", "demo"} <= own
    assert own <= words("commands.md")


@pytest.mark.parametrize("name", SETTINGS)
def test_every_setting_of_a_plan_is_described(name: str) -> None:
    assert name in words("rules.md", "plans.md", "commands.md")


def test_every_kind_of_entry_is_described_as_it_is() -> None:
    assert (ROOT / "docs" / "entries.md").read_text("utf-8") == list_entries.text()
    assert set(ALL_KINDS) <= words("entries.md")


@pytest.mark.parametrize("page", list_rules.PAGES)
def test_the_tables_of_rules_and_kinds_are_what_these_declare(page: str) -> None:
    text = (ROOT / "docs" / page).read_text("utf-8")
    assert text == list_rules.with_tables(text)
    assert set(RULES) <= words(page)


def test_who_may_do_what_is_described_as_it_is(app: Flask) -> None:
    assert (ROOT / "docs" / "access.md").read_text("utf-8") == list_access.text(app)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_lead_somewhere(page: Path) -> None:
    text = page.read_text("utf-8")
    links = re.findall(r"\]\(([^)#]+)[^)]*\)", text) + re.findall(r'src="([^"]+)"', text)
    missing = [link for link in links if "://" not in link and not (page.parent / link).exists()]
    assert missing == []


@pytest.mark.parametrize("name", ["security.md", "integrity.md"])
def test_every_test_that_holds_a_promise_is_there(name: str) -> None:
    text = (ROOT / "docs" / name).read_text("utf-8")
    named = re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", text)
    promises = [line for line in text.splitlines() if line.startswith("| ") and not line.startswith("| promise")]
    assert len(promises) > 10
    assert [line for line in promises if "`tests/" not in line] == []
    gone = [f"{file}::{test}" for file, test in named if f"def {test}(" not in _source(file)]
    assert gone == []


def _source(file: str) -> str:
    path = ROOT / file
    return path.read_text("utf-8") if path.exists() else ""


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_no_page_calls_food_safe(page: Path) -> None:
    said = re.findall(r"[^.\n]*\bsafe\b[^.\n]*", page.read_text("utf-8"), re.IGNORECASE)
    assert said == []


def paths_in(page: Path) -> list[str]:
    """Give the files and folders of the project that a page names in code marks, without those that stand for many."""
    marked = re.findall(r"`([^`\n]+)`", page.read_text("utf-8"))
    paths = [
        text for text in marked if re.fullmatch(r"(app|docs|templates|tests|demo_data|migrations)/[\w./*-]*", text)
    ]
    modules = [name.replace(".", "/") + ".py" for text in marked for name in re.findall(r"python -m (docs\.\w+)", text)]
    return [text for text in [*paths, *modules] if "SUBJECT" not in text]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_path_that_a_page_names_is_there(page: Path) -> None:
    assert [text for text in paths_in(page) if not list(ROOT.glob(text.rstrip("/")))] == []


def test_the_guide_names_paths() -> None:
    assert len(paths_in(ROOT / "DEVELOPERS.md")) > 30


def test_every_file_that_the_guide_names_without_its_folder_is_there() -> None:
    marked = re.findall(r"`([\w-]+\.(?:py|js|css|html|toml|md))`", (ROOT / "DEVELOPERS.md").read_text("utf-8"))
    there = {path.name for folder in ("app", "templates", "tests", "docs") for path in (ROOT / folder).rglob("*.*")}
    assert len(marked) > 15
    assert [name for name in marked if name not in {*there, *(path.name for path in ROOT.iterdir())}] == []


def test_every_name_that_the_guide_finds_in_a_file_is_there() -> None:
    guide = " ".join((ROOT / "DEVELOPERS.md").read_text("utf-8").split())
    named = re.findall(r"`(\w+)` (?:of|in) `([\w/]+\.py)`", guide)
    assert len(named) > 5
    assert [f"{name} in {file}" for name, file in named if not re.search(rf"\b{name}\b", _source(file))] == []
