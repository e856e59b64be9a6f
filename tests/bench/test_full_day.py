"""The bench's full day: every kind that a rule reads and of subject is in it, and the ledger takes it."""

import gc
import weakref
from collections.abc import Iterable
from typing import Any

from app import ledger
from app.api.encoding import plain
from app.db import Database
from app.kinds import Entry, TrayOut, of_kind
from app.kinds.reading import fields_of
from app.rules.day import shown
from app.rules.day.judge import all_rules
from tests.support import cast, full_day
from tests.support.set_up import assess

ENTRIES = full_day.entries()


def assessed() -> shown.Assessment:
    """Assess the day as the bench does."""
    return assess(full_day.DAY, ENTRIES, site=full_day.SITE, plans=[full_day.ADOPTED], as_of=full_day.AS_OF)


def test_the_day_has_every_kind_of_entry_that_a_rule_reads() -> None:
    # Releases have days of their own in the tests of the rules.
    read = {kind.KIND for rule in all_rules().values() for kind in rule.reads} - {"release"}
    assert read - {entry.kind for entry in ENTRIES} == set()
    assert [entry.seq for entry in ENTRIES] == list(range(1, full_day.ENTRIES + 1))


def test_the_day_has_every_kind_of_subject() -> None:
    day = assessed()
    for views in (day.loads, day.trays, day.batches, day.reheats, day.probes, day.cold_units, day.receiving):
        assert views


def test_birds_leave_the_trays_in_every_hot_way() -> None:
    ways = {entry.to for entry in of_kind(ENTRIES, TrayOut)}
    assert {"served", "chilled", "other_tray", "returned_to_oven"} <= ways


def test_entries_are_mended_and_withdrawn_and_one_mending_cleared_a_finding() -> None:
    assert any(entry.amends and not entry.withdrawn for entry in ENTRIES)
    assert any(entry.withdrawn for entry in ENTRIES)
    assert assessed().cleared[0].finding.rule == "hold.temperature"


def test_a_probe_failed_and_its_readings_are_to_be_reviewed() -> None:
    rules = {finding.rule for finding in assessed().findings}
    assert {"probe.accuracy", "probe.review", "hold.temperature", "cook.core_temperature"} <= rules


def test_what_the_day_was_judged_by_is_let_go_of_with_it() -> None:
    day = assessed()
    kitchen = weakref.ref(day.doubts.timeline.kitchen)
    gc.disable()  # a search for garbage would find it all the same, later
    try:
        del day
        assert kitchen() is None
    finally:
        gc.enable()


def test_the_ledger_takes_the_day(sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        cast.make_site(session, settings=dict(full_day.ADOPTED.settings))
        refused = [(entry.id, errors) for entry in _without_sign_off() if (errors := _append(session, entry))]
    assert refused == []


def _without_sign_off() -> Iterable[Entry]:
    return (entry for entry in ENTRIES if entry.kind != "sign_off")


def _append(session: Any, entry: Entry) -> tuple[ledger.FieldError, ...]:
    person = cast.PEOPLE[entry.person]
    caller = ledger.Caller(person.login, person.name, person.role, "session")
    return ledger.append(session, "S1", [_draft(entry)], by=caller, at=entry.recorded_at)[0].errors


def _draft(entry: Entry) -> dict[str, Any]:
    own = {"id": entry.id, "kind": entry.kind, "observed_at": entry.observed_at.isoformat()}
    mending = {"amends": entry.amends} if entry.amends else {}
    withdrawal = {"withdrawn": True} if entry.withdrawn else {}
    return {**own, **mending, **withdrawal, **plain(fields_of(entry))}
