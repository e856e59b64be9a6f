"""Business days across both clock changes: durations are elapsed time, dates the calendar's; a change moves no limit.

In Chicago clocks go from 02:00 CST to 03:00 CDT on 8 March 2026, and from 02:00 CDT to 01:00 CST on 1 November 2026.
"""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support import set_up
from tests.support.cast import entry, site_facts
from tests.support.story import adopted, checked, found, out, probed, read, told, verdict_of

CHICAGO = ZoneInfo("America/Chicago")
CALENDAR = set_up.calendar()
HOUR = timedelta(hours=1)

SPRING = (date(2026, 3, 7), datetime(2026, 3, 8, 6, 30, tzinfo=UTC))
"""The business day that the clocks shorten, and 00:30 CST in it."""
AUTUMN = (date(2026, 10, 31), datetime(2026, 11, 1, 5, 30, tzinfo=UTC))
"""The business day that they lengthen, and 00:30 CDT in it."""
ORDINARY = (date(2026, 4, 14), datetime(2026, 4, 15, 5, 30, tzinfo=UTC))
NIGHTS = pytest.mark.parametrize(("day", "start"), [SPRING, AUTUMN, ORDINARY], ids=["spring", "autumn", "ordinary"])


# ---- days ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("day", "hours"),
    [
        (date(2026, 3, 6), 24),
        (date(2026, 3, 7), 23),
        (date(2026, 3, 8), 24),
        (date(2026, 10, 30), 24),
        (date(2026, 10, 31), 25),
        (date(2026, 11, 1), 24),
    ],
)
def test_a_day_runs_from_four_to_four_on_the_kitchens_clock(day, hours):
    starts_at, ends_at = CALENDAR.bounds(day)
    assert ends_at - starts_at == hours * HOUR
    assert [at.astimezone(CHICAGO).strftime("%d %H:%M") for at in (starts_at, ends_at)] == [
        f"{day:%d} 04:00",
        f"{day + timedelta(days=1):%d} 04:00",
    ]


@pytest.mark.parametrize(
    ("at", "day"),
    [
        (datetime(2026, 3, 8, 7, 59, tzinfo=UTC), date(2026, 3, 7)),  # 01:59 CST
        (datetime(2026, 3, 8, 8, 0, tzinfo=UTC), date(2026, 3, 7)),  # 03:00 CDT
        (datetime(2026, 3, 8, 9, 0, tzinfo=UTC), date(2026, 3, 8)),  # 04:00 CDT
        (datetime(2026, 11, 1, 6, 30, tzinfo=UTC), date(2026, 10, 31)),  # 01:30 CDT
        (datetime(2026, 11, 1, 7, 30, tzinfo=UTC), date(2026, 10, 31)),  # 01:30 CST, the second time
        (datetime(2026, 11, 1, 9, 59, tzinfo=UTC), date(2026, 10, 31)),  # 03:59 CST
        (datetime(2026, 11, 1, 10, 0, tzinfo=UTC), date(2026, 11, 1)),
    ],
)
def test_a_moment_of_the_night_belongs_to_the_day_before(at, day):
    assert CALENDAR.day_of(at) == day


STARTS = ["00:00", "01:30", "02:30", "04:00", "12:00", "23:30"]
ZONES = ["America/Chicago", "Europe/London", "Australia/Lord_Howe", "America/Santiago", "Asia/Kathmandu", "UTC"]
FIRST = datetime(2024, 1, 1, tzinfo=UTC)
MOMENTS = st.integers(0, 6 * 365 * 86_400).map(lambda seconds: FIRST + timedelta(seconds=seconds))


@given(MOMENTS, st.sampled_from(STARTS), st.sampled_from(ZONES))
def test_every_moment_is_in_the_day_that_it_belongs_to(at, starts, zone):
    """Also where the day starts in the hour that the clocks leave out or repeat."""
    calendar = set_up.calendar(site_facts(zone), [adopted(day_starts=starts)])
    starts_at, ends_at = calendar.bounds(calendar.day_of(at))
    assert starts_at <= at < ends_at


def test_days_follow_each_other_where_the_plan_moves_their_start():
    later = adopted(day_starts="06:00")
    plans = [adopted(), type(later)(2, later.code, later.settings, "pat", datetime(2026, 4, 15, 3, tzinfo=UTC))]
    first, second = (set_up.calendar(None, plans).bounds(date(2026, 4, number)) for number in (14, 15))
    assert first[1] == second[0]
    assert first[1] - first[0] == 26 * HOUR


def test_a_day_begins_with_its_first_instant_and_ends_before_the_next():
    start = CALENDAR.start_of(date(2026, 4, 14))
    notes = [entry("note", at=at) for at in (start - timedelta(milliseconds=1), start, start + 24 * HOUR)]
    assert [note.root for note in told(notes, as_of=start + 25 * HOUR).entries] == [notes[1].root]


def test_a_load_started_in_a_days_first_instant_is_that_days():
    start = CALENDAR.start_of(date(2026, 4, 14))
    moments = {"A-L1": start - timedelta(milliseconds=1), "A-L2": start}
    day = told([entry("load_started", at=at, load=load) for load, at in moments.items()], as_of=start + HOUR)
    assert [load.load for load in day.loads] == ["A-L2"]


def test_a_tray_that_was_emptied_the_day_before_is_shown_where_it_is_written_about_again():
    """Empty at the day's start, with entries of both days."""
    before = ORDINARY[1] - 24 * HOUR
    emptied = [*tray_at(before), out("9", before + HOUR)]
    assert [tray.tray for tray in told(emptied, as_of=ORDINARY[1]).trays] == []
    late = read("140", ORDINARY[1] - HOUR)
    assert [tray.tray for tray in told([*emptied, late], as_of=ORDINARY[1]).trays] == ["A-T1"]


def test_a_day_shows_what_it_holds_with_its_whole_history_and_what_fed_it():
    """Chilled the day before, out of a tray that was filled from a spit."""
    before = ORDINARY[1] - 24 * HOUR
    story = [*tray_at(before), chilled := out("5", before + HOUR, "chilled", batch="A-B1"), entry("note", at=before)]
    shown = told(story, as_of=ORDINARY[1]).entries
    assert [one.root for one in shown] == [one.root for one in story[:-1]]
    assert chilled in shown


def test_it_shows_the_deliveries_of_the_lots_that_it_holds_and_of_no_others():
    before = ORDINARY[1] - 24 * HOUR
    deliveries = [entry("receiving", at=before - 2 * HOUR, lot=lot) for lot in ("0412-7", "other")]
    shown = told([*deliveries, *tray_at(before)], as_of=ORDINARY[1]).entries
    assert [one.lot for one in shown if one.kind == "receiving"] == ["0412-7"]


def test_what_is_seen_after_the_moment_asked_about_is_not_shown():
    noon = ORDINARY[1] - 12 * HOUR
    note = entry("note", at=noon)
    moved = entry("note", at=noon + HOUR, of=note, amend_reason="an hour later")
    assert [one.root for one in told([note], as_of=noon).entries] == [note.root]
    assert told([note], as_of=noon - timedelta(seconds=1)).entries == ()
    assert told([note, moved], as_of=noon).entries == ()
    assert len(told([note, moved], as_of=noon + HOUR).entries) == 2


# ---- durations: the same on a night of either change as on any other -------------------------------------------------


def tray_at(start):
    """Birds probed at `start`, pulled five minutes later."""
    load = [entry("load_started", at=start - HOUR), entry("spit_loaded", at=start - HOUR)]
    return [*load, *probed("170", "171", at=start), entry("spit_pulled", at=start + timedelta(minutes=5))]


@NIGHTS
def test_a_check_is_due_90_minutes_later(day, start):
    tray = told(tray_at(start), day=day, as_of=start + HOUR).trays[0]
    assert tray.check_due_at == start + timedelta(minutes=95)


@NIGHTS
@pytest.mark.parametrize(("hours", "band"), [(1.999, "under_2h"), (2, "from_2h"), (3.999, "from_2h"), (4, "from_4h")])
def test_the_bands_begin_after_two_and_four_hours(day, start, hours, band):
    end = start + hours * HOUR
    entries = [*tray_at(start), read("130", start + timedelta(minutes=10)), read("140", end)]
    tray = next(t for t in told(entries, day=day, as_of=end).trays if t.tray == "A-T1")
    assert (tray.time_band, tray.out_of_temperature_s) == (band, int((end - start).total_seconds()))


@NIGHTS
def test_time_as_the_control_ends_after_four_hours(day, start):
    entries = [*tray_at(start), read("140", start + HOUR), entry("time_control_started", at=start + HOUR)]
    assert told(entries, day=day, as_of=start + 2 * HOUR).trays[0].discard_at == start + 5 * HOUR


@NIGHTS
def test_the_stages_of_cooling_are_due_after_two_and_six_hours(day, start):
    entries = [*tray_at(start), out("5", start + timedelta(minutes=20), "chilled", batch="A-B1")]
    batch = told(entries, day=day, as_of=start + HOUR).batches[0]
    assert (batch.first_stage.due_at, batch.total.due_at) == (start + 2 * HOUR, start + 6 * HOUR)


@NIGHTS
def test_a_reheat_is_due_after_two_hours(day, start):
    entries = [*tray_at(start), out("5", start + timedelta(minutes=20), "reheated", reheat="A-R1")]
    reheat = told(entries, day=day, as_of=start + HOUR).reheats[0]
    assert reheat.due_at == start + timedelta(minutes=140)


@NIGHTS
@pytest.mark.parametrize(("minutes", "verdict"), [(30, "none"), (31, "not_shown")])
def test_warm_air_waits_half_an_hour_for_the_food(day, start, minutes, verdict):
    checks = [checked("44", start), checked("40", start + timedelta(minutes=minutes), of="food")]
    assert verdict_of(told(checks, day=day, as_of=start + HOUR), "cold.temperature") == verdict


@NIGHTS
def test_a_probe_check_stands_for_24_hours_of_elapsed_time(day, start):
    check = entry("probe_check", at=start, probe="blue")
    for hours, verdict in ((24, "none"), (24.001, "not_shown")):
        probing = entry("hold_reading", at=start + hours * HOUR)
        next_day = day + timedelta(days=1)
        as_of = start + 25 * HOUR
        assert verdict_of(told([check, probing], day=next_day, as_of=as_of), "probe.check_due") == verdict


# ---- dates: the calendar's -------------------------------------------------------------------------------------------


@NIGHTS
def test_the_use_by_date_is_six_calendar_days_on_however_long_the_days(day, start):
    entries = [*tray_at(start), out("5", start + timedelta(minutes=20), "chilled", batch="A-B1")]
    entries += [entry("cooling_reading", at=start + HOUR, temperature="40")]
    over = CALENDAR.start_of(day + timedelta(days=7))
    verdicts = [
        verdict_of(told(entries, day=day + timedelta(days=7), as_of=at), "date_mark.passed")
        for at in (over - timedelta(seconds=1), over)
    ]
    assert told(entries, day=day, as_of=start + HOUR).batches[0].use_by == day + timedelta(days=6)
    assert verdicts == ["none", "not_met"]


@NIGHTS
def test_a_cold_unit_is_owed_its_checks_when_the_kitchens_day_ends(day, start):
    ends_at = CALENDAR.start_of(day + timedelta(days=1))
    before, after = (told([entry("equipment_out", at=start)], day=day, as_of=at) for at in (ends_at - HOUR, ends_at))
    assert not found(before, "cold.check_interval")
    assert {f.onset_at for f in found(after, "cold.check_interval")} == {ends_at}


@NIGHTS
def test_every_entry_of_the_long_and_the_short_night_is_in_its_day(day, start):
    notes = [entry("equipment_out", at=start + number * HOUR) for number in range(6)]
    ends_at = CALENDAR.start_of(day + timedelta(days=1))
    shown = told(notes, day=day, as_of=start + 12 * HOUR).entries
    assert [note.observed_at for note in shown] == [note.observed_at for note in notes if note.observed_at < ends_at]
