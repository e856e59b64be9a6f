"""A start of time as the control that is not met takes no tray out of hot holding: its checks and bands go on."""

import pytest

from tests.support.cast import moment
from tests.support.story import adopted, found, hot_tray, out, read, told, verdict_of
from tests.support.time_control import NAMED, started

NOT_STARTED = [
    ("a low reading", [read("134.9", "11:30")], NAMED),
    ("no reading in the 15 minutes before", [read("140", "11:14")], NAMED),
    ("no group", [read("140", "11:30")], [adopted(controls="holding", time_control_procedure="TC-1")]),
]


@pytest.mark.parametrize(("readings", "plans"), [case[1:] for case in NOT_STARTED], ids=[c[0] for c in NOT_STARTED])
def test_where_the_start_is_not_met_hot_holding_goes_on(readings, plans):
    day = told([*hot_tray(), *readings, started(), read("130", "13:20")], as_of="13:30", plans=plans)
    tray = day.trays[0]
    assert tray.check_due_at == moment("14:50")
    assert found(day, "hold.temperature")[-1].onset_at in (moment("13:20"), moment("11:30"))
    assert (tray.running_out, tray.by_time) == (True, False)


def test_and_a_check_that_nobody_made_is_missed():
    """Read at 11:30, so due at 13:00, with 15 minutes of grace."""
    entries = [*hot_tray(), read("134.9", "11:30"), started()]
    assert verdict_of(told(entries, as_of="13:15:01", plans=NAMED), "hold.check_interval") == "not_shown"


@pytest.mark.parametrize(("readings", "plans"), [case[1:] for case in NOT_STARTED], ids=[c[0] for c in NOT_STARTED])
def test_and_the_ways_out_are_those_of_its_band(readings, plans):
    day = told([*hot_tray(), *readings, started(), out("1", "11:40", "prepared")], as_of="11:50", plans=plans)
    assert "chilled" in day.trays[0].ways_out
    assert not found(day, "time_control.returned")
    assert not found(day, "hold.disposition")


def test_past_the_band_a_way_out_is_told_by_hot_holding():
    entries = [*hot_tray(), read("130", "11:30"), started(), out("1", "12:30", "chilled", batch="A-B1")]
    day = told(entries, as_of="12:40", plans=NAMED)
    assert (verdict_of(day, "hold.disposition"), verdict_of(day, "time_control.returned")) == ("not_met", "none")


def test_by_the_discard_time_less_the_sum_at_the_start_it_must_be_empty_besides():
    """An hour out, from 10:30 to the start at 11:30; what it is out afterwards takes nothing off again."""
    entries = [*hot_tray(), read("130", "11:30"), started(), read("140", "12:00")]
    assert told(entries, as_of="14:00", plans=NAMED).trays[0].discard_at == moment("14:30")
    assert verdict_of(told(entries, as_of="14:30:01", plans=NAMED), "time_control.discard") == "not_met"


def test_what_is_out_for_longer_than_the_whole_time_is_due_at_its_start():
    entries = [*hot_tray(), read("130", "11:00"), read("140", "15:00"), read("140", "15:10"), started("15:10")]
    day = told(entries, as_of="15:20", plans=NAMED)
    assert found(day, "time_control.discard")[0].onset_at == moment("15:10")


def test_a_group_not_in_force_sets_no_discard_time():
    day = told([*hot_tray(), started()], as_of="12:00", plans=[adopted(controls="holding")])
    assert day.trays[0].discard_at is None
