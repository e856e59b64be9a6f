"""Appending: stages, duplicates, lists that belong together, and answers to findings."""

import json
import uuid
from datetime import timedelta
from typing import Any

import pytest

from app import ledger, register
from app.ledger.checks.callers import Caller
from tests.support import cast
from tests.support.ledger_kitchen import COOK, EVENING, PAT, Draft, Kitchen, tray_filled

INSPECTOR = Caller("ines", "Ines Ito", "inspector", "token:5")


def statuses(results: list[ledger.Result]) -> list[tuple[str, int | None]]:
    return [(result.status, result.seq and result.seq - cast.SET_UP) for result in results]


def kept(kitchen: Kitchen, seq: int = 1) -> dict[str, Any]:
    entry: dict[str, Any] = json.loads(kitchen.lines(after_seq=seq - 1)[0])
    return entry


# ---- ids -----------------------------------------------------------------------------------------------------------


def test_the_same_entry_twice_is_a_duplicate(kitchen: Kitchen) -> None:
    note = cast.draft("note", at="12:00", text="Käse")
    kitchen.accept(note)
    again = {**note, "id": note["id"].upper(), "text": " Ka\u0308se ", "observed_at": "2026-04-14T17:00:00.0004Z"}
    results = kitchen.post(note, again, {**again, "person": "cook", "note": None})
    assert statuses(results) == [("duplicate", 1)] * 3
    assert {result.id for result in results} == {note["id"]}


def test_a_number_is_the_same_however_it_was_written(kitchen: Kitchen) -> None:
    reading = cast.draft("hold_reading", at="11:30", temperature=164.9)
    kitchen.accept(*tray_filled(), reading)
    assert statuses(kitchen.post({**reading, "temperature": "164.90"})) == [("duplicate", 4)]


@pytest.mark.parametrize("change", [{"text": "other"}, {"note": "more"}, {"kind": "in_charge_from", "text": None}])
def test_another_content_under_the_same_id_is_refused(kitchen: Kitchen, change: dict[str, Any]) -> None:
    note = cast.draft("note", at="12:00")
    kitchen.accept(note)
    assert kitchen.refuse({**note, **change}) == [("id", "differs")]


def test_the_same_entry_of_somebody_else_differs(kitchen: Kitchen) -> None:
    note = cast.draft("note", at="12:00")
    kitchen.accept(note)
    assert kitchen.refuse(note, by=PAT) == [("id", "differs")]


def test_an_id_twice_in_one_list_is_judged_by_what_became_of_the_first(kitchen: Kitchen) -> None:
    note = cast.draft("note", at="12:00")
    bad = {**note, "text": " "}
    results = kitchen.post(bad, note, note, {**note, "text": "other"})
    assert statuses(results) == [("rejected", None), ("accepted", 1), ("duplicate", 1), ("rejected", None)]


def test_a_duplicate_stays_one_though_it_would_be_refused_today(kitchen: Kitchen) -> None:
    drafts = [*tray_filled(5), cast.draft("tray_out", at="12:00", birds=5)]
    kitchen.accept(*drafts)
    with kitchen.database.writing() as session:
        register.retire_equipment(session, register.get_site(session, "S1"), "east", at=EVENING)
    assert kitchen.refuse(cast.draft("load_started", at="09:00", load="A-L2")) == [("oven", "unknown")]
    assert statuses(kitchen.post(*drafts)) == [("duplicate", seq) for seq in (1, 2, 3, 4)]


def test_ids_are_of_one_site(kitchen: Kitchen) -> None:
    note = cast.draft("note", at="12:00")
    with kitchen.database.writing() as session:
        cast.make_other_site(session)
    kitchen.accept(note)
    stranger = Caller("other-cook", "Olu Other", "cook", "token:9")
    with kitchen.database.writing() as session:
        results = ledger.append(session, "S2", [note], by=stranger, at=EVENING)
    assert [result.status for result in results] == ["accepted"]


# ---- lists ---------------------------------------------------------------------------------------------------------


def test_one_bad_entry_never_costs_a_good_one(kitchen: Kitchen) -> None:
    results = kitchen.post(None, *tray_filled(), {"id": 7}, cast.draft("hold_reading", at="11:30", probe="red"))
    assert statuses(results) == [
        ("rejected", None),
        *(("accepted", seq) for seq in (1, 2, 3)),
        *[("rejected", None)] * 2,
    ]
    assert [result.id for result in results[:1] + results[4:5]] == [None, None]
    assert len(kitchen.lines()) == 3


def test_together_all_or_none(kitchen: Kitchen) -> None:
    before = cast.draft("note", at="12:00")
    kitchen.accept(before)
    good, bad = cast.draft("note", at="12:00"), cast.draft("hold_reading", at="12:00", tray="A-T9")
    results = kitchen.post(before, *tray_filled(), good, good, bad, together=True)
    assert statuses(results) == [("duplicate", 1), *[("rejected", None)] * 6]
    assert [[(e.field, e.code) for e in result.errors] for result in results] == [
        *([], *[[("id", "together")]] * 5, [("tray", "order")])
    ]
    assert len(kitchen.lines()) == 1
    assert statuses(kitchen.post(*tray_filled(), good, together=True)) == [("accepted", seq) for seq in (2, 3, 4, 5)]


def test_together_leaves_nothing_of_a_mending_behind(kitchen: Kitchen) -> None:
    reading = cast.draft("hold_reading", at="11:30")
    kitchen.accept(*tray_filled(), reading)
    before = kitchen.tables()
    mending = {**reading, "id": cast.draft("note", at="12:00")["id"], "amends": reading["id"], "amend_reason": "slip"}
    kitchen.post(mending, cast.draft("tray_out", at="12:00", birds=9), together=True)
    assert kitchen.tables() == before


def test_nothing_is_kept_when_the_transaction_is_not_committed(kitchen: Kitchen) -> None:
    with kitchen.database.writing() as session:
        ledger.append(session, "S1", [cast.draft("note", at="12:00")], by=COOK, at=EVENING)
        session.rollback()
    assert kitchen.lines() == []


def test_an_unknown_site_has_no_ledger(kitchen: Kitchen) -> None:
    with pytest.raises(LookupError), kitchen.database.writing() as session:
        ledger.append(session, "S9", [cast.draft("note", at="12:00")], by=COOK, at=EVENING)


# ---- stages --------------------------------------------------------------------------------------------------------


def test_the_first_stage_that_fails_reports_all_its_errors(sqlite_kitchen: Kitchen) -> None:
    kitchen, future = sqlite_kitchen, EVENING + timedelta(hours=1)
    reading = cast.draft("hold_reading", at=future, probe="red", person="pat")
    assert kitchen.refuse({**reading, "temperature": "x", "unit": "K"}) == [("temperature", "type"), ("unit", "range")]
    assert kitchen.refuse({**reading, "entered_at": future.isoformat()}) == [
        *(("observed_at", "future"), ("entered_at", "future"))
    ]
    now = {**reading, "observed_at": EVENING.isoformat()}
    assert kitchen.refuse(now) == [("probe", "unknown")]
    assert kitchen.refuse({**now, "probe": "blue"}) == [("tray", "order")]
    kitchen.accept(*tray_filled())
    assert kitchen.refuse({**now, "probe": "blue", "entered_at": EVENING.isoformat()}) == [
        *(("person", "forbidden"), ("entered_at", "forbidden"))
    ]


@pytest.mark.parametrize(("seconds", "is_taken"), [(120, True), (120.001, False)])
def test_up_to_two_minutes_ahead_a_clock_may_be(sqlite_kitchen: Kitchen, seconds: float, is_taken: bool) -> None:
    (result,) = sqlite_kitchen.post(cast.draft("note", at=EVENING + timedelta(seconds=seconds)))
    assert (result.status == "accepted") is is_taken


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        ("load_started", {"oven": "pass"}),
        ("load_started", {"oven": "north"}),
        ("cook_reading", {"probe": "east"}),
        ("spit_pulled", {"hot_unit": "walk-in"}),
        ("tray_out", {"to": "chilled", "batch": "A-B1", "cold_unit": "pass"}),
        ("unit_check", {"unit_code": "east"}),
        ("equipment_out", {"code": "nothing"}),
    ],
)
def test_equipment_is_listed_and_of_the_right_kind(sqlite_kitchen: Kitchen, kind: str, fields: dict[str, Any]) -> None:
    field = {"to": "cold_unit"}.get(next(iter(fields)), next(iter(fields)))
    assert sqlite_kitchen.refuse(cast.draft(kind, at="12:00", **fields)) == [(field, "unknown")]


def test_an_item_that_the_plan_does_not_have_is_unknown(sqlite_kitchen: Kitchen) -> None:
    assert sqlite_kitchen.refuse(cast.draft("load_started", at="09:00", checks={"water": True, "hat": True})) == [
        ("checks", "unknown")
    ]
    closing: dict[str, Any] = {"list": "closing", "items": {"hand_sink": True}}
    assert sqlite_kitchen.refuse(cast.draft("checklist", at="09:00", **closing)) == [("items", "unknown")]
    sqlite_kitchen.accept(cast.draft("checklist", at="09:00", list="closing", items={"gas_off": None}))


# ---- findings that are answered --------------------------------------------------------------------------------------


def answer(*keys: str, at: str = "11:00") -> Draft:
    return cast.draft("corrective_action", at=at, findings=list(keys))


def test_a_finding_that_stands_is_answered_within_the_same_post(sqlite_kitchen: Kitchen) -> None:
    *before, pull = tray_filled()
    key = f"cook.core_temperature:spit:A-L1/1:{pull['id']}"
    sqlite_kitchen.accept(*before, pull, answer(key))
    assert sqlite_kitchen.refuse(cast.draft("action_verified", at="12:00", findings=[key, "x"]), by=PAT) == [
        ("findings", "unknown")
    ]
    sqlite_kitchen.accept(cast.draft("action_verified", at="12:00", findings=[key]), by=PAT)


@pytest.mark.parametrize(
    "key",
    [
        "",
        "cook.core_temperature",
        "cook.core_temperature:spit:A-L1/1:",
        "cook.core_temperature:spit:A-L1/2:{pull}",
        "cook.core_temperature:tray:A-T1:{pull}",
        "hold.temperature:tray:A-T1:{pull}",
        "cook.core_temperature:spit:A-L1/1:{loading}",
        "cold.check_interval:cold_unit:walk-in:0001-01-01",
        "cold.check_interval:cold_unit:walk-in:9999-12-31",
        "record.sign_off_due:day:2026-04-14:2026-04-14",
        "a:b:c:00000000-0000-4000-8000-000000000000",
        "::::",
    ],
)
def test_a_finding_that_is_not_there_cannot_be_answered(sqlite_kitchen: Kitchen, key: str) -> None:
    _start, loading, pull = drafts = tray_filled()
    sqlite_kitchen.accept(*drafts)
    named = key.format(pull=pull["id"], loading=loading["id"])
    expected = "unknown" if named else "missing"
    assert sqlite_kitchen.refuse(answer(named)) == [("findings", expected)]


def test_a_finding_of_a_whole_day_is_answered_by_its_date(sqlite_kitchen: Kitchen) -> None:
    sqlite_kitchen.accept(*tray_filled())
    later = EVENING + timedelta(days=1)
    for key in ("cold.check_interval:cold_unit:walk-in:2026-04-14", "birds.balance:tray:A-T1"):
        own = key if key.endswith("14") else f"{key}:{sqlite_kitchen.assess(as_of=later).trays[0].history[0].root}"
        sqlite_kitchen.accept(cast.draft("corrective_action", at=later, findings=[own]), at=later)


def test_a_finding_due_days_after_its_opener_is_answered(sqlite_kitchen: Kitchen) -> None:
    *before, chilled = [*tray_filled(), cast.draft("tray_out", at="12:00", birds=5, to="chilled", batch="A-B1")]
    sqlite_kitchen.accept(*before, chilled)
    later = EVENING + timedelta(days=9)
    key = f"date_mark.passed:batch:A-B1:{chilled['id']}"
    sqlite_kitchen.accept(cast.draft("corrective_action", at=later, findings=[key]), at=later)


def test_a_finding_that_a_mending_cleared_is_answered_still(sqlite_kitchen: Kitchen) -> None:
    reading = cast.draft("hold_reading", at="11:30", temperature="118")
    better = {**reading, "temperature": "148", "id": cast.draft("note", at="12:00")["id"]}
    sqlite_kitchen.accept(*tray_filled(), reading, better | {"amends": reading["id"], "amend_reason": "misread"})
    sqlite_kitchen.accept(answer(f"hold.temperature:tray:A-T1:{reading['id']}", at="12:00"))


# ---- reading before the lock -----------------------------------------------------------------------------------------


def test_drafts_may_be_read_before_the_ledger_is_locked(kitchen: Kitchen) -> None:
    drafts = [*tray_filled(), None, cast.draft("note", at="12:00", text=""), cast.draft("hold_reading", at="11:30")]
    read = ledger.read_drafts(drafts, by=COOK)
    results = kitchen.post(*read)
    assert [result.status for result in results] == [*["accepted"] * 3, "rejected", "rejected", "accepted"]
    assert kept(kitchen)["recorded_at"] == "2026-04-15T04:00:00.000Z"
    assert statuses(kitchen.post(*drafts)) == [
        (status.replace("accepted", "duplicate"), seq) for status, seq in statuses(results)
    ]


def test_a_boiling_point_needs_pressure_altitude_or_the_sites_altitude(sqlite_kitchen: Kitchen) -> None:
    check = cast.draft("probe_check", at="12:00", method="boiling_point", temperature=203)
    assert sqlite_kitchen.refuse(check) == [("pressure_hpa", "missing")]
    assert sqlite_kitchen.refuse({**check, "adjusted": 1}) == [("adjusted", "type"), ("pressure_hpa", "missing")]
    sqlite_kitchen.accept({**check, "id": str(uuid.uuid4()), "altitude_m": 1600})
    with sqlite_kitchen.database.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE sites SET altitude_cm = 160000")
    sqlite_kitchen.accept(check)
