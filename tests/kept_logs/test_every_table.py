"""With the database file at hand: `verify` finds what was changed in a table, or it is decided here why it need not.

Everything is read from the tables' own metadata: a new table or column fails until somebody decides about it.
"""

import hashlib
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from flask import Flask
from sqlalchemy import Column, LargeBinary, String, Text

from app import create_app, ledger, register
from app.db import Base
from app.models import KeptPlan
from app.server import jobs
from app.server.kept_logs import sign_pdf
from tests.support import cast
from tests.support.clock import stopped
from tests.support.files import a_pdf
from tests.support.kept_days import KeptDays
from tests.support.terminal import Terminal
from tests.support.time_stamps import time_stamp_service

FOUND = "verify names it"

_NUMBER = "a number of its own, which no record names"
_LETS_IN = (
    "lets somebody in: whoever owns the database can, see docs/security.md; what they write is signed by its hash"
)
_NO_RECORD = "no record: nothing on a day or a log is taken from it"
_WORK = "work that is under way; what it makes is checked where it is kept"

DECIDED: dict[str, dict[str, str]] = {
    "entries": {"*": FOUND},
    "sites": {
        "*": FOUND,
        "bird_cost": "what a bird costs the house; no reading and no limit",
        "bird_currency": "as `bird_cost`",
        "skipped": _NO_RECORD,
        "alarm_mail_min": _NO_RECORD,
    },
    "people": {
        "*": FOUND,
        "id": _NUMBER,
        "password_hash": _LETS_IN,
        "pin_hash": _LETS_IN,
        "credentials_at": _LETS_IN,
        "told_at": _NO_RECORD,
    },
    "equipment": {"*": FOUND, "id": _NUMBER},
    "plans": {"*": FOUND},
    "plan_files": {"*": FOUND, "added_at": "the entry of the adoption says when"},
    "credentials": {"*": FOUND, "digest": _LETS_IN},
    "certificates": {"*": FOUND},
    "signing_keys": {"*": "without it a new certificate is made, which the ledger names"},
    "kept_logs": {"*": FOUND},
    "head_stamps": {"*": FOUND, "stamped_at": "the token says when, under its service's signature"},
    "kept_plans": {
        "*": "where a document is found; which version it is of stands in it, under its signature",
        "sha256": FOUND,
        "pdf": FOUND,
    },
    "entry_subjects": {"*": FOUND},
    "subject_spans": {"*": FOUND},
    "day_figures": {"*": FOUND, "basis": "figures of another basis are not believed, but made anew"},
    "figures_marks": {"*": "figures that are believed are made anew and compared, whatever it says"},
    "inspection_links": {"*": _LETS_IN},
    "inspection_uses": {"*": _NO_RECORD},
    "set_up_links": {"*": _LETS_IN},
    "sign_ins": {"*": _LETS_IN},
    "throttles": {"*": _LETS_IN},
    "phrases": {"*": _NO_RECORD},
    "mail_addresses": {"*": _NO_RECORD},
    "plan_drafts": {"*": _NO_RECORD},
    "jobs": {"*": _WORK},
    "drawings": {"*": _WORK},
    "plan_effects": {"*": _WORK},
    "write_checks": {"*": _NO_RECORD},
}

LATER = cast.moment("23:00") + timedelta(days=3)
_TABLES = Base.metadata.tables


def _names(table: str) -> list[str]:
    return [column.name for column in _TABLES[table].columns]


def decided(table: str, column: str) -> str:
    own = DECIDED[table]
    return own.get(column) or own["*"]


def test_somebody_decided_about_every_table_and_column() -> None:
    assert DECIDED.keys() == _TABLES.keys()
    named = {(table, column) for table, own in DECIDED.items() for column in own if column != "*"}
    assert named <= {(table, column) for table in _TABLES for column in _names(table)}


# ---- a kitchen of which everything is kept ---------------------------------------------------------------------------


@pytest.fixture(scope="module")
def whole(two_kitchens_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database in which every table that is checked has a row."""
    folder = tmp_path_factory.mktemp("whole")
    path = folder / "ledger.sqlite3"
    shutil.copyfile(two_kitchens_template, path)
    with stopped(cast.moment("19:00")) as clock, time_stamp_service(folder) as service:
        about = {"SECRET_KEY": "x", "SIGNING_PASSPHRASE": "x", "TIMESTAMP_URL": service.url}
        app = create_app({"DATABASE_URL": f"sqlite:///{path}", **about})
        with app.app_context():
            _fill(app, clock.move_to)
        app.extensions["database"].engine.dispose()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA journal_mode=DELETE")
    return path


def _fill(app: Flask, move_to: Callable[[datetime], None]) -> None:
    days, database, evening = KeptDays(app), app.extensions["database"], cast.moment("20:00")
    days.write(cast.DAY)
    with database.writing() as session:
        site = register.get_site(session, "S1")
        file = register.keep_file(
            session, site, a_pdf(), media_type="application/pdf", name="a.pdf", part="validation", at=evening
        )
        own = register.OwnWords(attachments=(file,))
        register.adopt_plan(session, site, None, {}, by=register.get_person(session, site, "pat"), own=own, at=evening)
    move_to(evening)
    days.keep(days.sign(cast.DAY), at=evening)
    while jobs.run_due(cast.moment("20:05"), ("outside",)):
        pass
    pdf = sign_pdf("S1", a_pdf(), at=evening)
    with database.writing() as session:
        about = {"site_id": register.get_site(session, "S1").id, "version": 1, "looks": 0}
        session.add(KeptPlan(**about, sha256=hashlib.sha256(pdf).hexdigest(), made_at=evening, pdf=pdf))
        past = ledger.past_days(session, "S1", cast.DAY, cast.DAY, as_of=LATER, at_most=9)
        assert past.update is not None
        ledger.keep_figures(session, "S1", past.update)


@pytest.fixture
def file(whole: Path, tmp_path: Path) -> Path:
    return Path(shutil.copyfile(whole, tmp_path / "changed.sqlite3"))


@pytest.fixture
def terminal(app_on: Callable[[str], Flask], file: Path, tmp_path: Path) -> Iterator[Terminal]:
    with stopped(LATER):
        yield Terminal(app_on(f"sqlite:///{file}"), tmp_path)


def change(file: Path, *statements: str) -> None:
    """Do to a file what its owner can do to it, without a trace in its guards."""
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA ignore_check_constraints=ON")
        guards = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _guard in guards:
            connection.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            assert connection.execute(statement).rowcount > 0, statement
        for _name, guard in guards:
            connection.execute(guard)
        connection.commit()


def other(column: Column[object]) -> str:
    """Give an expression in SQL for another value than a row has."""
    name = column.name
    if isinstance(column.type, LargeBinary):
        return f"CAST(substr({name}, 1, length({name}) - 1) || x'07' AS BLOB)"
    if isinstance(column.type, String | Text):
        return f"coalesce({name}, '') || 'x'"
    if column.type.python_type is bool:
        return f"1 - {name}"
    return f"date({name}, '-1 day')" if "date" in str(column.type).lower() else f"coalesce({name}, 0) + 100000"


def one_row(table: str, column: str = "NULL") -> str:
    """Give a condition that is true of one row of kitchen S1, where there is one with a value in the column."""
    key = ", ".join(column.name for column in _TABLES[table].primary_key)
    of_site = "site_id = 1" if "site_id" in _TABLES[table].columns else "id = 1"
    return f"({key}) = (SELECT {key} FROM {table} WHERE {of_site} ORDER BY {column} IS NULL, {key} LIMIT 1)"


_CHECKED = [(table, column) for table in _TABLES for column in _names(table) if decided(table, column) == FOUND]


def test_nothing_is_found_where_nothing_was_changed(terminal: Terminal) -> None:
    terminal.run("verify")


@pytest.mark.parametrize(("table", "column"), _CHECKED, ids=[".".join(one) for one in _CHECKED])
def test_another_value_in_a_row_is_found(terminal: Terminal, file: Path, table: str, column: str) -> None:
    change(
        file, f"UPDATE {table} SET {column} = {other(_TABLES[table].columns[column])} WHERE {one_row(table, column)}"
    )
    assert terminal.fail("verify")


_MADE_AGAIN = {"day_figures", "kept_plans"}
_NOT_MISSED = {"head_stamps"}
"""No entry says that a head was stamped: whoever removes a stamp is not found by it."""
_ROWS = sorted({table for table, _column in _CHECKED})


@pytest.mark.parametrize("table", [table for table in _ROWS if table not in _MADE_AGAIN | _NOT_MISSED])
def test_a_row_that_is_gone_is_found(terminal: Terminal, file: Path, table: str) -> None:
    change(file, f"DELETE FROM {table} WHERE {one_row(table)}")
    assert terminal.fail("verify")


def test_a_kitchen_whose_own_row_is_gone_is_named(terminal: Terminal, file: Path) -> None:
    change(file, "DELETE FROM sites WHERE code = 'S1'")
    assert "no kitchen any more: certificates, credentials, day_figures, entries" in terminal.fail("verify")


def test_the_newest_entries_cut_off_are_found_by_what_was_signed(terminal: Terminal, file: Path) -> None:
    cut = "seq > (SELECT max(covers_seq) FROM kept_logs)"
    change(file, f"DELETE FROM entries WHERE site_id = 1 AND {cut}")
    assert terminal.fail("verify")


_UNCHECKED = sorted({table for table in _TABLES if any(decided(table, column) != FOUND for column in _names(table))})


@pytest.mark.parametrize("table", _UNCHECKED)
def test_what_is_not_checked_changes_no_past_day(terminal: Terminal, file: Path, table: str) -> None:
    def read() -> str:
        with terminal.app.extensions["database"].reading() as session:
            return repr(ledger.assess_day(session, "S1", cast.DAY, as_of=cast.moment("21:00")))

    before = read()
    columns = [column for column in _TABLES[table].columns if decided(table, column.name) != FOUND]
    free = [column for column in columns if not column.primary_key and not column.foreign_keys]
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA ignore_check_constraints=ON")
        for column in free:
            connection.execute(f"UPDATE OR IGNORE {table} SET {column.name} = {other(column)}")
        connection.commit()
    assert read() == before
