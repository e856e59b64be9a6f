"""What holds of every day, whatever happened in it (Hypothesis)."""

from collections import Counter
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import Phase, assume, example, given, reject, settings
from hypothesis import strategies as st

from app.kinds import Entry, Subject, value_of
from app.kinds.reading import fields_of
from app.rules.day.shown import Assessment
from app.rules.facts import Verdict
from tests.support.any_day import LONGEST, OPENED, Day, days, moved, since, written
from tests.support.cast import ADOPTED, DAY, minutes, moment, site_facts
from tests.support.set_up import assess
from tests.support.story import adopted, told

SEVERITY = {Verdict.MET: 0, Verdict.PENDING: 1, Verdict.NOT_SHOWN: 2, Verdict.NOT_MET: 3}
AT_ANY_TIME = st.integers(0, LONGEST)
NEXT_DAY = moment("05:00", day=DAY + timedelta(days=1))

VIEWS = ("loads", "trays", "batches", "reheats", "probes", "cold_units", "receiving", "birds", "carried_out")


def _told_in_order(day: Assessment) -> list[tuple[Any, ...]]:
    return [(f.key, f.verdict, f.onset_at, f.ended_at, tuple(f.entries)) for f in day.findings]


@given(days(), AT_ANY_TIME)
def test_a_later_entry_never_changes_what_was_said_as_of_before_it(story: Day, at: int) -> None:
    as_of = OPENED + minutes(at)
    assert _told_in_order(told(story, as_of=as_of)) == _told_in_order(
        told([row for row in story if row.observed_at <= as_of], as_of=as_of)
    )


@given(days(), st.randoms(use_true_random=False))
def test_the_order_of_the_rows_given_changes_nothing(story: Day, random: Any) -> None:
    mixed = list(story)
    random.shuffle(mixed)
    assert _told_in_order(told(story)) == _told_in_order(told(mixed))


@given(days())
def test_the_entries_a_day_shows_give_the_same_day_again(story: Day) -> None:
    day = told(story)
    assert _told_in_order(told(day.entries)) == _told_in_order(day)


# ---- times -----------------------------------------------------------------------------------------------------------


def _said(day: Assessment, start: datetime) -> dict[str, Any]:
    """What a day says, its times told from a moment."""
    findings = [since(finding, start, day.day) for finding in day.findings]
    return {"findings": findings} | {name: since(getattr(day, name), start, day.day) for name in VIEWS}


@given(days(), st.integers(1, 60), st.sampled_from([OPENED + minutes(300), NEXT_DAY]))
def test_shifting_a_day_changes_nothing(story: Day, by: int, as_of: datetime) -> None:
    """In a zone whose clocks do not change; while the day runs and when it is over."""
    site, shift = site_facts("America/Phoenix"), timedelta(days=by)
    now = assess(DAY, story, site=site, plans=[ADOPTED], as_of=as_of)
    then = assess(DAY + shift, moved(story, shift), site=site, plans=[ADOPTED], as_of=as_of + shift)
    assert _said(now, OPENED) == _said(then, OPENED + shift)


CLOCK_CHANGES = [
    ("an hour forward", "America/Chicago", date(2026, 3, 7), "19:00"),
    ("an hour back", "America/Chicago", date(2026, 10, 31), "19:00"),
    ("half an hour forward", "Australia/Lord_Howe", date(2026, 10, 3), "19:00"),
    ("half an hour back", "Australia/Lord_Howe", date(2026, 4, 4), "19:00"),
]


@pytest.mark.parametrize(("zone", "day", "clock"), [c[1:] for c in CLOCK_CHANGES], ids=[c[0] for c in CLOCK_CHANGES])
@given(days(), AT_ANY_TIME)
def test_a_clock_change_in_the_night_moves_no_limit(zone: str, day: date, clock: str, story: Day, at: int) -> None:
    """The work begins at 19:00 and goes on through the change; the business day runs from noon to noon."""
    site, plans = site_facts(zone), [adopted(day_starts="12:00")]
    said = []
    for began_on in (day - timedelta(days=10), day):
        start = moment(clock, day=began_on, timezone=zone)
        as_of = start + minutes(at)
        night = assess(began_on, moved(story, start - OPENED), site=site, plans=plans, as_of=as_of)
        said.append(_said(night, start))
    assert said[0] == said[1]


def test_the_clocks_do_change_in_those_nights() -> None:
    changed = {
        label: _offset(zone, day, "19:00") - _offset(zone, day + timedelta(days=1), "11:00")
        for label, zone, day, _ in CLOCK_CHANGES
    }
    assert [change // minutes(1) for change in changed.values()] == [-60, 60, -30, 30]


def _offset(zone: str, day: date, clock: str) -> timedelta:
    offset = moment(clock, day=day, timezone=zone).astimezone(ZoneInfo(zone)).utcoffset()
    assert offset is not None
    return offset


# ---- a good reading more never makes it worse ------------------------------------------------------------------------

GOOD_READINGS = [
    # What is read, and which findings it is about. A probe's own gaps (probe.*) are about the probe, not the food.
    ("a done bird", "cook_reading", {"temperature": "165", "bird": 4}, ("cook.",)),
    ("a done bird, probed before", "cook_reading", {"temperature": "171", "bird": 1}, ("cook.",)),
    ("a hot tray", "hold_reading", {"temperature": "135"}, ("hold.", "time_control.", "cool.", "cold.", "birds.")),
    ("a hot tray filled by a reheat", "hold_reading", {"temperature": "135", "tray": "A-T2"}, ("hold.", "birds.")),
    ("a batch under its first mark", "cooling_reading", {"temperature": "70"}, ("cool.first_stage",)),
    ("a cold batch", "cooling_reading", {"temperature": "41"}, ("cool.",)),
    ("a hot reheat", "reheat_reading", {"temperature": "165", "held_s": 15}, ("reheat.", "hold.")),
    ("cold food in a unit", "unit_check", {"temperature": "41", "of": "food"}, ("cold.",)),
    ("cold air in a unit", "unit_check", {"temperature": "41", "of": "air"}, ("cold.",)),
    ("hot air in a unit", "unit_check", {"temperature": "135", "unit_code": "pass", "of": "air"}, ("hold.unit",)),
    ("a probe right in ice", "probe_check", {"temperature": "32", "probe": "blue"}, ("probe.",)),
    ("a cold delivery", "receiving", {"temperature": "41"}, ("lot.", "receive.")),
]
OPENS = {"A-T1": "spit_pulled", "A-T2": "reheat_done", "A-B1": "tray_out", "A-R1": "reheat_started"}


def _worst_by_rule(day: Assessment, rules: tuple[str, ...]) -> dict[tuple[str, Subject], int]:
    worst: dict[tuple[str, Subject], int] = {}
    for finding in day.findings:
        if finding.rule.startswith(rules):
            about = (finding.rule, finding.subject)
            worst[about] = max(worst.get(about, 0), SEVERITY[finding.verdict])
    return worst


def _there_from(story: Day, reading: Entry) -> datetime | None:
    """When what the reading is of was opened; None where it never was."""
    name = next((name for kind in ("tray", "batch", "reheat") if (name := value_of(reading, kind))), None)
    if name is None:
        return OPENED
    return next((row.observed_at for row in story if row.kind == OPENS[name] and name in fields_of(row).values()), None)


def _is_warmed_again(row: Entry, cold: Entry) -> bool:
    """Whether a batch is read hot after it was read cold: then its clock starts where it would not have."""
    both = row.kind == cold.kind == "cooling_reading"
    return both and row.observed_at >= cold.observed_at and row.reading.value >= 135


def _is_new_in_cold_storage(about: tuple[str, Subject], before: Assessment, after: Assessment) -> bool:
    """Whether this is asked of cold storage, and of a batch that only the reading more shows to be there in time.

    A later known-hot moment starts the cooling later and may so show it met; what is read of the batch from then on is
    about cold storage, and no longer about its cooling.
    """
    rule, batch = about
    return rule == "cold.temperature" and not _is_cooled(batch, before) and _is_cooled(batch, after)


def _is_newly_held_by_time(about: tuple[str, Subject], before: Assessment, after: Assessment) -> bool:
    """Whether this is asked only where time as the control took a tray out of hot holding, and it now did.

    What left it by a way that is not allowed is then told by time_control.returned; in another tray it is not known to
    be hot.
    """
    rule, tray = about
    was, now = ({one.tray for one in day.trays if one.by_time} for day in (before, after))
    is_elsewhere = rule.startswith("hold.") and tray.name not in now
    return now > was and (rule == "time_control.returned" or is_elsewhere)


def _is_cooled(batch: Subject, day: Assessment) -> bool:
    return any(one.batch == batch.name and one.total and one.total.verdict is Verdict.MET for one in day.batches)


def _cold_at_last(*later: str) -> Day:
    """Hot at 10:00 by its cooking, in a tray at 10:36, at 41 °F at 16:01: over 6 h from 10:00, under 6 h from 10:36."""
    rows = [
        ("load_started", "09:00", {}),
        ("spit_loaded", "09:00", {}),
        ("cook_reading", "10:00", {"temperature": "158"}),
        ("spit_pulled", "10:36", {}),
        ("tray_out", "14:05", {"birds": "2", "to": "chilled", "batch": "A-B1"}),
        ("cooling_reading", "16:01", {"temperature": "41"}),
        *(("cooling_reading", "16:02", {"temperature": temperature}) for temperature in later),
    ]
    return [written(kind, moment(at), seq, **own) for seq, (kind, at, own) in enumerate(rows, start=1)]


@pytest.mark.parametrize(("kind", "own", "rules"), [c[1:] for c in GOOD_READINGS], ids=[c[0] for c in GOOD_READINGS])
@given(days(), st.integers(0, 400), st.sampled_from([OPENED + minutes(420), NEXT_DAY]))
@example(_cold_at_last("45"), 0, NEXT_DAY).via("a hot tray: its batch was cold in time, and then warm in cold storage")
@example(_cold_at_last("140"), 0, NEXT_DAY).via("a hot tray: the same, and warm enough to begin cooling once more")
def test_a_good_reading_more_never_makes_it_worse(
    kind: str, own: dict[str, Any], rules: tuple[str, ...], story: Day, at: int, as_of: datetime
) -> None:
    """Each question is answered no worse; what is now shown to be in cold storage, or held by time, is asked more."""
    reading = written(kind, OPENED, len(story) + 1, **own)
    opened = _there_from(story, reading)
    if opened is None:
        reject()
    reading = written(kind, opened + minutes(at), len(story) + 1, **own)
    assume(not any(_is_warmed_again(row, reading) for row in story))
    without, more = told(story, as_of=as_of), told([*story, reading], as_of=as_of)
    before = _worst_by_rule(without, rules)
    for about, severity in _worst_by_rule(more, rules).items():
        is_new = _is_new_in_cold_storage(about, without, more) or _is_newly_held_by_time(about, without, more)
        assert severity <= before.get(about, 0) or is_new, about


@given(days(), st.integers(0, 60))
def test_without_one_of_its_good_readings_no_verdict_is_better(story: Day, which: int) -> None:
    """Cook readings for the spit, hold readings for the tray, each held to its own limit."""
    good = [row for row in story if _is_good(row)]
    assume(good)
    gone = good[which % len(good)]
    before, after = told(story, as_of="23:00"), told([row for row in story if row is not gone], as_of="23:00")
    kind = "spit" if gone.kind == "cook_reading" else "tray"
    assert SEVERITY[_verdict(after, kind)] >= SEVERITY[_verdict(before, kind)]


def _is_good(row: Entry) -> bool:
    low = {"cook_reading": 165, "hold_reading": 135}.get(row.kind)
    return low is not None and row.reading.value >= low


def _verdict(day: Assessment, kind: str) -> Verdict:
    return day.loads[0].spits[0].verdict if kind == "spit" else day.trays[0].verdict


# ---- what these days are made of -------------------------------------------------------------------------------------

KINDS = {
    *["receiving", "unit_check", "load_started", "spit_loaded", "cook_reading", "spit_pulled", "hold_reading"],
    *["tray_out", "time_control_started", "cooling_reading", "batch_moved", "reheat_started", "reheat_reading"],
    *["reheat_done", "batch_out", "probe_check", "equipment_out", "equipment_back", "checklist", "in_charge_from"],
}
RULES = {
    *["cook.core_temperature", "cook.interrupted", "start.checks", "lot.known", "lot.rejected", "ties.balance"],
    *["hold.temperature", "hold.time_out", "hold.check_interval", "hold.disposition", "hold.unit"],
    *["time_control.start", "time_control.mark", "time_control.procedure", "time_control.discard"],
    *["time_control.returned", "cool.first_stage", "cool.total", "reheat.temperature", "reheat.dwell", "reheat.time"],
    *["cold.temperature", "cold.check_interval", "receive.temperature", "probe.accuracy", "probe.check_due"],
    *["probe.out_of_use", "probe.review", "birds.balance"],
}


def test_the_days_drawn_hold_every_group_and_break_its_rules() -> None:
    """A property says nothing of what its days never hold."""
    seen: Counter[str] = Counter()

    @settings(max_examples=600, derandomize=True, database=None, phases=[Phase.generate])
    @given(days())
    def look(story: Day) -> None:
        seen.update({row.kind for row in story})
        seen.update({finding.rule for finding in told(story, as_of=NEXT_DAY).findings})

    look()
    assert seen.keys() >= KINDS | RULES
    assert min(seen[name] for name in KINDS | RULES) >= 3, seen
