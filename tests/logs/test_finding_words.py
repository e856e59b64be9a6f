"""Each rule's finding, made by the rule itself from a few entries, in the words that people read."""

from datetime import datetime, timedelta
from typing import Any

import pytest

from app import words
from app.kinds import Entry
from app.rules.day import shown
from app.rules.plans import plan
from tests.support import cast
from tests.support.cast import entry
from tests.support.set_up import assess

Made = list[Entry]


def _cooked(*, tray: str = "A-T1", load: str = "A-L1", at: str = "10:36", birds: int = 2, **pulled: Any) -> Made:
    """A load of one spit, probed in two birds and pulled into a tray."""
    return [
        entry("load_started", at="09:00", load=load),
        entry("spit_loaded", at="09:02", load=load, birds=birds),
        entry("cook_reading", at="10:30", load=load, temperature="168"),
        entry("cook_reading", at="10:31", load=load, bird=2, temperature="171"),
        entry("spit_pulled", at=at, load=load, tray=tray, birds=birds, **pulled),
    ]


def _chilled(*, temperature: Any = ..., day: str = "14") -> Made:
    read = {} if temperature is ... else {"temperature": temperature, "unit": "F", "probe": "blue"}
    chilled = entry("tray_out", at="11:00", birds="2", to="chilled", batch="A-B1", cold_unit="walk-in", **read)
    return [*_cooked(), chilled]


def _reheated(*readings: Entry, done: str = "13:30") -> Made:
    start = entry("reheat_started", at="12:00", birds="2")
    return [*_chilled(), start, *readings, entry("reheat_done", at=done, birds="2")]


def _unit(code: str, of: str, temperature: str, at: str = "12:00") -> Entry:
    return entry("unit_check", at=at, unit_code=code, temperature=temperature, of=of)


def _told(rule: str, made: Made, *, at: str | datetime = "15:00", day: Any = cast.DAY) -> list[str]:
    as_of = cast.moment(at) if isinstance(at, str) else at
    day_ = assess(day, made, site=cast.site_facts(), plans=[cast.ADOPTED], as_of=as_of)
    found = [finding for finding in day_.findings if finding.rule == rule]
    return [words.finding_words(finding, day_).sentence.replace("\u00a0", " ") for finding in found]


LOW_PULL = [
    entry("load_started", at="09:00"),
    entry("spit_loaded", at="09:02"),
    entry("cook_reading", at="10:30", bird=3, temperature="156"),
    entry("spit_pulled", at="10:36"),
]
NO_CHECKS = entry("load_started", at="09:00", checks={"water": True, "grease": False})
OUT, BACK = entry("equipment_out", at="09:30"), entry("equipment_back", at="10:20")
REJECTED = entry("receiving", at="08:00", decision="rejected")
PAST = entry("receiving", at="08:00", use_by="2026-04-13")
COLD = entry("hold_reading", at="11:30", temperature="128")
CONTROL = entry("time_control_started", at="10:40")
FAILED = entry("probe_check", at="11:00", temperature="40")
DARK = entry("probe_check", at="11:00", temperature=..., unit=..., no_display=True)

CASES: list[tuple[str, Made, str]] = [
    ("cook.core_temperature", LOW_PULL, "Pulled at 10:36 with bird 3 at 156 °F in the breast; the limit is 165 °F."),
    (
        "cook.core_temperature",
        [*_cooked()[:3], entry("spit_pulled", at="10:36", birds=2)],
        "Pulled at 10:36 with 1 bird probed; the plan asks for 2 birds at 165 °F / 74 °C or more.",
    ),
    (
        "ties.balance",
        [
            entry("load_started", at="09:00"),
            entry("spit_loaded", at="09:02", ties=5, skewers=5),
            entry("spit_pulled", at="10:36", ties_removed=4, skewers_removed=5),
        ],
        "Ties on: 5, off: 4. Skewers on: 5, off: 5. What is missing may be in a bird: search before it is served.",
    ),
    (
        "ties.balance",
        [entry("load_started", at="09:00"), entry("spit_loaded", at="09:02", ties=5), entry("spit_pulled", at="10:36")],
        "Ties on: 5, off: not counted.",
    ),
    (
        "start.checks",
        [NO_CHECKS],
        "Started at 09:00 although the answer was no: Grease tray empty and in place; and without an answer: "
        "Birds thawed through, trussed and even in size; Spits balanced and locked in.",
    ),
    (
        "cook.interrupted",
        [*_cooked(), OUT, BACK],
        "The oven was out of use for 50 min during this cook; the plan allows 30 min.",
    ),
    ("lot.known", _cooked(), "Birds of lot 0412-7 were loaded, and no delivery of that lot is on record."),
    (
        "lot.known",
        [entry("load_started", at="09:00"), entry("spit_loaded", at="09:02", lot=...)],
        "Birds were loaded without a lot, so the records do not lead back to a delivery.",
    ),
    ("lot.rejected", [REJECTED, *_cooked()], "Birds of lot 0412-7 were loaded, and that lot was rejected on delivery."),
    ("lot.rejected", [PAST, *_cooked()], "Birds of lot 0412-7 were loaded after its use-by date, Mon 13 April 2026."),
    (
        "hold.temperature",
        [*_cooked(), COLD],
        "128 °F at 11:30; the limit is 135 °F. It may have been too cold since 10:30.",
    ),
    (
        "hold.time_out",
        [*_cooked(), COLD],
        "At 14:30 the food had been out of temperature for 4 h in all, with birds still in the tray.",
    ),
    ("hold.check_interval", _cooked(), "A check was due at 12:06, and the records show none since."),
    (
        "hold.check_interval",
        [*_cooked(), entry("hold_reading", at="13:00")],
        "A check was due at 12:06; the next reading came, or the tray was empty, at 13:00, 54 min later.",
    ),
    (
        "hold.disposition",
        [*_cooked(), COLD, entry("tray_out", at="13:30", birds="0.5")],
        "At 13:30 ½ bird went out (served) after 3 h out of temperature; the plan does not allow that.",
    ),
    (
        "hold.unit",
        [_unit("pass", "air", "120")],
        "The unit read 120 °F; the limit for food is 135 °F, and no tray in it was read in the next 30 minutes.",
    ),
    (
        "time_control.start",
        [*_cooked(), CONTROL],
        "Time control began at 10:40, and no reading in the 15 minutes before shows 135 °F / 57 °C or more.",
    ),
    (
        "time_control.start",
        [*_cooked(), entry("hold_reading", at="10:38", temperature="134"), CONTROL],
        "Time control began at 10:40 on a last reading of 134 °F; it has to begin at 135 °F or more.",
    ),
    (
        "time_control.mark",
        [*_cooked(), CONTROL],
        "No discard time on the label is on record; the time allowed ends at 14:40.",
    ),
    (
        "time_control.mark",
        [*_cooked(), entry("time_control_started", at="10:40", marked_discard_by="15:40")],
        "The label says 15:40; the time allowed ends at 14:40.",
    ),
    ("time_control.procedure", [*_cooked(), CONTROL], "The plan names no written procedure for time as the control."),
    ("time_control.discard", [*_cooked(), CONTROL], "The time allowed ended at 14:40 with birds still in the tray."),
    (
        "time_control.returned",
        [
            *_cooked(),
            entry("hold_reading", at="10:38"),
            CONTROL,
            entry("tray_out", at="12:00", to="chilled", batch="A-B1"),
        ],
        "At 12:00 1 bird went out (chilled). Under time control only this is allowed: served, thrown away.",
    ),
    ("cool.first_stage", _chilled(), "It has to be down to 70 °F / 21 °C by 12:30, and no reading shows that it was."),
    (
        "cool.first_stage",
        [*_chilled(), entry("cooling_reading", at="13:00", temperature="90")],
        "90 °F, where 70 °F was due by 12:30.",
    ),
    (
        "reheat.temperature",
        _reheated(entry("reheat_reading", at="13:00", temperature="160")),
        "Done at 13:30 with a last reading of 160 °F; the limit is 165 °F.",
    ),
    ("reheat.temperature", _reheated(), "Done at 13:30 without a reading; the limit is 165 °F / 74 °C."),
    (
        "reheat.dwell",
        _reheated(entry("reheat_reading", at="13:00", held_s=...)),
        "No reading shows that the limit was held for 15 s.",
    ),
    (
        "reheat.time",
        _reheated(entry("reheat_reading", at="14:20"), done="14:30"),
        "The limit was not reached within 2 h, by 14:00.",
    ),
    ("cold.temperature", [_unit("walk-in", "food", "45")], "Food at 45 °F at 12:00; the limit is 41 °F."),
    (
        "cold.temperature",
        [_unit("walk-in", "air", "45")],
        "Air at 45 °F at 12:00; the limit for food is 41 °F, and no reading of the food in the next 30 minutes "
        "shows that it was kept.",
    ),
    (
        "receive.temperature",
        [entry("receiving", at="08:00", temperature="44")],
        "Accepted at 44 °F; the limit for a chilled delivery is 41 °F.",
    ),
    (
        "receive.temperature",
        [entry("receiving", at="08:00", temperature=..., unit=..., probe=...)],
        "Accepted without a temperature; the limit for a chilled delivery is 41 °F / 5 °C.",
    ),
    ("probe.accuracy", [FAILED], "It was checked at 11:00 and read 40 °F where 32 °F was expected."),
    ("probe.accuracy", [DARK], "It was checked at 11:00 and its display showed nothing."),
    (
        "probe.check_due",
        _cooked(),
        "Used for 2 readings from 10:30 on without a passed check that day, or in the 24 hours before.",
    ),
    (
        "probe.out_of_use",
        [*_cooked(), FAILED, entry("hold_reading", at="12:00")],
        "Used for 1 reading from 12:00 on after it had failed a check and before it passed one.",
    ),
    (
        "probe.review",
        [*_cooked(), FAILED],
        "2 readings here were taken with probe blue, which failed its check at 11:00. Without the probe's error "
        "they might not have met the limit.",
    ),
]


@pytest.mark.parametrize(
    ("rule", "made", "sentence"), CASES, ids=[f"{case[0]}-{number}" for number, case in enumerate(CASES)]
)
def test_a_finding_says_in_one_sentence_what_the_records_show(rule: str, made: Made, sentence: str) -> None:
    assert sentence in _told(rule, made)


NEXT_DAY = cast.moment("04:00") + timedelta(days=1)


def test_the_end_of_the_day_counts_what_was_left_over() -> None:
    checked_once = [_unit("walk-in", "air", "38"), *_cooked()]
    assert "1 check in the day; the plan asks for 2." in _told("cold.check_interval", checked_once, at=NEXT_DAY)
    assert _told("birds.balance", _cooked(), at=NEXT_DAY) == [
        "At the end of the day the records still show 2 birds in this tray, and its check or discard time had passed."
    ]
    assert _told("birds.balance", LOW_PULL[:2], at=NEXT_DAY) == [
        "At the end of the day the records still show 5 birds on this spit."
    ]


def test_a_day_nobody_signed_says_by_when_it_was_due() -> None:
    assert _told("record.sign_off_due", _cooked(), at=NEXT_DAY + timedelta(days=2)) == [
        "This day was not signed by Thu 16 Apr, 04:00, the end of the next business day."
    ]


def test_a_day_of_late_readings_counts_them() -> None:
    readings = [entry("hold_reading", at=f"11:0{minute}", late=True) for minute in range(5)]
    assert _told("record.late", [*_cooked(), *readings], at=NEXT_DAY) == [
        "5 of 7 readings were written more than 15 min after they were seen."
    ]


def test_a_list_says_what_was_answered_no_and_what_was_not_answered() -> None:
    items = {"hand_sink": False, "probe_wipes": True, "cold_units": True}
    started = [entry("load_started", at="09:00"), entry("checklist", at="08:00", items=items)]
    plans = [plan.Adopted(1, "us_food_code_2022", (("controls", "checklists"),), "pat", cast.OPENED)]
    day = assess(cast.DAY, started, site=cast.site_facts(), plans=plans, as_of=NEXT_DAY)
    said = {one.subject.name: words.finding_words(one, day) for one in day.findings if one.rule == "checklist.done"}
    assert said["opening"].title == "Opening checks, list made: not met"
    assert said["opening"].sentence.startswith("Answered no: ")
    assert "Without an answer at the end of the day: " in said["opening"].sentence
    assert said["closing"].title == "Closing checks, list made: not recorded"


def test_a_batch_past_its_date_says_its_last_day() -> None:
    read = entry("cooling_reading", at="12:00", temperature="40")
    late = cast.moment("12:00") + timedelta(days=8)
    told = _told("date_mark.passed", [*_chilled(), read], at=late, day=(cast.DAY + timedelta(days=7)))
    assert told == ["Birds of this batch were still there, or were used, after Mon 20 April 2026."]


def test_an_action_not_carried_out_says_where_the_birds_went() -> None:
    made = [*_cooked(), COLD]
    key = next(f.key for f in _day(made).findings if f.rule == "hold.temperature")
    action = entry("corrective_action", at="11:40", findings=(key,), disposition="discard", person="pat")
    served = entry("tray_out", at="11:50", birds="1.5")
    assert _told("action.done", [*made, action, served]) == [
        "At 11:50 1½ birds went out (served). The order was: throw away."
    ]


def _day(made: Made) -> shown.Assessment:
    as_of = cast.moment("15:00")
    return assess(cast.DAY, made, site=cast.site_facts(), plans=[cast.ADOPTED], as_of=as_of)


def test_a_finding_is_titled_by_subject_rule_and_verdict() -> None:
    day = _day(LOW_PULL)
    finding = next(finding for finding in day.findings if finding.rule == "cook.core_temperature")
    assert words.finding_words(finding, day).title == "Spit 1 of load A-L1, core temperature when pulled: not met"
