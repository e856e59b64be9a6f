"""`sign`, `verify` and `log`."""

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from tests.support import cast
from tests.support.terminal import Terminal

DAY = "2026-04-14"


@pytest.fixture
def worked(kitchen: Terminal) -> Terminal:
    """A terminal at a kitchen with a cook, a note and nothing running."""
    kitchen.run("person", "S1", "kim", "Kim Cook", "--role", "cook", "--password-file", kitchen.password)
    for kind, code in (("oven", "east"), ("hot_unit", "pass"), ("probe", "blue")):
        kitchen.run("equipment", "S1", kind, code)
    _post(kitchen, cast.draft("note", at="11:00"))
    return kitchen


def _post(terminal: Terminal, *drafts: dict[str, Any]) -> None:
    headers = {"Authorization": f"Bearer {terminal.run('token', 'S1', 'kim').stdout.strip()}"}
    response = terminal.app.test_client().post("/api/v1/sites/S1/entries", json=list(drafts), headers=headers)
    assert [result["status"] for result in response.get_json()] == ["accepted"] * len(drafts)


def _sign(terminal: Terminal, day: str = DAY, *, login: str = "pat") -> Sequence[str]:
    return ("sign", "S1", day, "--login", login, "--password-file", terminal.password)


def test_a_day_is_signed_over_its_head(worked: Terminal) -> None:
    said = worked.run(*_sign(worked)).stdout
    assert re.fullmatch(rf"{DAY} is signed by Pat Porter over entry 12, record fingerprint [0-9a-f]{{64}}\.\n", said)
    assert worked.run("verify", "S1").stdout.startswith("S1: 13 entries, unbroken; record fingerprint ")


def test_what_stands_in_the_way_is_said_in_one_line(worked: Terminal) -> None:
    _post(worked, cast.draft("load_started", at="09:00"), cast.draft("spit_loaded", at="09:02"))
    said = worked.fail(*_sign(worked))
    assert "spit 1 of load A-L1" in said
    assert ".;" not in said


@pytest.mark.parametrize(("login", "words"), [("kim", "in charge"), ("nobody", "the password is wrong")])
def test_only_somebody_in_charge_signs(worked: Terminal, login: str, words: str) -> None:
    assert words in worked.fail(*_sign(worked, login=login))


@pytest.mark.parametrize("day", ["today", "2026-02-30", "20260414", "9999-12-31"])
@pytest.mark.parametrize("command", ["sign", "log"])
def test_a_day_that_is_no_date_is_refused(worked: Terminal, command: str, day: str) -> None:
    more = ("--output", "never.pdf") if command == "log" else ("--login", "pat", "--password-file", worked.password)
    assert DAY in worked.fail(command, "S1", day, *more)


def test_verify_walks_every_site(worked: Terminal) -> None:
    worked.init("S2")
    lines = worked.run("verify").stdout.splitlines()
    assert [line.partition(",")[0] for line in lines] == ["S1: 12 entries", "S2: 5 entries"]


def test_verify_names_the_first_broken_entry(worked: Terminal) -> None:
    _post(worked, cast.draft("note", at="11:01"), cast.draft("note", at="11:02"))
    _tamper(worked, "UPDATE entries SET person = 'pat' WHERE seq = 13")
    assert worked.fail("verify").startswith("S1 is broken at entry 13: ")


def test_verify_misses_entries_that_were_cut_off(worked: Terminal) -> None:
    _post(worked, cast.draft("note", at="11:01"))
    worked.run(*_sign(worked))
    _post(worked, cast.draft("note", at="11:03"), cast.draft("note", at="11:04"))
    _tamper(worked, "DELETE FROM entries WHERE seq > 15")
    assert worked.fail("verify").startswith("S1 is broken at entry 16: ")


def _tamper(terminal: Terminal, statement: str) -> None:
    with terminal.app.extensions["database"].engine.begin() as connection:
        if connection.dialect.name == "sqlite":
            for trigger in connection.execute(text("SELECT name FROM sqlite_master WHERE type = 'trigger'")).scalars():
                connection.execute(text(f"DROP TRIGGER {trigger}"))
        else:
            connection.execute(text("ALTER TABLE entries DISABLE TRIGGER USER"))
        connection.execute(text(statement))


def test_a_day_is_written_as_pdf(worked: Terminal) -> None:
    output = worked.folder / "log.pdf"
    output.write_bytes(b"yesterday's")
    worked.run("log", "S1", DAY, "--output", str(output))
    assert output.read_bytes().startswith(b"%PDF-1.7")
    assert [path.name for path in worked.folder.glob("*.part")] == []


def test_a_log_that_cannot_be_written_is_said_in_one_line(worked: Terminal) -> None:
    output = Path("no") / "such" / "folder.pdf"
    assert "no/such/folder.pdf" in worked.fail("log", "S1", DAY, "--output", str(output))


# ---- signed logs ----------------------------------------------------------------------------------------------------


def test_the_certificate_is_made_at_init_and_printed_to_be_hung_up(worked: Terminal) -> None:
    before = worked.run("verify", "S1").stdout
    first, until = worked.run("signing-certificate", "S1").stdout.splitlines()
    assert re.fullmatch(r"([0-9a-f]{4} ?){16}", first)
    assert until.startswith("It signs the logs of S1 until")
    assert worked.run("verify", "S1").stdout == before
    assert worked.run("signing-certificate", "S1", "--renew").stdout.splitlines()[0] != first


def test_a_backup_is_verified_as_a_file_that_is_only_read(worked: Terminal) -> None:
    file = worked.folder / "backup.db"
    worked.run("backup", str(file))
    before = file.read_bytes()
    assert worked.run("verify", "--file", str(file)).stdout == worked.run("verify").stdout
    assert [path.name for path in worked.folder.glob("backup*")] == ["backup.db"]
    assert file.read_bytes() == before


def test_everything_of_a_period_is_written_to_a_file(worked: Terminal) -> None:
    output = worked.folder / "period.zip"
    said = worked.run("archive", "S1", DAY, DAY, "--output", str(output)).stdout
    assert said == f"{output}: signed logs: 0. It carries entries of other days too.\n"
    assert output.read_bytes().startswith(b"PK")
    assert "2026-04-14" in worked.fail("archive", "S1", "2026-4-1", DAY, "--output", str(output))
