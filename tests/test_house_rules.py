"""What no linter asks: that whoever silences one says why."""

import re
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
