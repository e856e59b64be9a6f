"""What no linter asks: a reason for what silences one, no name for tests alone, names that say what is held."""

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
_SILENCED = re.compile(r"# (type: ignore|noqa|fmt: (off|skip))\S*( \S+)*?(?P<why>  # .+)?$")


@pytest.mark.parametrize("folder", ["app", "demo_data", "docs", "migrations", "tests"])
def test_what_silences_a_linter_says_why(folder: str) -> None:
    assert {place for path in (ROOT / folder).rglob("*.py") for place in _unexplained(path)} == set()


def test_one_without_a_reason_is_found(tmp_path: Path) -> None:
    planted = tmp_path / "planted.py"
    planted.write_text("import os  # no" + "qa: F401\nimport sys  # no" + "qa: F401  # kept for a doctest\n")
    assert [place.rpartition(":")[2] for place in _unexplained(planted)] == ["1"]


def _unexplained(path: Path) -> list[str]:
    """Give file and line of each that stands without a reason behind it or in a comment on the line above."""
    lines = path.read_text("utf-8").splitlines()
    found = [(number, _SILENCED.search(line)) for number, line in enumerate(lines)]
    return [
        f"{path}:{number + 1}"
        for number, silenced in found
        if silenced and not silenced["why"] and not lines[number - 1].lstrip().startswith("#")
    ]


_CALLED_BY_NAME = {
    "__html__": "Jinja",
    "__post_init__": "dataclasses",
    "exit_code": "click",
    "impl": "SQLAlchemy",
    "cache_ok": "SQLAlchemy",
    "process_bind_param": "SQLAlchemy",
    "process_result_value": "SQLAlchemy",
    **dict.fromkeys(("DIRECT_HEAT", "MOIST_COOKING", "LARGE_PRODUCT"), "a plan, by its value"),
    "DECLARING": "nobody: it keeps the imports that fill the registry of rules",
}
"""Names that stand once in the program, and who looks for them."""


def test_no_name_is_there_for_tests_only() -> None:
    read = Counter(word for text in _program_texts() for word in re.findall(r"\w+", text))
    unread = {name for path in (ROOT / "app").rglob("*.py") for name in _defined(path.read_text("utf-8"))}
    assert {name for name in unread if read[name] == 1} == set(_CALLED_BY_NAME)


def test_a_name_that_is_never_read_is_found() -> None:
    text = (
        "STEAM = 1\n\n\nclass Way:\n    name: str\n\n    def walk(self): ...\n\n    @property\n    def far(self): ...\n"
    )
    assert set(_defined(text)) == {"STEAM", "Way", "name", "walk"}


def _program_texts() -> Iterator[str]:
    """Give the text of all that runs in a kitchen or makes the project's documents."""
    places = (
        ("app", "*.py"),
        ("app", "*.toml"),
        ("templates", "*"),
        ("demo_data", "*"),
        ("docs", "*.py"),
        ("migrations", "*.py"),
    )
    paths = [path for folder, pattern in places for path in (ROOT / folder).rglob(pattern) if path.suffix != ".pyc"]
    for path in (*paths, ROOT / "gunicorn.conf.py"):
        if path.is_file():
            yield path.read_text("utf-8")


def _defined(source: str) -> Iterator[str]:
    """Give the names that a module defines; a decorated one is known to whatever decorates it."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.decorator_list:
            yield node.name
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            yield node.target.id
        elif isinstance(node, ast.Assign):
            yield from (target.id for target in node.targets if isinstance(target, ast.Name))


_NO_NOUNS = {"told", "meant"}
"""What a variable is not called: it says how its value came about, not what it holds. Published fields keep theirs."""


def test_a_variable_is_named_for_what_it_holds() -> None:
    found = [
        (path.name, name) for path in (ROOT / "app").rglob("*.py") for name in _local_names(path.read_text("utf-8"))
    ]
    assert [(file, name) for file, name in found if name in _NO_NOUNS] == []


def test_a_variable_that_is_not_is_found() -> None:
    assert set(_local_names("class Form:\n    told = 1\n\n\ndef f(meant):\n    told = 2\n")) == {"meant", "told"}
    assert set(_local_names("class Form:\n    told = 1\n")) == set()


def _local_names(source: str) -> Iterator[str]:
    """Give the names of arguments and of what is assigned inside functions."""
    for function in ast.walk(ast.parse(source)):
        if isinstance(function, ast.FunctionDef | ast.Lambda):
            for node in ast.walk(function):
                if isinstance(node, ast.arg):
                    yield node.arg
                elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
                    yield node.id
