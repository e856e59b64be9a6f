"""What holds of every day, whatever happened in it (Hypothesis)."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from app.rules.assess import assess
from app.rules.facts import Entry, Verdict
from app.rules.shown import Assessment
from tests.cast import ADOPTED, DAY, entry, minutes, moment, site_facts
from tests.rules.story import told

SEVERITY = {Verdict.MET: 0, Verdict.PENDING: 1, Verdict.NOT_SHOWN: 2, Verdict.NOT_MET: 3}
OPENED, PULLED = moment("09:00"), moment("10:36")

_temperatures = st.sampled_from(["120", "134.9", "135", "140", "164.9", "165", "171"])
_minutes = st.integers(0, 600)


@st.composite
def days(draw: Any) -> list[Entry]:
    """A day of one load in one tray, chilled in part, with readings whenever; numbered as they are written."""
    story = [entry("load_started", at=OPENED, seq=1), entry("spit_loaded", at=OPENED, seq=2)]
    story += [_cook(draw, seq) for seq in range(3, 3 + draw(st.integers(0, 4)))]
    story.append(entry("spit_pulled", at=PULLED, seq=20))
    story += [_hold(draw, seq) for seq in range(21, 21 + draw(st.integers(0, 5)))]
    chilled_at = PULLED + minutes(draw(_minutes))
    story.append(entry("tray_out", at=chilled_at, seq=40, birds="2", to="chilled", batch="A-B1"))
    story += [_cool(draw, seq, chilled_at) for seq in range(41, 41 + draw(st.integers(0, 5)))]
    return story


def _cook(draw: Any, seq: int) -> Entry:
    at = OPENED + minutes(draw(st.integers(60, 110)))
    return entry("cook_reading", at=at, seq=seq, bird=draw(st.integers(1, 5)), temperature=draw(_temperatures))


def _hold(draw: Any, seq: int) -> Entry:
    return entry("hold_reading", at=PULLED + minutes(draw(_minutes)), seq=seq, temperature=draw(_temperatures))


def _cool(draw: Any, seq: int, since: datetime) -> Entry:
    value = draw(st.sampled_from(["130", "71", "70", "41", "42"]))
    return entry("cooling_reading", at=since + minutes(draw(_minutes)), seq=seq, temperature=value)


def _shifted(row: Entry, by: timedelta) -> Entry:
    return replace(row, observed_at=row.observed_at + by, recorded_at=row.recorded_at + by)


def _told_in_order(day: Assessment) -> list[tuple[Any, ...]]:
    return [(f.key, f.verdict, f.onset_at, f.ended_at, tuple(f.entries)) for f in day.findings]


@given(days(), st.integers(0, 840))
def test_a_later_entry_never_changes_what_was_said_as_of_before_it(story: list[Entry], at: int) -> None:
    as_of = OPENED + minutes(at)
    assert _told_in_order(told(story, as_of=as_of)) == _told_in_order(
        told([row for row in story if row.observed_at <= as_of], as_of=as_of)
    )


@given(days(), st.integers(1, 60))
def test_shifting_a_day_changes_nothing(story: list[Entry], by: int) -> None:
    """In a zone whose clocks do not change."""
    site, as_of, shift = site_facts("America/Phoenix"), moment("23:00"), timedelta(days=by)
    now = assess(DAY, story, site=site, plans=[ADOPTED], as_of=as_of)
    moved = [_shifted(row, shift) for row in story]
    then = assess(DAY + shift, moved, site=site, plans=[ADOPTED], as_of=as_of + shift)
    assert [(f.key, f.verdict, f.onset_at + shift) for f in now.findings] == [
        (f.key, f.verdict, f.onset_at) for f in then.findings
    ]


@given(days(), st.randoms(use_true_random=False))
def test_the_order_of_the_rows_given_changes_nothing(story: list[Entry], random: Any) -> None:
    mixed = list(story)
    random.shuffle(mixed)
    assert _told_in_order(told(story)) == _told_in_order(told(mixed))


@given(days(), st.integers(0, 10))
def test_removing_a_good_reading_never_improves_a_verdict(story: list[Entry], which: int) -> None:
    """Cook readings for the spit, hold readings for the tray, each held to its own limit."""
    good = [row for row in story if _is_good(row)]
    if good:
        gone = good[which % len(good)]
        before, after = told(story, as_of="23:00"), told([row for row in story if row is not gone], as_of="23:00")
        kind = "spit" if gone.kind == "cook_reading" else "tray"
        assert SEVERITY[_verdict(after, kind)] >= SEVERITY[_verdict(before, kind)]


def _is_good(row: Entry) -> bool:
    low = {"cook_reading": 165, "hold_reading": 135}.get(row.kind)
    return low is not None and row.fields["temperature"] >= low


def _verdict(day: Assessment, kind: str) -> Verdict:
    return day.loads[0].spits[0].verdict if kind == "spit" else day.trays[0].verdict


@given(days())
def test_the_entries_a_day_shows_give_the_same_day_again(story: list[Entry]) -> None:
    day = told(story)
    assert _told_in_order(told(day.entries)) == _told_in_order(day)


@given(days(), st.sampled_from([date(2026, 3, 8), date(2026, 11, 1)]))
def test_a_clock_change_moves_no_limit(story: list[Entry], change: date) -> None:
    """On both days of 2026 on which the clocks of the United States change, durations are elapsed time."""
    shift = moment("09:00", day=change) - OPENED
    moved = [_shifted(row, shift) for row in story]
    then = told(moved, day=change, as_of=moment("20:00") + shift)
    assert [(f.key, f.verdict) for f in told(story).findings] == [(f.key, f.verdict) for f in then.findings]
