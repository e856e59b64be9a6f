"""Everything of a period in one file: what is in it, and that it is checked without the program."""

import csv
import io
import json
import subprocess
import sys
import zipfile
from collections.abc import Callable
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from flask import Flask

from app import ledger
from app.server.kept_logs.archive import write_archive
from tests.support import cast, page_verifier
from tests.support.drafts import keep
from tests.support.kept_days import KeptDays

SetClock = Callable[[datetime | str], None]
DAYS = [cast.DAY + timedelta(days=number) for number in range(3)]


@pytest.fixture
def archived(house: Flask, set_clock: SetClock, tmp_path: Path) -> Path:
    """The archive of the first two of three signed days, unpacked; a note would be run by a spreadsheet."""
    days, database = KeptDays(house), house.extensions["database"]
    keep(database, cast.draft("note", at="18:00", text="=1+1"), at="19:00")
    for day in DAYS:
        set_clock(cast.moment("19:00", day=day))
        days.write(day)
        set_clock(cast.moment("20:00", day=day))
        days.keep(days.sign(day), at=cast.moment("20:00", day=day))
    file = io.BytesIO()
    with database.reading() as session:
        assert write_archive(session, "S1", DAYS[0], DAYS[1], file) == 2
    zipfile.ZipFile(file).extractall(tmp_path / "archive")
    return tmp_path / "archive"


def test_its_records_are_an_unbroken_run_that_the_logs_agree_with(archived: Path) -> None:
    entries = [json.loads(line) for line in (archived / "records.jsonl").read_text("utf-8").splitlines()]
    assert all(page_verifier.own_hash(entry) == entry["hash"] for entry in entries)
    assert all(later["previous_hash"] == before["hash"] for before, later in pairwise(entries))
    held = {entry["seq"]: entry["hash"] for entry in entries}
    logs = [page_verifier.records_of(path.read_bytes()) for path in sorted((archived / "logs").iterdir())]
    assert [log["day"] for log in logs] == [day.isoformat() for day in DAYS[:2]]
    assert all(held[entry["seq"]] == entry["hash"] for log in logs for entry in log["run"]["entries"])
    assert [entry["kind"] for entry in entries].count("log_kept") == 2


def test_the_table_has_every_entry_and_nothing_that_a_spreadsheet_runs(archived: Path) -> None:
    text = (archived / "records.csv").read_text("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert len(rows) == len((archived / "records.jsonl").read_text("utf-8").splitlines())
    assert not any(cell.startswith(("=", "+", "-", "@")) for row in rows for cell in row.values())


def test_it_holds_plan_certificate_and_what_checks_it(archived: Path) -> None:
    (plan,) = json.loads((archived / "plans.json").read_text("utf-8"))
    assert plan["values"]["cook_core"]["value"] == "165F/74C"
    (certificate,) = (archived / "certificates").iterdir()
    command = [sys.executable, "-I", archived / "check_logs.py", archived / "logs", "--fingerprint", certificate.stem]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
    readme = (archived / "README.txt").read_text("utf-8")
    assert "python check_logs.py logs --fingerprint" in readme
    assert "entries of other days" in readme


def test_a_period_without_a_signed_day_has_its_entries_alone(house: Flask, set_clock: SetClock) -> None:
    KeptDays(house).write(cast.DAY)
    file = io.BytesIO()
    with house.extensions["database"].reading() as session:
        assert write_archive(session, "S1", cast.DAY, cast.DAY, file) == 0
        head = ledger.head(session, "S1")[0]
    lines = zipfile.ZipFile(file).read("records.jsonl").splitlines()
    assert [json.loads(line)["seq"] for line in lines] == list(range(cast.nth(1), head + 1))


def test_signed_days_without_a_log_are_named(house: Flask, set_clock: SetClock) -> None:
    days = KeptDays(house)
    set_clock("19:00")
    days.write(cast.DAY)
    set_clock("20:00")
    days.sign(cast.DAY)
    file = io.BytesIO()
    with house.extensions["database"].reading() as session:
        write_archive(session, "S1", cast.DAY, cast.DAY, file)
    readme = zipfile.ZipFile(file).read("README.txt").decode()
    assert f"Signed, but no log was made of it yet: {cast.DAY.isoformat()}." in readme
