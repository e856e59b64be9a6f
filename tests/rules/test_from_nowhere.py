"""Birds out of something that no record fills: the ledger refuses such a record, a chain from outside may hold it."""

from dataclasses import replace

import pytest

from app.kinds import Entry, value_of
from tests.support import full_day, set_up
from tests.support.cast import entry, withdrawn
from tests.support.story import found, hot_tray, out, read, told, verdict_of


def on_from(first: list[Entry], *after: Entry) -> list[Entry]:
    """Give a tray's birds moved on into A-T2 at 11:00, without what filled the first tray."""
    return [*first, out("5", "11:00", "other_tray", into="A-T2"), *after]


def test_birds_from_a_tray_that_nothing_filled_count_as_out_from_then_on():
    day = told(on_from([]), as_of="15:00")
    assert verdict_of(day, "hold.time_out") == "not_met"
    assert not found(told(on_from([]), as_of="14:59"), "hold.time_out")


def test_a_low_reading_of_them_is_no_less_a_finding():
    assert verdict_of(told(on_from([], read("130", "11:30", tray="A-T2"))), "hold.temperature") == "not_met"


def test_a_good_reading_ends_their_time_out():
    day = told(on_from([], read("150", "11:30", tray="A-T2")), as_of="12:00")
    (tray,) = day.trays
    assert (tray.tray, tray.out_of_temperature_s, tray.running_out) == ("A-T2", 1800, False)


def test_a_pull_from_a_spit_that_nothing_loaded_counts_from_the_pull():
    pull = entry("spit_pulled", at="10:35", birds=5, load="A-L1", tray="A-T1")
    assert verdict_of(told([pull], as_of="14:35"), "hold.time_out") == "not_met"


def test_a_batch_from_a_tray_that_nothing_filled_starts_its_clock_then():
    chilled = entry("tray_out", at="11:00", tray="A-T1", birds="5", to="chilled", batch="A-B1")
    (batch,) = told([chilled], as_of="11:30").batches
    assert batch.started_at == chilled.observed_at


def test_the_pull_of_a_tray_may_be_withdrawn_under_birds_that_went_on():
    before = on_from(hot_tray())
    pull = next(one for one in before if one.kind == "spit_pulled")
    taken_back = replace(withdrawn(pull), seq=before[-1].seq + 1, id="taken-back", amends=pull.id)
    day = told([*before, taken_back], as_of="15:00")
    assert verdict_of(day, "hold.time_out") == "not_met"


def withdrawals() -> list[Entry]:
    """Give what takes back the first entry of a busy day of each kind that moves birds, by where they went."""
    rows = full_day.entries()
    last, amended = max(row.seq for row in rows), {row.amends for row in rows}
    first: dict[object, Entry] = {}
    for row in rows:
        if row.flows() and row.amends is None and row.id not in amended:
            first.setdefault((row.kind, value_of(row, "to")), row)
    return [
        replace(withdrawn(row), seq=last + 1, id="taken-back", amends=row.id, recorded_at=full_day.AS_OF)
        for row in first.values()
    ]


@pytest.mark.parametrize("taken_back", withdrawals(), ids=lambda row: f"{row.kind}-{row.root_seq}")
def test_any_day_without_one_of_its_movements_is_answered(taken_back: Entry):
    day = set_up.assess(
        full_day.DAY,
        [*full_day.entries(), taken_back],
        as_of=full_day.AS_OF,
        plans=[full_day.ADOPTED],
        site=full_day.SITE,
    )
    assert day.findings
