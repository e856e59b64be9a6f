"""A copy of the project to which something is added by the project's own guide, and a test of it run there."""

import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

ROOT = Path(__file__).parents[2]

COPIED = (
    *("app", "demo_data", "templates", "docs", "migrations", "tests/support"),
    *("tests/web/conftest.py", "tests/conftest.py", "alembic.ini", "pyproject.toml", "babel.cfg"),
)


def copy_to(folder: Path) -> Path:
    """Copy what serving, the documents and a test of a page need."""
    for name in COPIED:
        source, target = ROOT / name, folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        if source.is_dir():
            shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__", "*.sqlite*", "pictures"))
        else:
            shutil.copyfile(source, target)
    return folder


def copy_all_to(folder: Path) -> Path:
    """Copy all that git knows, as it stands here."""
    listed = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    names = subprocess.run(listed, cwd=ROOT, capture_output=True, check=True, text=True).stdout
    for name in filter(None, names.split("\0")):
        if (ROOT / name).exists():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, folder / name)
    return folder


def add(checkout: Path, additions: Mapping[str, str]) -> None:
    """Write text at the end of files."""
    for name, text in additions.items():
        path = checkout / name
        path.write_text(path.read_text("utf-8") + text, "utf-8")


def run(checkout: Path, *arguments: str) -> None:
    """Run Python in the copy; what it prints is the message of the failure."""
    command = [sys.executable, *arguments]
    done = subprocess.run(command, cwd=checkout, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr[-2000:]


def run_test(checkout: Path, name: str, text: str) -> None:
    """Put a test into the copy and run it there."""
    (checkout / name).write_text(text, "utf-8")
    run(checkout, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", name)
