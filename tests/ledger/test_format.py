"""An outsider checks the chain with nothing but what docs/ledger-format.md says, and its few lines of Python."""

import hashlib
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from app import ledger
from tests.support import cast
from tests.support.ledger_kitchen import Kitchen, tray_filled

DOCUMENT = Path(__file__).parents[2] / "docs" / "ledger-format.md"


@pytest.fixture
def lines(sqlite_kitchen: Kitchen, tmp_path: Path) -> Path:
    """A ledger as it is handed out, with text that is not ASCII."""
    note = cast.draft("note", at="12:00", text="Käse «heiß» 🐔\nzwei")
    checks = cast.draft("load_started", at="09:00", load="A-L2", checks={"water": None, "grease": False})
    sqlite_kitchen.accept(*tray_filled(), note, checks)
    path = tmp_path / "ledger.ndjson"
    path.write_bytes(sqlite_kitchen.whole_ledger())
    return path


def check(path: Path) -> subprocess.CompletedProcess[str]:
    """Run the program of the document, alone: no site packages, none of our modules."""
    (program,) = re.findall(r"```python\n(.*?)```", DOCUMENT.read_text("utf-8"), re.DOTALL)
    command = [sys.executable, "-I", "-S", "-c", program, str(path)]
    return subprocess.run(command, cwd=path.parent, capture_output=True, text=True, check=False)


def test_an_honest_ledger_shows_its_fingerprint(lines: Path, sqlite_kitchen: Kitchen) -> None:
    with sqlite_kitchen.database.reading() as session:
        seq, fingerprint = ledger.head(session, "S1")
    run = check(lines)
    assert run.returncode == 0
    assert run.stdout == f"{seq} entries, unbroken; record fingerprint {fingerprint}\n"


def test_the_example_on_the_page_has_the_hash_that_the_page_says(tmp_path: Path) -> None:
    page = DOCUMENT.read_text("utf-8")
    (example,) = re.findall(r"```json\n(.*?)\n```", page, re.DOTALL)
    (own,) = re.findall(r"Its `hash` is `(\w+)`", page)
    path = tmp_path / "ledger.ndjson"
    path.write_text(json.dumps({**json.loads(example), "hash": own}), encoding="utf-8")
    assert check(path).stdout == f"1 entries, unbroken; record fingerprint {own}\n"
    assert hashlib.sha256(example.encode()).hexdigest() == own
    assert f"`{json.loads(example)['previous_hash']}`" in page


@pytest.mark.parametrize(
    ("old", "new", "seq"),
    [(b'"birds":5,"hot_unit"', b'"birds":4,"hot_unit"', 3), (b"zwei", b"drei", 4), (b'"seq":24', b'"seq":29', 2)],
)
def test_a_changed_ledger_is_found_broken(lines: Path, old: bytes, new: bytes, seq: int) -> None:
    content = lines.read_bytes()
    assert content.count(old) == 1
    lines.write_bytes(content.replace(old, new))
    run = check(lines)
    assert run.returncode == 1
    assert run.stderr == f"broken at entry {cast.nth(seq)}\n"


def test_a_missing_entry_is_found(lines: Path) -> None:
    kept = lines.read_bytes().splitlines(keepends=True)
    lines.write_bytes(b"".join(kept[:2] + kept[3:]))
    assert check(lines).stderr == "broken at entry 3\n"
