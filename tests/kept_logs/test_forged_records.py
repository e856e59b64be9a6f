"""Records that somebody forged and hashed anew: what the page of the format and the stand-alone file find of them."""

import copy
import json
from datetime import timedelta
from typing import Any

from app.server.kept_logs import check_logs
from tests.support import cast, page_verifier


def rehashed(records: dict[str, Any], kind: str, **changes: Any) -> dict[str, Any]:
    """Change the entries of a kind in a run, and hash the whole run anew, its head and its sign-off too."""
    forged = copy.deepcopy(records)
    before = forged["run"]["after"]["hash"]
    for entry in forged["run"]["entries"]:
        entry.update(changes if entry["kind"] == kind else {})
        entry["previous_hash"] = before
        before = entry["hash"] = page_verifier.own_hash(entry)
    forged["head"]["hash"] = forged["sign_off"]["covers_hash"] = before
    forged["sign_off"]["hash"] = page_verifier.own_hash(forged["sign_off"])
    return forged


def test_a_run_that_was_rehashed_whole_does_not_join(three: list[bytes]) -> None:
    first, second, third = (page_verifier.records_of(pdf) for pdf in three)
    forged = rehashed(second, "hold_reading", temperature="138.4")
    assert page_verifier.check(forged) == []
    assert page_verifier.check_together([first, forged, third]) == [f"join of {cast.DAY + timedelta(days=2)}"]


def faults_of(records: dict[str, Any]) -> list[str]:
    return check_logs.check_records(json.loads(json.dumps(records)))


def test_each_kind_of_forged_record_is_named(three: list[bytes]) -> None:
    honest = page_verifier.records_of(three[1])
    seq = honest["run"]["entries"][3]["seq"]
    assert faults_of(honest) == []

    changed = copy.deepcopy(honest)
    changed["run"]["entries"][3]["person"] = "sam"
    assert faults_of(changed) == [f"Entry {seq} is not as it was written."]

    holed = copy.deepcopy(honest)
    del holed["run"]["entries"][3]
    assert f"Its run is broken at entry {seq}." in faults_of(holed)

    shortened = copy.deepcopy(honest)
    del shortened["run"]["entries"][-1]
    assert "Its run does not end at its head." in faults_of(shortened)

    of_another_day = {**honest, "day": "2026-04-20"}
    assert faults_of(of_another_day) == ["Its sign-off is of another day or head."]

    unsigned = {name: value for name, value in honest.items() if name != "sign_off"}
    assert faults_of(unsigned)[-1].startswith("Nobody signed the day")

    backwards = rehashed(honest, "hold_reading", recorded_at="2026-04-01T00:00:00.000Z")
    assert any(fault.startswith("Time runs back at entry") for fault in faults_of(backwards))


def test_logs_that_tell_of_one_entry_differently_are_found(three: list[bytes]) -> None:
    logs = [check_logs.check_file(f"{number}.pdf", pdf) for number, pdf in enumerate(three)]
    logs[1].records = rehashed(logs[1].records, "hold_reading", temperature="138.4")
    faults, _notes = check_logs.check_together(logs)
    assert any("2.pdf: its run does not join" in fault for fault in faults)


def test_a_forged_log_is_held_to_the_others_whatever_its_name(three: list[bytes]) -> None:
    honest = check_logs.check_file("b.pdf", three[1])
    forged = check_logs.Log("a.pdf", "", faults=["It was changed after it was signed."])
    forged.records = rehashed(honest.records, "log_kept", sha256="0" * 64)
    first = check_logs.check_file("c.pdf", three[0])
    faults, _notes = check_logs.check_together([forged, honest, first])
    named = [fault for fault in faults if "another one in the other logs" in fault]
    assert {fault.partition(":")[0] for fault in faults} == {"a.pdf"}
    assert len(named) == 5
    assert any(fault.startswith("a.pdf: so are ") for fault in faults)
