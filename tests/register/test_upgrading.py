"""A database from before the register was in the ledger is upgraded: no past day reads otherwise or becomes stale.

`old_kitchen.sqlite3.xz` was written by the program as it was then: three plan versions, a retired probe, a cold unit
listed on the third day, a person who signed and was demoted later. `old_kitchen.json` is what that program said of its
days.
"""

import json
import lzma
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from app import ledger, register, schema
from app.db import Database
from app.ledger.appending import context
from app.rules.day.shown import Assessment
from app.rules.plans import plan
from tests.support import cast
from tests.support.ledger_kitchen import COOK

_HERE = Path(__file__).parent
BEFORE: dict[str, Any] = json.loads((_HERE / "old_kitchen.json").read_text("utf-8"))
NOW = cast.moment("12:00", day=cast.DAY + timedelta(days=7))
OLD_HEAD = 100


@contextmanager
def old_database(folder: Path) -> Iterator[Database]:
    """Give the old database with the tables of today, its register not yet in the ledger."""
    path = folder / "old.sqlite3"
    path.write_bytes(lzma.decompress((_HERE / "old_kitchen.sqlite3.xz").read_bytes()))
    schema.upgrade(f"sqlite:///{path}")
    database = Database(f"sqlite:///{path}")
    yield database
    database.engine.dispose()


@pytest.fixture
def old(tmp_path: Path) -> Iterator[Database]:
    """The old database before its upgrade."""
    with old_database(tmp_path) as database:
        yield database


@pytest.fixture(scope="module")
def upgraded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    """The old database, upgraded."""
    with old_database(tmp_path_factory.mktemp("old")) as database:
        with database.writing() as session:
            assert register.write_down(session, at=NOW) == ["S1"]
        yield database


def said(day: Assessment) -> dict[str, Any]:
    """Give what an assessment says, as far as it was written down before."""
    return {
        "plan": day.plan.version,
        "ready_to_sign": day.ready_to_sign,
        "signed": None if day.signed is None else [day.signed.seq, day.signed.stale, day.signed.by_maker],
        "findings": [
            [f.key, str(f.verdict), str(f.status), str(f.concerns), f.source, {k: str(v) for k, v in f.limit.items()}]
            for f in day.findings
        ],
        "cleared": [[item.finding.key, str(item.finding.status)] for item in day.cleared],
        "own": sorted(key for key, answers in day.answers.items() if answers.by_author),
        "spits": [[load.load, str(spit.verdict)] for load in day.loads for spit in load.spits],
        "trays": [[tray.tray, str(tray.verdict), tray.out_of_temperature_s] for tray in day.trays],
        "probes": [[probe.probe, str(probe.verdict), str(probe.error)] for probe in day.probes],
        "cold_units": [[unit.unit_code, str(unit.verdict), unit.checks] for unit in day.cold_units],
    }


@pytest.mark.parametrize("day", BEFORE)
def test_no_past_day_reads_otherwise(upgraded: Database, day: str) -> None:
    with upgraded.reading() as session:
        assert said(ledger.assess_day(session, "S1", date.fromisoformat(day), as_of=NOW)) == BEFORE[day]


@pytest.mark.parametrize("day", ["2026-04-14", "2026-04-16", "2026-04-18"])
def test_the_ledger_as_it_was_before_reads_as_before(upgraded: Database, day: str) -> None:
    """What the upgrade wrote down held before it was written, however little of the ledger is looked at."""
    on = date.fromisoformat(day)
    with upgraded.reading() as session:
        assert said(ledger.assess_day(session, "S1", on, as_of=NOW, through_seq=OLD_HEAD)) == BEFORE[day]


def test_the_chain_is_whole_and_the_tables_are_what_it_adds_up_to(upgraded: Database) -> None:
    with upgraded.reading() as session:
        assert ledger.verify(session, "S1") is None
        assert list(ledger.compare(session, "S1", at=NOW)) == []


def test_the_entries_say_where_they_come_from_and_since_when_they_hold(upgraded: Database) -> None:
    with upgraded.reading() as session:
        lines = [json.loads(line) for line in ledger.ledger_lines(session, "S1", OLD_HEAD)]
    assert {line["source"] for line in lines} == {"upgrade"}
    plans = [(line["version"], line["holds_from"]) for line in lines if line["kind"] == "plan_adopted"]
    assert plans == [
        (1, "2026-01-01T12:00:00.000Z"),
        (2, "2026-04-16T03:00:00.000Z"),
        (3, "2026-04-17T11:00:00.000Z"),
    ]
    sam = [(line["role"], line["holds_from"][:4]) for line in lines if line.get("login") == "sam" and "role" in line]
    assert sam == [("cook", "1970")]


def test_a_second_upgrade_changes_nothing(upgraded: Database) -> None:
    with upgraded.writing() as session:
        assert register.write_down(session, at=NOW) == []


def test_tables_made_anew_are_those_of_before(upgraded: Database) -> None:
    with upgraded.writing() as session:
        ledger.rebuild(session, "S1", at=NOW)
    with upgraded.reading() as session:
        assert list(ledger.compare(session, "S1", at=NOW)) == []
        assert register.check_password(session, register.get_site(session, "S1"), "pat", cast.PASSWORD) is not None


def test_an_upgrade_waits_until_the_clock_is_right_or_accepted(old: Database) -> None:
    too_early = cast.OPENED
    with pytest.raises(ledger.ClockBehind), old.writing() as session:
        register.write_down(session, at=too_early)
    with old.writing() as session:
        register.accept_clock(session, register.get_site(session, "S1"), "a year ahead", at=too_early)
        assert register.write_down(session, at=too_early) == ["S1"]
    with old.reading() as session:
        assert ledger.verify(session, "S1") is None
        assert list(ledger.compare(session, "S1", at=NOW)) == []


def test_time_that_ran_back_before_the_register_was_in_the_ledger_breaks_nothing(
    old: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patch, old.writing() as session:
        patch.setattr(context, "recorded_at", lambda site, at, newest: at)
        for at in (NOW - timedelta(hours=1), NOW - timedelta(hours=2)):
            (result,) = ledger.append(session, "S1", [cast.draft("note", at=at)], by=COOK, at=at)
            assert result.status == "accepted"
        register.write_down(session, at=NOW)
    with old.reading() as session:
        assert ledger.verify(session, "S1") is None


def test_groups_of_rules_that_came_since_start_with_the_next_adoption(old: Database) -> None:
    with old.writing() as session:
        register.write_down(session, at=NOW)
    with old.writing() as session:
        site = register.get_site(session, "S1")
        before = ledger.read_plans(session, "S1")[-1]
        assert plan.new_groups(before, cast.DAY) == ("set_aside", "lateness")
        register.adopt_plan(session, site, None, {}, by=register.get_person(session, site, "pat"), at=NOW)
    with old.reading() as session:
        calendar = ledger.calendar_of(session, "S1")
    assert plan.new_groups(calendar.plans[-1], cast.DAY) == ()
    moments = (NOW - timedelta(seconds=1), NOW)
    assert [calendar.plan_at(at).has("lateness") for at in moments] == [False, True]
