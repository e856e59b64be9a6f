"""The register in the ledger: who writes it, what it adds up to, and that nothing beside it changes a past day."""

import json
from collections.abc import Callable, Iterator
from datetime import timedelta
from threading import Barrier, Thread
from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.orm import Session

from app import ledger, models, register
from app.kinds import REGISTER_KINDS
from app.rules.day.shown import Assessment
from app.rules.plans import plan
from tests.support import cast
from tests.support.ledger_kitchen import COOK, EVENING, PAT, TABLET, Kitchen

NEXT_DAY, LATER = EVENING + timedelta(days=1), EVENING + timedelta(days=3)
HASHED = register.Hashed("a hash")


def change(kitchen: Kitchen, what: Callable[[Session, models.Site], object]) -> None:
    with kitchen.database.writing() as session:
        what(session, register.get_site(session, "S1"))


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
    change(kitchen, what)
    body = newest(kitchen)
    common = ("v", "site", "seq", "id", "observed_at", "recorded_at", "via", "late", "previous_hash", "hash")
    assert {name: value for name, value in body.items() if name not in common} == told
    assert (body["via"], body["recorded_at"], body["observed_at"]) == ("command", *["2026-04-15T04:00:00.000Z"] * 2)
    assert differences(kitchen) == []


def test_a_plan_is_written_down_with_every_value_and_what_its_code_gave(kitchen: Kitchen) -> None:
    adopt(kitchen, {"hot_holding": "140F/60C"})
    body = newest(kitchen)
    assert (body["code"], body["version"], body["person"]) == ("us_food_code_2022", 2, "pat")
    assert body["settings"] == {"hot_holding": "140F/60C"}
    assert body["values"]["hot_holding"]["value"] == "140F/60C"
    assert body["values"]["hot_holding"]["code"]["value"] == "135F/57C"
    assert body["values"]["cook_core"]["source"] == "FDA Food Code 2022, 3-401.11(A)(3)"
    assert differences(kitchen) == []


def adopt(kitchen: Kitchen, settings: dict[str, str], *, by: str = "pat") -> None:
    def adopted(session: Session, site: models.Site) -> object:
        return register.adopt_plan(session, site, None, settings, by=register.get_person(session, site, by), at=EVENING)

    change(kitchen, adopted)


def test_a_change_that_is_refused_leaves_no_entry(kitchen: Kitchen) -> None:
    change(kitchen, lambda session, site: register.set_role(session, site, "sam", "cook", at=EVENING))
    before = len(kitchen.lines())
    with pytest.raises(register.Refused) as refused:
        change(kitchen, lambda session, site: register.set_role(session, site, "pat", "cook", at=EVENING))
    assert (refused.value.field, refused.value.code) == ("role", "last")
    assert len(kitchen.lines()) == before


def test_two_who_adopt_a_plan_in_the_same_second_both_do(kitchen: Kitchen) -> None:
    together = Barrier(2)

    def adopted(by: str, settings: dict[str, str]) -> None:
        together.wait()
        adopt(kitchen, settings, by=by)

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


# ---- what a past day means -------------------------------------------------------------------------------------------


def test_a_demotion_around_a_verification_lets_nobody_accept_her_own_action(sqlite_kitchen: Kitchen) -> None:
    """Sam, in charge too, wrote an entry of the day: what Pat did wants Sam's eyes, whatever her role is meanwhile."""
    sqlite_kitchen.accept(cast.draft("note", at="08:00"), by=sam(), at="08:00")
    delivery = cast.draft("receiving", at="09:00", temperature="50")
    sqlite_kitchen.accept(delivery, at="09:00")
    key = f"receive.temperature:receiving:{delivery['lot']}:{delivery['id']}"
    sqlite_kitchen.accept(cast.draft("corrective_action", at="09:10", findings=[key]), by=PAT, at="09:10")
    set_role(sqlite_kitchen, "cook", "09:20")
    sqlite_kitchen.accept(cast.draft("action_verified", at="09:21", findings=[key]), by=PAT, at="09:21")
    set_role(sqlite_kitchen, "in_charge", "09:22")
    (found,) = [one for one in sqlite_kitchen.assess().findings if one.key == key]
    assert found.status == "acted"


def sam() -> ledger.Caller:
    return ledger.Caller("sam", "Sam Silva", "in_charge", "session")


def set_role(kitchen: Kitchen, role: str, at: str) -> None:
    change(kitchen, lambda session, site: register.set_role(session, site, "sam", role, at=cast.moment(at)))


def signed(kitchen: Kitchen) -> Any:
    kitchen.accept(cast.draft("note", at="12:00"), at="12:00")
    with kitchen.database.writing() as session:
        ledger.sign(session, "S1", cast.DAY, by=PAT, at=EVENING, shown=ledger.head(session, "S1"))
    return kitchen.assess(as_of=EVENING).signed


@pytest.mark.parametrize(
    ("what", "is_stale"),
    [
        (lambda session, site: register.set_role(session, site, "sam", "cook", at=EVENING), False),
        (lambda session, site: register.change_site(session, site, name="Kitchen One", at=EVENING), False),
        (lambda session, site: register.add_equipment(session, site, "probe", "red", at=EVENING), False),
        (lambda session, site: register.add_equipment(session, site, "cold_unit", "annex", at=EVENING), False),
        (lambda session, site: register.change_site(session, site, timezone="Europe/Madrid", at=EVENING), False),
    ],
    ids=["role", "name", "probe", "cold unit", "time zone"],
)
def test_the_register_makes_no_signature_stale_unless_a_finding_changes(
    sqlite_kitchen: Kitchen, what: Callable[[Session, models.Site], object], *, is_stale: bool
) -> None:
    assert signed(sqlite_kitchen).stale is False
    change(sqlite_kitchen, what)
    day = sqlite_kitchen.assess(as_of=EVENING).signed
    assert day is not None
    assert day.stale is is_stale


def test_a_signature_is_stale_once_a_change_of_the_register_changes_a_finding(sqlite_kitchen: Kitchen) -> None:
    """A cold unit that was hardly checked is retired before the day is over: it is no longer found wanting."""
    kitchen = sqlite_kitchen
    kitchen.accept(cast.draft("unit_check", at="11:00", unit_code="blast"), at="11:00")
    assert signed(kitchen).stale is False
    change(kitchen, lambda session, site: register.retire_equipment(session, site, "walk-in", at=EVENING))
    day = kitchen.assess(as_of=NEXT_DAY).signed
    assert day is not None
    assert day.stale is True


def test_a_day_keeps_its_time_zone_and_its_name(sqlite_kitchen: Kitchen) -> None:
    sqlite_kitchen.accept(cast.draft("note", at="12:00"), at="12:00")
    change(
        sqlite_kitchen, lambda session, site: register.change_site(session, site, timezone="Europe/Madrid", at=EVENING)
    )
    change(sqlite_kitchen, lambda session, site: register.change_site(session, site, name="Kitchen One", at=EVENING))
    days = [sqlite_kitchen.assess(day=cast.DAY + timedelta(days=number), as_of=NEXT_DAY) for number in (0, 1)]
    assert [day.site.timezone.key for day in days] == ["America/Chicago", "Europe/Madrid"]
    assert [day.site.name for day in days] == ["Kitchen S1", "Kitchen One"]
    assert days[0].ends_at == days[1].starts_at


@pytest.fixture
def another_edition(monkeypatch: pytest.MonkeyPatch, tmp_path: Any) -> Iterator[Callable[[], None]]:
    """Bring in an edition of the codes in which hot food is held at 150 °F and half of the rules are not in force."""

    def bring_in() -> None:
        for path in plan._FOLDER.glob("*.toml"):
            code = path.read_text("utf-8").replace("F = 135, C = 57", "F = 150, C = 66").replace('"holding", ', "")
            (tmp_path / path.name).write_text(code, "utf-8")
        monkeypatch.setattr(plan, "_FOLDER", tmp_path)
        plan.read_code.cache_clear()
        plan.resolve.cache_clear()

    yield bring_in
    monkeypatch.undo()
    plan.read_code.cache_clear()
    plan.resolve.cache_clear()


def test_a_later_edition_of_the_program_changes_no_adopted_plan(
    sqlite_kitchen: Kitchen, another_edition: Callable[[], None]
) -> None:
    before = sqlite_kitchen.assess().plan
    another_edition()
    after = sqlite_kitchen.assess().plan
    assert (after.limits, after.sources) == (before.limits, before.sources)
    adopt(sqlite_kitchen, {})
    anew = sqlite_kitchen.assess(day=cast.DAY + timedelta(days=1), as_of=NEXT_DAY).plan
    assert (str(anew.limits.hot_holding.F), anew.has("holding")) == ("150", False)
