"""Birds out of something that no record fills: the ledger refuses such a record, a chain from outside may hold it."""

from dataclasses import replace

import pytest

from app.kinds import Entry, value_of
from app.rules.plans import plan
from tests.support import full_day, set_up
from tests.support.cast import OPENED, entry, withdrawn
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


ONCE_ONLY = [plan.Adopted(1, "england_2013", (), "pat", OPENED)]
"""A code that defends one time out of temperature only: what nobody saw before may have been that one."""

CHILLED = entry("tray_out", at="11:00", tray="A-T1", birds="5", to="chilled", batch="A-B1")
HEATED = [
    entry("reheat_started", at="12:00", birds="5"),
    entry("reheat_reading", at="12:30", temperature="170"),
    entry("reheat_done", at="12:35", birds="5", tray="A-T2"),
]


@pytest.mark.parametrize(
    "before",
    [on_from([]), [CHILLED, *HEATED], HEATED, HEATED[2:]],
    ids=["moved on", "chilled and heated", "heated", "heated by no start"],
)
def test_where_one_time_out_is_defended_their_first_that_is_seen_is_no_first(before: list[Entry]):
    day = told([*before, read("60", "13:00", "C", "A-T2")], as_of="13:01", plans=ONCE_ONLY)
    (tray,) = day.trays
    assert (tray.tray, tray.time_band) == ("A-T2", "from_4h")


def test_birds_reheated_by_no_start_count_as_out_from_then_on():
    done = HEATED[2:]
    assert verdict_of(told(done, as_of="16:35"), "hold.time_out") == "not_met"
    assert not found(told(done, as_of="16:34"), "hold.time_out")


@pytest.mark.parametrize("before", [on_from([]), HEATED[2:]], ids=["moved on", "heated by no start"])
def test_nothing_says_when_they_were_last_hot(before: list[Entry]):
    (tray,) = told(before, as_of="13:00").trays
    assert tray.known_hot_at is None


def test_a_batch_made_of_one_that_nothing_filled_has_no_stages():
    made = entry("batch_out", at="13:00", batch="A-B1", birds="2", to="prepared", into="A-B2")
    (batch,) = told([made], as_of="13:30").batches
    assert (batch.batch, batch.first_stage, batch.total) == ("A-B2", None, None)


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
