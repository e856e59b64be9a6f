"""What goes wrong under a running server: nothing acknowledged is lost, readers read on, and every answer says why."""

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import psycopg
import pytest
from flask import Flask
from sqlalchemy import exc

from app import ledger, schema
from app.db import Database, opening
from app.server import health
from app.server.outages import Outage, outage_of
from app.words import outage_page_words, outage_to_do_words, outage_words
from tests.support import cast, postgres
from tests.support.api import Api, is_problem
from tests.support.browsing import Browser
from tests.support.small_disk import SmallDisk, mounted
from tests.support.terminal import Terminal

SetClock = Callable[[str], None]
NOON = "2026-04-14T17:00:00.000Z"


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[SmallDisk]:
    """A disk of 8 megabytes."""
    with mounted(tmp_path / "disk", megabytes=8) as small:
        yield small


@pytest.fixture
def app(
    disk: SmallDisk,
    two_kitchens_template: Path,
    make_app: Callable[..., Flask],
    set_clock: SetClock,
    monkeypatch: pytest.MonkeyPatch,
) -> Flask:
    """Two kitchens on that disk, at noon; every question for the server's health is answered by a write."""
    monkeypatch.setattr(health, "_COUNTS_FOR", health._COUNTS_FOR * 0)
    set_clock("12:00")
    shutil.copyfile(two_kitchens_template, disk.folder / "ledger.db")
    return make_app(f"sqlite:///{disk.folder / 'ledger.db'}", TESTING=True)


@pytest.fixture
def api(app: Flask) -> Api:
    return Api(app.test_client())


@pytest.fixture
def browser(app: Flask) -> Browser:
    """The cook, signed in while all was well."""
    return Browser(app.test_client()).sign_in("cook")


def healthz(app: Flask) -> tuple[int, str]:
    answer = app.test_client().get("/healthz")
    return answer.status_code, answer.text


def note(text: str = "fine") -> dict[str, object]:
    return cast.draft("note", at="11:00", text=text)


def nothing_is_saved(app: Flask, api: Api, browser: Browser, what: str, tmp_path: Path) -> None:
    """Hold that each way in says what is wrong and keeps nothing, and that what was written can be read."""
    before = len(api.lines())
    form = browser.get("/write/note")
    assert form.status == 200
    page = form.send(text="A fuse blew.")
    assert (page.status, page.words.count(what)) == (503, 1)
    assert "Nothing was saved." in page.words
    assert "paper" in page.words
    assert "text A fuse blew." in page.words
    again = page.send(form.path)
    assert (again.status, "A fuse blew." in again.words) == (503, True)  # as often as it takes
    answer = api.post([note()])
    assert is_problem(answer, 503)
    assert what in answer.get_json(force=True)["detail"]
    assert answer.headers["Retry-After"] == "10"
    assert healthz(app) == (503, f"{what}\n")
    said = Terminal(app, tmp_path).fail("equipment", "S1", "oven", "north")
    assert said.startswith(what)
    assert len(api.lines()) == before
    assert browser.get("/entries").status == 200
    assert api.get("S1/days/2026-04-14").status_code == 200
    assert api.get("S1/days/2026-04-14/log.pdf", by="pat").data.startswith(b"%PDF-")


def test_what_was_typed_is_sent_again_from_the_page_that_says_so(
    app: Flask, api: Api, browser: Browser, disk: SmallDisk, monkeypatch: pytest.MonkeyPatch, set_clock: SetClock
) -> None:
    monkeypatch.setattr(opening, "_PATIENCE_S", 0.2)
    page = browser.get("/write/note")
    with closing(sqlite3.connect(disk.folder / "ledger.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        refused = page.send(text="<A fuse> blew.", note="At the west oven.")
        other.execute("ROLLBACK")
    assert "Nothing that you typed is lost" in refused.words
    set_clock("12:07")
    for _tap in range(2):
        assert refused.send(page.path).status == 200
    (line,) = [json.loads(line) for line in api.lines()]
    assert (line["text"], line["note"], line["observed_at"]) == ("<A fuse> blew.", "At the west oven.", NOON)


def test_a_secret_is_not_written_into_the_page_of_an_outage(
    app: Flask, disk: SmallDisk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening, "_PATIENCE_S", 0.2)
    pat = Browser(app.test_client()).sign_in("pat")
    form = pat.get("/account").form("/password")
    with closing(sqlite3.connect(disk.folder / "ledger.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        secrets = {name: "a secret of pat" for name in form.names if "password" in name or name == "again"}
        answer = pat.client.post(form.action, data=form.with_typed(dict(secrets)))
        other.execute("ROLLBACK")
    assert secrets
    assert "a secret of pat" not in answer.text


def test_a_signature_in_an_outage_shows_nothing_that_nobody_typed(
    app: Flask, disk: SmallDisk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening, "_PATIENCE_S", 0.2)
    pat = Browser(app.test_client()).sign_in("pat")
    token = pat.get("/account").form("/password").with_typed({})["csrf_token"]
    sent = {"csrf_token": token, "seq": "35", "hash": "ab" * 32, "username": "pat", "password": cast.PASSWORD}
    with closing(sqlite3.connect(disk.folder / "ledger.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        text = pat.client.post(f"/day/{cast.DAY}/sign", data=sent).text
        other.execute("ROLLBACK")
    assert "Only the password or PIN is typed again then." in text
    assert 'class="typed"' not in text
    assert f'name="hash" value="{"ab" * 32}"' in text  # it is sent again all the same


def all_is_well(app: Flask, api: Api) -> None:
    """Hold that a cook can write again without anybody starting anything anew, and that the chain is whole."""
    assert api.post([note()]).get_json()[0]["status"] == "accepted"
    assert healthz(app) == (200, "ok\n")
    with app.extensions["database"].reading() as session:
        assert ledger.verify(session, "S1") is None


def test_a_full_disk(app: Flask, api: Api, browser: Browser, disk: SmallDisk, tmp_path: Path) -> None:
    api.keep(note())
    assert healthz(app) == (200, "ok\n")
    with disk.full():
        kept = fill_up(api)
        nothing_is_saved(app, api, browser, "The disk of the server is full.", tmp_path)
        assert len(api.lines()) == 1 + kept
    all_is_well(app, api)


def fill_up(api: Api) -> int:
    """Write until nothing fits any more; give how many entries were acknowledged."""
    for number in range(10_000):
        answer = api.post([note("x" * 900)])
        if answer.status_code != 200:
            assert answer.status_code == 503
            return number
        assert answer.get_json()[0]["status"] == "accepted"
    raise AssertionError("the disk never filled")


def test_a_disk_that_has_become_read_only(
    app: Flask, api: Api, browser: Browser, disk: SmallDisk, tmp_path: Path
) -> None:
    api.keep(note())
    app.extensions["database"].engine.dispose()
    with disk.read_only():
        nothing_is_saved(app, api, browser, "The disk of the server cannot be written to.", tmp_path)
        app.extensions["database"].engine.dispose()
    all_is_well(app, api)


def test_a_file_that_may_only_be_read_is_opened_again_once_it_may_be_written(
    app: Flask, api: Api, browser: Browser, disk: SmallDisk, tmp_path: Path
) -> None:
    api.keep(note())
    app.extensions["database"].engine.dispose()
    with disk.read_only_file("ledger.db"):
        nothing_is_saved(app, api, browser, "The disk of the server cannot be written to.", tmp_path)
    all_is_well(app, api)


_NOT_THERE = "The file of the records is not there, or cannot be opened."


def test_a_file_that_was_moved_away_and_back(app: Flask, api: Api, disk: SmallDisk, tmp_path: Path) -> None:
    api.keep(note())
    file, aside = disk.folder / "ledger.db", disk.folder / "aside.db"
    file.rename(aside)
    for _client in range(2):  # what is open keeps nothing in a file that nobody finds again
        answer = api.post([note()])
        assert is_problem(answer, 503)
        assert f"{_NOT_THERE} Nothing was kept" in answer.get_json(force=True)["detail"]
    assert healthz(app) == (503, f"{_NOT_THERE}\n")
    page = app.test_client().get("/signin")
    assert (page.status_code, f"{_NOT_THERE} Nothing was saved." in page.text) == (503, True)
    said = Terminal(app, tmp_path).fail("verify")
    assert said.startswith(f"{_NOT_THERE} Put it where DATABASE_URL says; for a new kitchen run")
    assert not file.exists()
    aside.rename(file)
    all_is_well(app, api)
    assert len(api.lines()) == 2


def test_another_process_lays_no_empty_file_where_one_was_moved_away(app: Flask, api: Api, disk: SmallDisk) -> None:
    api.keep(note())
    file, aside = disk.folder / "ledger.db", disk.folder / "aside.db"
    file.rename(aside)
    command = [sys.executable, "-m", "flask", "--app", "app", "verify"]
    environment = {**os.environ, "DATABASE_URL": app.config["DATABASE_URL"]}
    assert _NOT_THERE in subprocess.run(command, env=environment, capture_output=True, text=True, check=False).stderr
    assert not file.exists()
    assert (disk.folder / "ledger.db-wal").stat().st_size > 0
    aside.rename(file)
    all_is_well(app, api)
    assert len(api.lines()) == 2


def test_a_file_that_another_takes_the_place_of_is_left(
    app: Flask, api: Api, disk: SmallDisk, two_kitchens_template: Path
) -> None:
    api.keep(note())
    app.extensions["database"].engine.dispose()
    api.keep(note())
    restored = Path(shutil.copyfile(two_kitchens_template, disk.folder / "restored.db"))
    for beside in ("ledger.db-wal", "ledger.db-shm"):
        (disk.folder / beside).unlink(missing_ok=True)
    restored.rename(disk.folder / "ledger.db")
    all_is_well(app, api)
    assert len(api.lines()) == 1


def test_a_file_that_another_program_holds(
    app: Flask, api: Api, browser: Browser, disk: SmallDisk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening, "_PATIENCE_S", 0.2)  # a cook is given longer; the answer is the same
    monkeypatch.setattr(health, "_PATIENCE_S", 0.2)
    api.keep(note())
    with closing(sqlite3.connect(disk.folder / "ledger.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        nothing_is_saved(app, api, browser, "Another program on the server holds the records.", tmp_path)
        other.execute("ROLLBACK")
    all_is_well(app, api)


def test_a_damaged_file(app: Flask, api: Api, disk: SmallDisk) -> None:
    api.keep(note())
    app.extensions["database"].engine.dispose()
    (disk.folder / "ledger.db").write_bytes(b"x" * 8192)
    (disk.folder / "ledger.db-wal").unlink(missing_ok=True)
    assert is_problem(api.post([note()]), 503)
    assert healthz(app) == (503, "The disk of the server, or the file of the records on it, is damaged.\n")


def test_a_database_of_another_version(app: Flask, disk: SmallDisk) -> None:
    with closing(sqlite3.connect(disk.folder / "ledger.db")) as other, other:
        other.execute("UPDATE alembic_version SET version_num = '2026_11_26_roles'")
    assert healthz(app) == (503, "The records of this server are of another version of the program.\n")


def test_the_health_check_writes_no_entry_and_not_for_every_question(
    app: Flask, api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.undo()
    before = len(api.lines())
    assert healthz(app) == (200, "ok\n")
    monkeypatch.setattr(health, "_write", lambda _now: pytest.fail("written again"))
    assert healthz(app) == (200, "ok\n")
    assert len(api.lines()) == before


@contextmanager
def postgresql_kitchen(make_app: Callable[..., Flask]) -> Iterator[tuple[Flask, str]]:
    with postgres.running_server() as server:
        url = server.format("postgres")
        schema.upgrade(url)
        database = Database(url)
        with database.writing() as session:
            cast.make_site(session)
            cast.make_other_site(session)
        database.engine.dispose()
        yield make_app(url, TESTING=True), url


def test_a_database_server_that_is_stopped_and_started_again(
    make_app: Callable[..., Flask], set_clock: SetClock, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(health, "_COUNTS_FOR", health._COUNTS_FOR * 0)
    set_clock("12:00")
    with postgresql_kitchen(make_app) as (app, url):
        api = Api(app.test_client())
        api.keep(note("before"))
        with postgres.stopped(url):
            answer = api.post([note()])
            assert is_problem(answer, 503)
            assert "The database does not answer. Nothing was kept" in answer.get_json(force=True)["detail"]
            assert healthz(app) == (503, "The database does not answer.\n")
            page = app.test_client().get("/signin")
            assert (page.status_code, "The database does not answer. Nothing was saved." in page.text) == (503, True)
            said = Terminal(app, tmp_path).fail("verify")
            assert said.startswith("The database does not answer. Start it again, or set DATABASE_URL right.")
        all_is_well(app, api)
        assert len(api.lines()) == 2


def test_a_site_that_another_program_holds_on_postgresql(
    make_app: Callable[..., Flask], set_clock: SetClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening, "_PATIENCE_S", 1)
    monkeypatch.setattr(health, "_PATIENCE_S", 1)
    set_clock("12:00")
    with postgresql_kitchen(make_app) as (app, url):
        api, plain = Api(app.test_client()), url.replace("+psycopg", "")
        with psycopg.connect(plain) as other:
            other.execute("SELECT * FROM sites FOR UPDATE")
            assert is_problem(api.post([note()]), 503)
            assert healthz(app) == (503, "Another program on the server holds the records.\n")
            assert api.get("S1/days/2026-04-14").status_code == 200
        all_is_well(app, api)


def test_a_migration_that_is_cut_in_the_middle_leaves_the_database_as_it_was(empty_url: str) -> None:
    """The process is killed between two of its statements."""
    code = (
        "import os, sys\n"
        "from alembic import op\n"
        "from app import schema\n"
        "left = int(sys.argv[2])\n"
        "made = op.create_table\n"
        "def create(*args, **given):\n"
        "    global left\n"
        "    left -= 1\n"
        "    if left == 0:\n"
        "        os.kill(os.getpid(), 9)\n"
        "    return made(*args, **given)\n"
        "op.create_table = create\n"
        "schema.upgrade(sys.argv[1])\n"
    )
    for left in (2, 9):
        command = [sys.executable, "-c", code, empty_url, str(left)]
        cut = subprocess.run(command, check=False, cwd=Path(__file__).parent.parent, capture_output=True)
        assert cut.returncode == -9, cut.stderr
    schema.upgrade(empty_url)
    database = Database(empty_url)
    with database.writing() as session:
        cast.make_site(session)
        assert schema.is_current(session.connection())
    database.engine.dispose()


@pytest.mark.parametrize("outage", Outage)
def test_every_outage_is_said(outage: Outage) -> None:
    said = {outage_words(outage), outage_to_do_words(outage), outage_page_words(outage)}
    assert len(said) == 3
    assert all(one.endswith(".") and str(outage) not in one.split() for one in said if outage not in ("full", "away"))


def test_a_mistake_of_ours_is_no_outage() -> None:
    assert outage_of(exc.IntegrityError("INSERT", {}, sqlite3.IntegrityError("UNIQUE"))) is None
    assert outage_of(exc.ProgrammingError("SELEC", {}, sqlite3.ProgrammingError("syntax"))) is None
