"""What set-up installs: every library at one version, each file of it known by its hash."""

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parent.parent
PURPOSES = {"run": (), "test": ("test",), "mutants": ("test", "mutants")}
"""Each list, and the extras of the project that it is for."""
_PIN = re.compile(r"^([A-Za-z0-9._-]+==[^\s;\\]+)", re.MULTILINE)

_HASHED = re.compile(r"\S+==\S+( ;[^\\]+)?( \\\n    --hash=sha256:[0-9a-f]{64})+")


def pins(text: str) -> set[str]:
    """Give every `name==version`."""
    return set(_PIN.findall(text))


def listed(purpose: str) -> str:
    return (ROOT / "requirements" / f"{purpose}.txt").read_text("utf-8")


@pytest.mark.parametrize("purpose", PURPOSES)
def test_every_library_is_pinned_with_hashes(purpose: str) -> None:
    blocks = re.split(r"\n(?=[A-Za-z0-9])", listed(purpose).strip())
    assert len(blocks) > 40
    unlike = [
        block
        for block in blocks
        if not re.fullmatch(r"\S+==\S+( ;[^\\]+)?( \\\n    --hash=sha256:[0-9a-f]{64})+", block)
    ]
    assert unlike == []


@pytest.mark.parametrize("purpose", PURPOSES)
def test_versions_are_those_of_the_constraints(purpose: str) -> None:
    assert pins(listed(purpose)) - pins((ROOT / "constraints.txt").read_text("utf-8")) == set()


def test_every_constraint_is_for_something() -> None:
    assert pins((ROOT / "constraints.txt").read_text("utf-8")) == pins(listed("mutants"))
    assert pins(listed("run")) < pins(listed("test")) < pins(listed("mutants"))


@pytest.mark.parametrize(("purpose", "extras"), PURPOSES.items())
def test_what_the_project_names_is_listed_at_a_version_that_it_takes(purpose: str, extras: tuple[str, ...]) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    optional = [line for extra in extras for line in project["optional-dependencies"][extra]]
    wanted = [Requirement(line) for line in (*project["dependencies"], *optional)]
    versions = [pin.split("==") for pin in pins(listed(purpose))]
    fits = {
        one.name
        for one in wanted
        for name, version in versions
        if canonicalize_name(name) == canonicalize_name(one.name) and version in one.specifier
    }
    assert fits == {one.name for one in wanted}


def test_no_list_names_where_its_files_come_from() -> None:
    files = [*(ROOT / "requirements").iterdir(), ROOT / "constraints.txt", ROOT / "setup.sh"]
    assert [file.name for file in files if re.search(r"://|--index|--find-links", file.read_text("utf-8"))] == []


def test_set_up_installs_nothing_without_its_hash() -> None:
    script = (ROOT / "setup.sh").read_text("utf-8").replace("\\\n", " ")
    commands = [
        line.strip()
        for line in script.splitlines()
        if "pip install" in line and not line.strip().startswith(("#", "fail"))
    ]
    assert len(commands) == 1
    assert '--require-hashes -r "requirements/$purpose.txt"' in re.sub(r"\s+", " ", commands[0])
