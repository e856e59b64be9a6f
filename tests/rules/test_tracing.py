"""Tracing a lot forward, and a batch back to its delivery."""

from app.kinds import Entry, Subject
from app.rules.history.kitchen import Kitchen
from app.rules.history.tracing import Trace, trace_lots, trace_subject
from app.rules.history.versions import effective
from tests.support import set_up
from tests.support.cast import entry, moment
from tests.support.story import hot_tray, out

STORY = [
    entry("receiving", at="08:00", lot="0412-7"),
    entry("receiving", at="08:00", lot="other"),
    *hot_tray(),
    out("2", "11:00"),
    out("1", "11:10", "other_tray", into="A-T2"),
    out("2", "11:20", "chilled", batch="A-B1"),
    entry("batch_out", at="15:00", birds="1", to="prepared"),
]


def kitchen(*more: Entry) -> Kitchen:
    calendar = set_up.calendar()
    return Kitchen(effective([*STORY, *more], as_of=moment("20:00")), site=calendar.site, plan_at=calendar.plan_at)


def told(trace: Trace) -> list[tuple[str, str, str]]:
    return [(step.source.label, step.target.label if step.target else "", step.to) for step in trace.steps]


def test_a_lot_is_followed_to_every_way_out():
    trace = trace_lots(kitchen(), ["0412-7"])
    assert [entry.lot for entry in trace.deliveries] == ["0412-7"]
    assert told(trace) == [
        ("A-L1/1", "A-T1", "spit_pulled"),
        ("A-T1", "", "served"),
        ("A-T1", "A-T2", "other_tray"),
        ("A-T1", "A-B1", "chilled"),
        ("A-B1", "", "prepared"),
    ]
    assert trace.held == ((Subject("batch", "A-B1"), 1), (Subject("tray", "A-T2"), 1))


def test_a_batch_is_followed_back_to_its_lot_and_on_to_where_it_went():
    trace = trace_subject(kitchen(), [Subject("batch", "A-B1")])
    assert (trace.lots, len(trace.deliveries), len(trace.loadings)) == (("0412-7",), 1, 1)
    assert told(trace) == [("A-L1/1", "A-T1", "spit_pulled"), ("A-T1", "A-B1", "chilled"), ("A-B1", "", "prepared")]


def test_what_filled_a_tray_is_found_by_its_place_and_nothing_by_another():
    """Also by one after its last filling."""
    tray = kitchen().holders[Subject("tray", "A-T1")]
    (fill,) = tray.fills
    assert [tray.filled_at(place) for place in (fill.index - 1, fill.index, fill.index + 1)] == [None, fill, None]


def test_a_lot_that_was_never_cooked_leads_nowhere():
    trace = trace_lots(kitchen(), ["other"])
    assert (len(trace.deliveries), trace.steps) == (1, ())


def test_raw_birds_are_looked_for_in_the_cold_unit_that_was_named_last():
    named = [
        entry("unit_check", at="12:00"),
        entry("unit_check", at="12:10", unit_code="blast"),
        entry("unit_check", at="12:20", unit_code="pass"),
    ]
    assert trace_lots(kitchen(), ["0412-7"]).cold_unit is None
    assert trace_lots(kitchen(*named), ["0412-7"]).cold_unit == "blast"
