"""Readings written late are told once a day. 9 CFR 417.5(b): an entry is made when the event occurs."""

from datetime import timedelta

import pytest

from tests.support.cast import DAY, changed, entry, moment
from tests.support.story import adopted, checked, found, hot_tray, out, probe_check, read, told, verdict_of

NEXT_DAY = moment("04:00", day=DAY + timedelta(days=1))


def readings(late, in_time, *, start="11:00"):
    """So many hold readings written late, then so many written in time, a minute apart."""
    first = moment(start)
    return [
        entry("hold_reading", at=first + timedelta(minutes=number), late=number < late)
        for number in range(late + in_time)
    ]


def tray(*entries):
    """A tray hot enough to be read; its two cook readings were written in time."""
    return [*hot_tray(), *entries]


@pytest.mark.parametrize(
    ("late", "in_time", "verdict"),
    [
        (4, 0, "none"),
        (5, 0, "not_shown"),
        (5, 12, "not_shown"),
        (5, 13, "none"),
        (6, 15, "not_shown"),
        (6, 16, "none"),
    ],
    ids=[
        "4 of 6: fewer than five",
        "5 of 7: five and more than a quarter",
        "5 of 19: just more than a quarter",
        "5 of 20: a quarter is not more",
        "6 of 23: more than a quarter",
        "6 of 24: a quarter",
    ],
)
def test_five_late_readings_and_more_than_a_quarter(late, in_time, verdict):
    assert verdict_of(told(tray(*readings(late, in_time)), as_of=NEXT_DAY), "record.late") == verdict


def test_it_is_told_once_at_the_days_end():
    entries = tray(*readings(5, 3))
    assert verdict_of(told(entries, as_of=NEXT_DAY - timedelta(seconds=1)), "record.late") == "none"
    finding = found(told(entries, as_of=NEXT_DAY), "record.late")[0]
    assert finding.key == "record.late:day:2026-04-14:2026-04-14"
    assert (finding.onset_at, finding.day, finding.concerns) == (NEXT_DAY, DAY, "verification")
    assert (finding.measured, finding.limit) == ({"readings": 10, "late": 5}, {"late_min": 15})
    assert finding.entries == tuple(one.root for one in entries if one.late)


def test_a_reading_is_late_if_its_first_version_was_whatever_mended_it():
    *before, first = tray(*readings(5, 0))
    assert verdict_of(told([*before, first, changed_by(first)], as_of=NEXT_DAY), "record.late") == "not_shown"


def withdrawn_by(first):
    return entry("hold_reading", at="20:00", of=first, withdrawn=True)


def changed_by(first):
    return entry("hold_reading", at=first.observed_at, of=first, temperature="151")


CRITICAL = [
    ("a bird", [entry("cook_reading", at="10:29", bird=3, late=True)], 1),
    ("a tray", [read("150", "11:00")], 1),
    ("a batch", [entry("cooling_reading", at="12:00")], 1),
    ("a batch when it is chilled", [out("1", "11:30", "chilled", batch="A-B2", temperature="90", unit="F")], 1),
    ("food when it is prepared", [out("1", "11:30", "prepared", batch="A-B2", temperature="90", unit="F")], 1),
    ("a reheat", [entry("reheat_reading", at="13:00")], 1),
    ("a delivery", [entry("receiving", at="06:00")], 1),
    ("food in a cold unit", [checked("38", "09:00", of="food")], 1),
    ("air in a cold unit", [checked("38", "09:00")], 0),
    ("food in a hot unit", [checked("150", "09:00", of="food", code="pass")], 0),
    ("a delivery that was not read", [entry("receiving", at="06:00", temperature=..., unit=..., probe=...)], 0),
    ("a probe check", [probe_check()], 0),
    ("birds out", [out("1", "11:30")], 0),
]


@pytest.mark.parametrize(("entries", "counted"), [case[1:] for case in CRITICAL], ids=[case[0] for case in CRITICAL])
def test_which_readings_are_critical(entries, counted):
    day = told([*hot_tray(), *entries], as_of="20:00")
    assert day.late.readings == 2 + counted


def test_the_day_says_how_many_are_late_while_it_runs():
    day = told(tray(*readings(2, 3)), as_of="20:00")
    assert (day.late.readings, day.late.late) == (7, 2)


def test_a_site_without_the_group_is_told_nothing_but_the_count():
    day = told(tray(*readings(6, 0)), as_of=NEXT_DAY, plans=[adopted(controls="cooking")])
    assert not found(day, "record.late")
    assert day.late.late == 6


def test_withdrawing_a_late_reading_that_made_five_is_a_clearing():
    *before, last = tray(*readings(5, 0))
    day = told([*before, last, withdrawn_by(last)], as_of=NEXT_DAY)
    assert not found(day, "record.late")
    assert "record.late" in {item.finding.rule for item in day.cleared}


def test_a_changed_value_clears_nothing_of_it():
    *before, last = tray(*readings(5, 0))
    assert told([*before, last, changed_by(last)], as_of=NEXT_DAY).cleared == ()


# ---- opening and closing lists ---------------------------------------------------------------------------------------

ON = [adopted(controls="checklists")]
OPENING = ("hand_sink", "probe_wipes", "cold_units", "hot_units")
CLOSING = ("food_put_away", "grease_emptied", "gas_off", "probes_cleaned")


def made(name, items, at="08:00"):
    return entry("checklist", at=at, list=name, items=items)


def whole(items, **answers):
    return {**dict.fromkeys(items, True), **answers}


def lists_of(*entries, plans=ON, as_of=NEXT_DAY):
    day = told([entry("load_started", at="09:00"), *entries], plans=plans, as_of=as_of)
    return {finding.subject.name: str(finding.verdict) for finding in found(day, "checklist.done")}


@pytest.mark.parametrize(
    ("opening", "verdict"),
    [
        (whole(OPENING), None),
        (whole(OPENING, hot_units=None), None),
        (whole(OPENING, hot_units=False), "not_met"),
        (whole(OPENING[:3]), "not_shown"),
        ({**whole(OPENING[:2]), "cold_units": False}, "not_met"),
    ],
    ids=["all in order", "one does not apply", "one is wrong", "one is missing", "wrong and missing: the worse"],
)
def test_the_newest_list_of_a_day_with_a_load(opening, verdict):
    expected = {} if verdict is None else {"opening": verdict}
    assert lists_of(made("opening", opening), made("closing", whole(CLOSING), "22:00")) == expected


def test_no_list_at_all_is_not_shown():
    assert lists_of() == {"opening": "not_shown", "closing": "not_shown"}


def test_a_later_list_takes_the_place_of_an_earlier_one():
    closing = made("closing", whole(CLOSING), "22:00")
    wrong, right = made("opening", whole(OPENING, hot_units=False)), made("opening", whole(OPENING), "08:30")
    assert lists_of(wrong, right, closing) == {}
    assert lists_of(changed(right, observed_at=moment("07:00")), wrong, closing) == {"opening": "not_met"}


def test_without_a_load_or_before_the_days_end_or_by_default_nothing_is_asked():
    assert not found(told([made("opening", {})], plans=ON, as_of=NEXT_DAY), "checklist.done")
    assert lists_of(as_of=NEXT_DAY - timedelta(seconds=1)) == {}
    assert lists_of(plans=None) == {}


def test_a_list_is_named_by_its_day():
    wrong = made("opening", whole(OPENING, hot_units=False))
    entries = [entry("load_started", at="09:00"), wrong, made("closing", whole(CLOSING), "22:00")]
    finding = found(told(entries, plans=ON, as_of=NEXT_DAY), "checklist.done")[0]
    assert finding.key == "checklist.done:checklist:opening:2026-04-14"
    assert (finding.onset_at, finding.entries, finding.concerns) == (NEXT_DAY, (wrong.root,), "monitoring")
    assert (finding.measured, finding.limit) == (
        {"wrong": ["hot_units"], "missing": []},
        {"opening_checks": list(OPENING)},
    )
