"""The register in the ledger: who writes it, what it adds up to, and that nothing beside it changes a past day."""

import json
from collections.abc import Callable
from datetime import timedelta
from threading import Barrier, Thread
from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.orm import Session

from app import ledger, models, register
from app.kinds import REGISTER_KINDS
from app.rules.day.shown import Assessment
from tests.support import cast
from tests.support.ledger_kitchen import COOK, EVENING, PAT, TABLET, Kitchen

NEXT_DAY, LATER = EVENING + timedelta(days=1), EVENING + timedelta(days=3)
HASHED = register.Hashed("a hash")


def newest(kitchen: Kitchen) -> dict[str, Any]:
    body: dict[str, Any] = json.loads(kitchen.lines()[-1])
    return body


# ---- who writes it ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("by", [COOK, PAT, TABLET], ids=["cook", "in charge", "tablet"])
@pytest.mark.parametrize("kind", REGISTER_KINDS)
def test_no_client_writes_the_register_whatever_else_is_wrong(
    sqlite_kitchen: Kitchen, kind: str, by: ledger.Caller
) -> None:
    before = len(sqlite_kitchen.lines())
    assert sqlite_kitchen.refuse({"kind": kind, "colour": "red"}, by=by) == [("kind", "forbidden")]
    assert len(sqlite_kitchen.lines()) == before


CHANGES: dict[str, tuple[Callable[[Session, models.Site], object], dict[str, Any]]] = {
    "a name": (
        lambda session, site: register.change_site(session, site, name="Kitchen One", at=EVENING),
        {"kind": "site_set", "name": "Kitchen One", "timezone": "America/Chicago"},
    ),
    "a role": (
        lambda session, site: register.set_role(session, site, "sam", "cook", at=EVENING),
        {"kind": "person_set", "login": "sam", "name": "Sam Silva", "role": "cook", "retired": False},
    ),
    "somebody retired": (
        lambda session, site: register.retire_person(session, site, "sam", at=EVENING),
        {"kind": "person_set", "login": "sam", "name": "Sam Silva", "role": "in_charge", "retired": True},
    ),
    "a probe": (
        lambda session, site: register.add_equipment(session, site, "probe", "red", scale="C", at=EVENING),
        {"kind": "equipment_set", "type": "probe", "code": "red", "scale": "C", "retired": False},
    ),
    "equipment retired": (
        lambda session, site: register.retire_equipment(session, site, "east", at=EVENING),
        {"kind": "equipment_set", "type": "oven", "code": "east", "retired": True},
    ),
    "a password": (
        lambda session, site: register.set_password(
            session, register.get_person(session, site, "cook"), HASHED, at=EVENING
        ),
        {"kind": "credential_set", "credential": "password", "login": "cook", "revoked": False},
    ),
    "a PIN taken away": (
        lambda session, site: register.set_pin(session, register.get_person(session, site, "cook"), None, at=EVENING),
        {"kind": "credential_set", "credential": "pin", "login": "cook", "revoked": True},
    ),
}


@pytest.mark.parametrize(("what", "told"), CHANGES.values(), ids=CHANGES.keys())
def test_a_change_is_written_down_with_it(
    kitchen: Kitchen, what: Callable[[Session, models.Site], object], told: dict[str, Any]
) -> None:
    kitchen.change_register(what)
    body = newest(kitchen)
    common = ("v", "site", "seq", "id", "observed_at", "recorded_at", "via", "late", "previous_hash", "hash")
    assert {name: value for name, value in body.items() if name not in common} == told
    assert (body["via"], body["recorded_at"], body["observed_at"]) == ("command", *["2026-04-15T04:00:00.000Z"] * 2)
    assert differences(kitchen) == []


def test_a_plan_is_written_down_with_every_value_and_what_its_code_gave(kitchen: Kitchen) -> None:
    kitchen.adopt({"hot_holding": "140F/60C"})
    body = newest(kitchen)
    assert (body["code"], body["version"], body["person"]) == ("us_food_code_2022", 2, "pat")
    assert body["settings"] == {"hot_holding": "140F/60C"}
    assert body["values"]["hot_holding"]["value"] == "140F/60C"
    assert body["values"]["hot_holding"]["code"]["value"] == "135F/57C"
    assert body["values"]["cook_core"]["source"] == "FDA Food Code 2022, 3-401.11(A)(3)"
    assert differences(kitchen) == []


def test_a_change_that_is_refused_leaves_no_entry(kitchen: Kitchen) -> None:
    kitchen.change_register(lambda session, site: register.set_role(session, site, "sam", "cook", at=EVENING))
    before = len(kitchen.lines())
    with pytest.raises(register.Refused) as refused:
        kitchen.change_register(lambda session, site: register.set_role(session, site, "pat", "cook", at=EVENING))
    assert (refused.value.field, refused.value.code) == ("role", "last")
    assert len(kitchen.lines()) == before


def test_two_who_adopt_a_plan_in_the_same_second_both_do(kitchen: Kitchen) -> None:
    together = Barrier(2)

    def adopted(by: str, settings: dict[str, str]) -> None:
        together.wait()
        kitchen.adopt(settings, by=by)

    people = (("pat", {"hot_holding": "140F/60C"}), ("sam", {"cook_core": "170F/77C"}))
    writers = [Thread(target=adopted, args=one) for one in people]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(timeout=60)
    with kitchen.database.reading() as session:
        plans = ledger.read_plans(session, "S1")
    assert [one.version for one in plans] == [1, 2, 3]
    assert dict(plans[2].settings) == {"hot_holding": "140F/60C", "cook_core": "170F/77C"}
    assert (kitchen.verify(), differences(kitchen)) == (None, [])


# ---- what the tables say ---------------------------------------------------------------------------------------------


def differences(kitchen: Kitchen) -> list[tuple[str, str, str]]:
    with kitchen.database.reading() as session:
        return [(one.table, one.key, one.what) for one in ledger.compare(session, "S1", at=LATER)]


@pytest.fixture
def worked(kitchen: Kitchen) -> Kitchen:
    """A kitchen with a day's work, whose figures were kept."""
    low = cast.draft("hold_reading", at="11:30", temperature="128")
    loaded = [cast.draft("load_started", at="09:00"), cast.draft("spit_loaded", at="09:02", birds=5)]
    kitchen.accept(*loaded, cast.draft("spit_pulled", at="10:36", birds=5), low, at="11:31")
    with kitchen.database.writing() as session:
        past = ledger.past_days(session, "S1", cast.DAY, cast.DAY, as_of=LATER, at_most=9)
        assert past.update is not None
        ledger.keep_figures(session, "S1", past.update)
    return kitchen


def read(kitchen: Kitchen) -> Assessment:
    return kitchen.assess(as_of=NEXT_DAY)


IN_PLACE = [
    ("UPDATE sites SET name = 'Another'", ("sites", "", "name")),
    ("UPDATE sites SET timezone = 'Europe/Madrid'", ("sites", "", "timezone")),
    ("UPDATE sites SET altitude_cm = 160000", ("sites", "", "altitude_cm")),
    ("UPDATE people SET role = 'cook' WHERE login = 'sam'", ("people", "sam", "role")),
    ("UPDATE people SET name = 'Nobody' WHERE login = 'sam'", ("people", "sam", "name")),
    ("UPDATE people SET retired_at = 1 WHERE login = 'sam'", ("people", "sam", "retired_at")),
    ("UPDATE equipment SET scale = 'F' WHERE code = 'blue'", ("equipment", "blue", "scale")),
    ("UPDATE equipment SET added_at = 99 WHERE code = 'walk-in'", ("equipment", "walk-in", "added_at")),
    ("UPDATE equipment SET retired_at = 99 WHERE code = 'walk-in'", ("equipment", "walk-in", "retired_at")),
    ("DELETE FROM equipment WHERE code = 'walk-in'", ("equipment", "walk-in", "missing")),
    ("""UPDATE plans SET settings = '{"hot_holding": "120F/49C"}'""", ("plans", "1", "settings")),
    ("UPDATE plans SET code = 'uk_2013'", ("plans", "1", "code")),
    ("UPDATE plans SET adopted_at = 99", ("plans", "1", "adopted_at")),
    ("UPDATE plans SET adopted_by = 'sam'", ("plans", "1", "adopted_by")),
    ("UPDATE credentials SET revoked_at = 99 WHERE tablet = 'A'", ("credentials", "6", "revoked_at")),
    ("DELETE FROM credentials WHERE tablet = 'A'", ("credentials", "6", "missing")),
]


@pytest.mark.parametrize(("statement", "named"), IN_PLACE, ids=[statement for statement, _named in IN_PLACE])
def test_a_change_of_the_registers_tables_is_named_and_changes_no_day(
    worked: Kitchen, statement: str, named: tuple[str, str, str]
) -> None:
    before = read(worked)
    run(worked, statement)
    assert differences(worked) == [named]
    after = read(worked)
    assert (after.findings, after.plan) == (before.findings, before.plan)
    assert repr(after.trays) == repr(before.trays)


DERIVED = [
    ("DELETE FROM entry_subjects WHERE subject = 'tray:A-T1'", "entry_subjects"),
    ("UPDATE entry_subjects SET quarters = 4 WHERE subject = 'tray:A-T1'", "entry_subjects"),
    ("DELETE FROM subject_spans WHERE subject = 'tray:A-T1'", "subject_spans"),
    ("UPDATE subject_spans SET shown_until = opened_at", "subject_spans"),
    ("UPDATE day_figures SET sums = '[[],[],[],[]]'", "day_figures"),
    ("UPDATE day_figures SET details = '[[],[]]'", "day_figures"),
]


@pytest.mark.parametrize(("statement", "table"), DERIVED, ids=[statement for statement, _table in DERIVED])
def test_a_changed_row_of_what_is_kept_for_speed_is_named(worked: Kitchen, statement: str, table: str) -> None:
    assert differences(worked) == []
    run(worked, statement)
    assert {one[0] for one in differences(worked)} == {table}


def test_what_was_changed_is_made_anew(worked: Kitchen) -> None:
    before = read(worked)
    for statement, _named in (*IN_PLACE, *DERIVED):
        run(worked, statement)
    with worked.database.writing() as session:
        ledger.rebuild(session, "S1", at=NEXT_DAY)
    assert (differences(worked), worked.verify()) == ([], None)
    assert read(worked).findings == before.findings


def test_somebody_whom_no_entry_names_is_found_and_taken_away(worked: Kitchen) -> None:
    copy = "INSERT INTO people (site_id, login, name, role, password_hash, credentials_at, added_at) "
    run(worked, copy + "SELECT site_id, 'eve', 'Eve', 'in_charge', password_hash, 0, 0 FROM people WHERE login = 'pat'")
    assert differences(worked) == [("people", "eve", "not in the ledger")]
    with worked.database.writing() as session:
        ledger.rebuild(session, "S1", at=NEXT_DAY)
    assert differences(worked) == []


def run(kitchen: Kitchen, statement: str) -> None:
    with kitchen.database.engine.begin() as connection:
        connection.execute(text(statement))
