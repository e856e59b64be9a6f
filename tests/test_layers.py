"""Who may import whom, and that only `app/clock.py` asks what time it is."""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
APP = ROOT / "app"

LIBRARIES: dict[str, set[str]] = {
    "rules": set(),
    "clock.py": set(),
    "db": {"sqlalchemy"},
    "models": {"sqlalchemy"},
    "schema.py": {"alembic"},
    "ledger": {"sqlalchemy"},
    "register": {"sqlalchemy", "argon2"},
}
"""What a layer may import beside Python's own library and `app`."""

_READS_THE_CLOCK = re.compile(
    r"(\w+\.)*((datetime|date)\.(now|utcnow|today)|func\.(now|current_\w+|localtime\w*|clock_timestamp))"
)

_LOAD_RULES = """
import importlib, pkgutil, sys
before = set(sys.modules)
import app.rules
for module in pkgutil.walk_packages(app.rules.__path__, "app.rules."):
    importlib.import_module(module.name)
loaded = {name.partition(".")[0] for name in set(sys.modules) - before} - set(sys.stdlib_module_names)
print(*(name for name in loaded if not name.startswith("_sysconfigdata_")))  # Python's own, named after the machine
"""


def test_every_import_follows_the_contract() -> None:
    run = subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-cache", "--no-logo"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stdout + run.stderr


@pytest.mark.parametrize("layer", LIBRARIES)
def test_a_layer_imports_no_other_library(layer: str) -> None:
    allowed = LIBRARIES[layer] | {"app"} | set(sys.stdlib_module_names)
    assert {(path, name) for path, name in _imports(APP / layer) if name not in allowed} == set()


def test_every_arrow_stands_in_the_table_of_the_guide() -> None:
    allowed = _table_of_the_guide()
    assert allowed.keys() == {
        path.stem for path in APP.iterdir() if path.suffix == ".py" or (path / "__init__.py").exists()
    } - {"__init__"}
    assert {(layer, other) for layer in allowed for other in _parts_taken(layer) - allowed[layer]} == set()


def test_rules_load_alone() -> None:
    run = subprocess.run([sys.executable, "-c", _LOAD_RULES], cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True)
    assert run.stdout.split() == ["app"]


def test_only_the_clock_reads_the_clock() -> None:
    sources = [path for folder in (APP, ROOT / "demo_data") for path in _modules(folder) if path.name != "clock.py"]
    assert [(path, call) for path in sources for call in _clock_calls(path)] == []


def test_what_tests_share_lies_in_one_place() -> None:
    found = [(str(path.relative_to(ROOT)), name) for path in _modules(ROOT / "tests") for name in _imported(path)]
    taken = [(path, name) for path, name in found if name.startswith("tests.")]
    assert [(path, name) for path, name in taken if not name.startswith(("tests.support", "tests.mutants"))] == []


def _table_of_the_guide() -> dict[str, set[str]]:
    """Give what each part of the program may take of the others, as DEVELOPERS.md says it."""
    guide = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    table = guide.partition("## Who may import whom")[2].split("```")[1]
    allowed: dict[str, set[str]] = {}
    for names, may in (re.split(r"  +", line) for line in table.strip().splitlines()):
        taken = {*allowed} if may.startswith("all of the above") else set(may.split(", ")) & {*allowed}
        allowed |= dict.fromkeys(names.split(", "), taken)
    return allowed


def _parts_taken(layer: str) -> set[str]:
    """Give the other parts of the program that one imports by their full names; within a part names are relative."""
    paths = [APP / f"{layer}.py"] if (APP / f"{layer}.py").exists() else _modules(APP / layer)
    names = [name.split(".") for path in paths for name in _imported(path)]
    return {name[1] for name in names if name[0] == "app" and len(name) > 1} - {layer}


def _imported(path: Path) -> Iterator[str]:
    """Give the modules and what is taken out of them, as dotted names."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom):
            yield from (f"{node.module}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)


def _clock_calls(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Call) and _READS_THE_CLOCK.fullmatch(ast.unparse(node.func)):
            yield ast.unparse(node)
        if isinstance(node, ast.Import | ast.ImportFrom) and "time" in _names(node):
            yield ast.unparse(node)


def _imports(place: Path) -> Iterator[tuple[str, str]]:
    for path in _modules(place):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import | ast.ImportFrom):
                yield from ((str(path.relative_to(ROOT)), name.partition(".")[0]) for name in _names(node))


def _names(node: ast.Import | ast.ImportFrom) -> set[str]:
    """Give the modules that an import names; a relative one is within `app`."""
    if isinstance(node, ast.ImportFrom):
        return {"app" if node.level else str(node.module)}
    return {alias.name for alias in node.names}


def _modules(place: Path) -> list[Path]:
    return [place] if place.suffix == ".py" else sorted(place.rglob("*.py"))
