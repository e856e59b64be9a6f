"""`backup` and `restore`, from either database into either database."""

import json
import sqlite3
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from subprocess import Popen

import pytest
from flask import Flask

from app import ledger, models
from app.server import kept_logs
from tests.support import cast
from tests.support.terminal import Terminal

ROOT = Path(__file__).parents[2]


@pytest.fixture
def worked(kitchen: Terminal) -> Terminal:
    """A terminal at a kitchen with two notes."""
    headers = _token(kitchen)
    drafts = [cast.draft("note", at="11:00"), cast.draft("note", at="11:01", text="Ünïcödé ✓")]
    kitchen.app.test_client().post("/api/v1/sites/S1/entries", json=drafts, headers=headers)
    return kitchen


@pytest.fixture(params=["sqlite", "postgresql"])
def other(request: pytest.FixtureRequest, tmp_path: Path, make_app: Callable[..., Flask]) -> Terminal:
    """A terminal on another database, of either kind, with only tables in it."""
    if request.param == "sqlite":
        url = f"sqlite:///{tmp_path / 'other.db'}"
    else:
        url = request.getfixturevalue("postgresql_database").engine.url.render_as_string(hide_password=False)
    return Terminal(make_app(url), tmp_path)


def _token(terminal: Terminal) -> dict[str, str]:
    return {"Authorization": f"Bearer {terminal.run('token', 'S1', 'pat').stdout.strip()}"}


def _lines(terminal: Terminal, headers: dict[str, str]) -> list[bytes]:
    body: bytes = terminal.app.test_client().get("/api/v1/sites/S1/ledger", headers=headers).data
    return body.splitlines()


def test_a_backup_restores_everything(worked: Terminal, other: Terminal) -> None:
    headers, file = _token(worked), str(worked.folder / "backup.db")
    assert worked.run("backup", file).stdout == f"{file} is written and its chain is unbroken.\n"
    assert other.run("restore", file).stdout == f"{file} is restored and its chain is unbroken.\n"
    assert _lines(other, headers) == _lines(worked, headers) != []
    assert other.run("plan", "S1").stdout == worked.run("plan", "S1").stdout


def test_a_backup_while_somebody_writes_loses_nothing_that_was_acknowledged(worked: Terminal, other: Terminal) -> None:
    headers, file = _token(worked), str(worked.folder / "backup.db")
    command = [sys.executable, "-m", "tests.support.writer", worked.app.config["DATABASE_URL"], "busy", "100000"]
    with Popen(command, cwd=ROOT) as writer:
        try:
            before = _grown(worked, writer, over=100)
            worked.run("backup", file)
            after = _grown(worked, writer, over=_head(worked))  # it went on all the while
        finally:
            writer.kill()
    assert other.run("restore", file).stdout == f"{file} is restored and its chain is unbroken.\n"
    other.run("verify")
    saved = _lines(other, headers)
    assert before <= len(saved) < after
    assert saved == _lines(worked, headers)[: len(saved)]


def _head(terminal: Terminal) -> int:
    with terminal.app.extensions["database"].reading() as session:
        return ledger.head(session, "S1")[0]


def _grown(terminal: Terminal, writer: "Popen[bytes]", *, over: int) -> int:
    """Wait until more entries are acknowledged; give how many."""
    while (head := _head(terminal)) <= over:
        assert writer.poll() is None
    return head


def test_a_restored_database_is_written_on(worked: Terminal, other: Terminal) -> None:
    file = str(worked.folder / "backup.db")
    worked.run("backup", file)
    other.run("restore", file)
    other.init("S2")
    headers = _token(other)
    reply = other.app.test_client().post(
        "/api/v1/sites/S1/entries", json=[cast.draft("note", at="11:02")], headers=headers
    )
    assert reply.get_json()[0]["seq"] == 10
    assert json.loads(_lines(other, headers)[-1])["via"] == "token:2"
    other.run("verify")


def test_a_backup_is_one_private_file(worked: Terminal) -> None:
    file = worked.folder / "backup.db"
    worked.run("backup", str(file))
    assert sorted(path.name for path in worked.folder.glob("backup*")) == ["backup.db"]
    assert file.stat().st_mode & 0o777 == 0o600


def test_a_backup_never_overwrites(worked: Terminal) -> None:
    file = worked.file("backup.db", "precious")
    assert "exists already" in worked.fail("backup", file)
    assert Path(file).read_text("utf-8") == "precious"


def test_a_backup_that_fails_leaves_nothing(terminal: Terminal) -> None:
    file = terminal.folder / "backup.db"
    assert "un the command init, or demo, first." in terminal.fail("backup", str(file))
    assert not file.exists()


def test_a_backup_into_no_folder_is_said_in_one_line(worked: Terminal) -> None:
    assert "No such file or directory" in worked.fail("backup", "no/such/folder.db")


def test_a_database_that_holds_a_site_is_not_restored_into(worked: Terminal) -> None:
    file = str(worked.folder / "backup.db")
    worked.run("backup", file)
    assert "holds a site already" in worked.fail("restore", file)


@pytest.mark.parametrize("content", [b"", b"SQLite format 3", b"%PDF-1.7 nothing of ours", b"SQLite format 3\x00" * 99])
def test_what_is_no_backup_is_refused(terminal: Terminal, content: bytes) -> None:
    file = terminal.folder / "backup.db"
    file.write_bytes(content)
    assert "is not a backup of this program" in terminal.fail("restore", str(file))


def test_another_programs_database_is_refused(terminal: Terminal) -> None:
    file = terminal.folder / "backup.db"
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("CREATE TABLE sites (id INTEGER)")
    assert "is not a backup of this program" in terminal.fail("restore", str(file))


def test_a_backup_of_nothing_is_refused(terminal: Terminal) -> None:
    file = terminal.folder / "backup.db"
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("VACUUM")
        connection.execute("PRAGMA user_version = 1")
    assert "holds no site" in terminal.fail("restore", str(file))


def test_a_missing_backup_is_said_in_one_line(terminal: Terminal) -> None:
    assert terminal.fail("restore", "no-such-file.db") == "no-such-file.db: No such file or directory"


def test_a_broken_ledger_is_backed_up_but_told(worked: Terminal, make_app: Callable[..., Flask]) -> None:
    file = worked.folder / "backup.db"
    worked.run("backup", str(file))
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("DROP TRIGGER IF EXISTS entries_no_update")
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute("UPDATE entries SET person = 'sam' WHERE seq = 1")
        connection.commit()
    said = Terminal(make_app(f"sqlite:///{file}"), worked.folder).fail("backup", str(worked.folder / "second.db"))
    assert said.endswith("entry 1 of S1 is broken in it, as in the database.")
    assert (worked.folder / "second.db").exists()


# ---- signed logs ----------------------------------------------------------------------------------------------------


@pytest.fixture
def signed(worked: Terminal) -> Terminal:
    """A terminal at a kitchen whose day was signed and whose log is kept."""
    with worked.app.app_context():
        database = worked.app.extensions["database"]
        pat = ledger.Caller("pat", "Pat Porter", "in_charge", "session", signing=True)
        at = cast.moment("12:00")
        with database.writing() as session:
            shown = ledger.head(session, "S1")
            seq = kept_logs.sign_day(session, "S1", cast.DAY, by=pat, at=at, shown=shown).seq
        assert seq is not None
        kept_logs.keep("S1", seq, at=at)
    return worked


def test_kept_logs_are_in_a_backup_and_the_key_is_not(signed: Terminal, other: Terminal) -> None:
    file = signed.folder / "backup.db"
    signed.run("backup", str(file))
    with signed.app.extensions["database"].reading() as session:
        pdf = session.query(models.KeptLog.pdf).scalar()
        locked = session.query(models.SigningKey.locked).scalar()
    content = file.read_bytes()
    assert locked[100:160] not in content
    assert b"ENCRYPTED PRIVATE KEY" not in content
    other.run("restore", str(file))
    with other.app.extensions["database"].reading() as session:
        assert session.query(models.KeptLog.pdf).scalar() == pdf
        assert session.query(models.SigningKey).all() == []
        assert session.query(models.Certificate).count() == 1
    assert "unbroken" in other.run("verify").stdout


def test_a_restored_kitchen_signs_with_a_new_certificate(signed: Terminal, other: Terminal) -> None:
    file = str(signed.folder / "backup.db")
    signed.run("backup", file)
    other.run("restore", file)
    with other.app.app_context():
        renewed = kept_logs.identity_of("S1", at=cast.moment("12:00")).fingerprint
    with signed.app.app_context():
        assert kept_logs.identity_of("S1", at=cast.moment("12:00")).fingerprint != renewed
    assert "unbroken" in other.run("verify").stdout
