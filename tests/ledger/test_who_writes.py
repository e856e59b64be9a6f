"""Who may write what, in whose name, from which tablet, and what is late."""

import json
from typing import Any

import pytest

from app import models
from app.ledger.checks.callers import Caller
from tests.support import cast
from tests.support.ledger_kitchen import PAT, TABLET, Kitchen, tray_filled

INSPECTOR = Caller("ines", "Ines Ito", "inspector", "token:5")


def kept(kitchen: Kitchen, seq: int = 1) -> dict[str, Any]:
    entry: dict[str, Any] = json.loads(kitchen.lines(after_seq=seq - 1)[0])
    return entry


# ---- roles and tablets ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["action_verified", "in_charge_from", "sign_off"])
def test_a_cook_posts_all_but_what_is_for_people_in_charge(sqlite_kitchen: Kitchen, kind: str) -> None:
    *before, pull = tray_filled()
    sqlite_kitchen.accept(*before, pull)
    fields: dict[str, Any] = (
        {"findings": [f"cook.core_temperature:spit:A-L1/1:{pull['id']}"]} if kind == "action_verified" else {}
    )
    assert sqlite_kitchen.refuse(cast.draft(kind, at="12:00", **fields)) == [("kind", "forbidden")]
    if kind != "sign_off":
        sqlite_kitchen.accept(cast.draft(kind, at="12:00", **fields), by=PAT)


def test_nobody_posts_a_sign_off_and_an_inspector_posts_nothing(sqlite_kitchen: Kitchen) -> None:
    assert sqlite_kitchen.refuse(cast.draft("sign_off", at="12:00"), by=PAT) == [("kind", "forbidden")]
    assert sqlite_kitchen.refuse(cast.draft("note", at="12:00"), by=INSPECTOR) == [("kind", "forbidden")]


def test_a_person_writes_only_in_their_own_name(sqlite_kitchen: Kitchen) -> None:
    sqlite_kitchen.accept(cast.draft("note", at="12:00", person="cook"))
    assert sqlite_kitchen.refuse(cast.draft("note", at="12:00", person="robin")) == [("person", "forbidden")]


def test_a_tablet_says_who_and_when(kitchen: Kitchen) -> None:
    entered = cast.moment("12:01").isoformat()
    kitchen.accept(cast.draft("note", at="12:00", person="robin", entered_at=entered), by=TABLET, at="12:01:30")
    entry = kept(kitchen)
    assert (entry["person"], entry["via"], entry["entered_at"]) == ("robin", "tablet:A", "2026-04-14T17:01:00.000Z")


@pytest.mark.parametrize("person", ["ines", "nobody", "other-cook"])
def test_a_tablet_names_cooks_and_people_in_charge_of_the_site(sqlite_kitchen: Kitchen, person: str) -> None:
    assert sqlite_kitchen.refuse(cast.draft("note", at="12:00", person=person), by=TABLET) == [("person", "forbidden")]


def test_a_tablet_needs_a_person(sqlite_kitchen: Kitchen) -> None:
    assert sqlite_kitchen.refuse(cast.draft("note", at="12:00"), by=TABLET) == [("person", "missing")]
    chosen = Caller("robin", "Robin Reyes", "cook", "tablet:A")
    sqlite_kitchen.accept(cast.draft("note", at="12:00"), by=chosen)


def test_a_tablet_takes_the_role_of_the_person_but_never_verifies(sqlite_kitchen: Kitchen) -> None:
    *before, pull = tray_filled()
    sqlite_kitchen.accept(*before, pull)
    sqlite_kitchen.accept(cast.draft("in_charge_from", at="12:00", person="pat"), by=TABLET)
    assert sqlite_kitchen.refuse(cast.draft("in_charge_from", at="12:00", person="cook"), by=TABLET) == [
        ("kind", "forbidden")
    ]
    key = f"cook.core_temperature:spit:A-L1/1:{pull['id']}"
    verified = cast.draft("action_verified", at="12:00", findings=[key], person="pat")
    assert sqlite_kitchen.refuse(verified, by=TABLET) == [("kind", "forbidden")]


def test_a_retired_person_is_not_written_for(sqlite_kitchen: Kitchen) -> None:
    with sqlite_kitchen.database.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE people SET retired_at = 1 WHERE login = 'robin'")
    assert sqlite_kitchen.refuse(cast.draft("note", at="12:00", person="robin"), by=TABLET) == [("person", "forbidden")]


# ---- late ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("recorded", "is_late"), [("12:15", False), ("12:15:00.001", True), ("11:59", False)])
def test_an_entry_written_over_15_minutes_after_it_was_seen_is_late(
    sqlite_kitchen: Kitchen, recorded: str, is_late: bool
) -> None:
    sqlite_kitchen.accept(cast.draft("note", at="12:00"), at=recorded)
    assert kept(sqlite_kitchen)["late"] is is_late


@pytest.mark.parametrize(("entered", "is_late"), [("12:15", False), ("12:15:01", True)])
def test_what_waited_on_a_tablet_counts_from_when_it_was_saved_there(
    sqlite_kitchen: Kitchen, entered: str, is_late: bool
) -> None:
    draft = cast.draft("note", at="12:00", person="cook", entered_at=cast.moment(entered).isoformat())
    sqlite_kitchen.accept(draft, by=TABLET, at="18:00")
    assert kept(sqlite_kitchen)["late"] is is_late


def test_the_clock_of_a_tablet_is_corrected_where_it_is_known_to_be_wrong(sqlite_kitchen: Kitchen) -> None:
    slow = Caller("", "", "cook", "tablet:A", clock_offset_s=600.004)
    draft = cast.draft("note", at="12:00", person="cook", entered_at=cast.moment("12:10").isoformat())
    sqlite_kitchen.accept(draft, by=slow, at="18:00")
    assert (kept(sqlite_kitchen)["clock_offset_s"], kept(sqlite_kitchen)["late"]) == ("600", True)


def test_a_tablet_that_is_ahead_is_at_least_so_much_ahead(sqlite_kitchen: Kitchen) -> None:
    draft = cast.draft("note", at="12:00", person="cook", entered_at=cast.moment("12:01:30.5").isoformat())
    sqlite_kitchen.accept(draft, by=TABLET, at="12:00")
    assert kept(sqlite_kitchen)["clock_offset_s"] == "-90.5"


def test_the_plan_says_what_is_late(sqlite_kitchen: Kitchen) -> None:
    with sqlite_kitchen.database.writing() as session:
        site = session.get_one(models.Site, 1)
        cast.add_plan(session, site, 2, settings={"late_min": "5"}, adopted_at=cast.moment("08:00"))
    sqlite_kitchen.accept(cast.draft("note", at="12:00"), at="12:06")
    assert kept(sqlite_kitchen, 2)["late"] is True
