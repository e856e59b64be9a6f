"""Page one of the log, read from the PDF: what was wrong, where that food went, who checked, who signed."""

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from app import logs
from app.kinds import Entry
from app.logs.lines import Logbook
from app.logs.paper.first_page import FirstPage, first_page
from app.rules.day.shown import Assessment
from app.rules.facts import Person
from tests.support import cast, reading_pdf
from tests.support.cast import entry, moment
from tests.support.printed_day import HEAD
from tests.support.set_up import assess
from tests.support.story import hot_tray, probe_check, told

SITE = replace(
    cast.site_facts(),
    address="14 Juniper Lane",
    permit="0417",
    people={**cast.PEOPLE, "pat": Person("pat", "Pat Porter", "in_charge", certificate="CFM 22")},
)
BASIS = "The skewer was found in the drip pan."
pytestmark = pytest.mark.usefixtures("paper")


def spit(load: str, tray: str, first: str, second: str, at: str, **pull: Any) -> list[Entry]:
    """A load of one spit with six birds, two of them read at a minute, all pulled two minutes later."""
    begun = moment(at) - cast.minutes(80)
    pulled = {"load": load, "tray": tray, "birds": 6, **pull}
    return [
        entry("load_started", at=begun, load=load),
        entry("spit_loaded", at=begun, load=load, birds=6, skewers=2),
        entry("cook_reading", at=at, load=load, bird=1, temperature=first),
        entry("cook_reading", at=at, load=load, bird=4, temperature=second),
        entry("spit_pulled", at=moment(at) + cast.minutes(2), **pulled),
    ]


def undercooked() -> list[Entry]:
    """Pulled at 149 °F, put back, pulled again at 171 °F, sold."""
    back = {"tray": "A-T1", "birds": 6, "to": "returned_to_oven", "load": "A-L1", "spit": 2}
    again = {"load": "A-L1", "spit": 2}
    return [
        *spit("A-L1", "A-T1", "168", "149", "10:30", skewers_removed=2),
        entry("tray_out", at="10:40", **back),
        *[entry("cook_reading", at="11:10", bird=bird, temperature="171", **again) for bird in (1, 2)],
        entry("spit_pulled", at="11:12", tray="A-T2", birds=6, **again),
        entry("tray_out", at="12:00", tray="A-T2", birds=6),
    ]


def skewer_missing() -> list[Entry]:
    return [
        *spit("A-L2", "A-T3", "170", "172", "12:30", skewers_removed=1),
        entry("tray_out", at="13:20", tray="A-T3", birds=6),
    ]


def sold_too_soon() -> list[Entry]:
    """Pulled at 157 °F; two birds are sold before anybody looks, the others thrown away."""
    return [
        *spit("A-L3", "A-T4", "168", "157", "14:30", skewers_removed=2),
        entry("tray_out", at="14:40", tray="A-T4", birds=2),
        entry("tray_out", at="14:50", tray="A-T4", birds=4, to="discarded", reason="temperature"),
    ]


def answers(day: Assessment) -> list[Entry]:
    """What people did about these: put back, released and told; one action written half an hour later."""
    keys = {(one.rule, one.subject.name): one.key for one in day.findings}
    cooked, left = keys["cook.core_temperature", "A-L1"], keys["aside.left", "A-T4"]
    told_them = {"disposition": "already_out", "told": "both guests"}
    action = entry("corrective_action", at="10:45", findings=[cooked])
    return [
        replace(action, recorded_at=moment("11:15")),
        entry(
            "release",
            at="12:50",
            person="pat",
            findings=[keys["ties.balance", "A-L2"]],
            basis="The skewer was found in the drip pan.",
        ),
        entry("corrective_action", at="14:55", findings=[left], **told_them),
        entry("action_verified", at="21:00", person="sam", findings=[cooked]),
    ]


@cache
def eventful() -> Assessment:
    """Assess a day with an undercooked pull followed to its end, a release, and food sold while set aside."""
    story = [entry("in_charge_from", at="08:00", person="pat"), *undercooked(), *skewer_missing(), *sold_too_soon()]
    unanswered = assess(cast.DAY, story, site=SITE, as_of=moment("15:00"))
    return assess(cast.DAY, [*story, *answers(unanswered)], site=SITE, as_of=moment("22:00"))


@cache
def printed() -> list[str]:
    return reading_pdf.pages(logs.write_log(eventful(), head=HEAD, records="{}"))


@pytest.fixture
def page_one() -> str:
    """The text of page one of the eventful day."""
    return printed()[0].replace("A- L", "A-L")  # a name is broken after its stroke


@pytest.mark.parametrize(
    "said",
    [
        "Kitchen S1 (S1) · 14 Juniper Lane, permit 0417",
        "In charge Pat Porter from 08:00 (certificate CFM 22)",
        "Pulled at 10:32 with bird 4 at 149 °F in the breast; the limit is 165 °F.",
        "Corrective action (continue cooking): Casey Cook, tablet A, 10:45, written 11:15; "
        "Accepted: Sam Silva, tablet A, 21:00",
        "Released: Pat Porter, tablet A, 12:50",
        "day in progress, updated 22:00",
    ],
    ids=["site", "in charge", "what was wrong", "who checked and when it was written", "released", "state"],
)
def test_page_one_answers(page_one: str, said: str) -> None:
    assert said in page_one


@pytest.mark.parametrize(
    "said",
    [
        "Spit 1 of load A-L1, from 10:32 nothing left no 6 birds cooked on (spit 2 of load A-L1), pulled at 11:12 into"
        " tray A-T2, lowest 171 °F",
        "Pat Porter, tablet A, 12:50. Basis: The skewer was found in the drip pan.",
        "2 birds served at 14:40, while set aside; 4 birds thrown away at 14:50; told: both guests "
        "(Casey Cook, tablet A, 14:55)",
    ],
    ids=["cooked on", "released", "gone while set aside"],
)
def test_page_one_follows_the_food_to_its_end(page_one: str, said: str) -> None:
    assert said in page_one


def test_food_that_is_still_here_is_named_with_its_place() -> None:
    story = spit("A-L1", "A-T1", "168", "149", "10:30", skewers_removed=2, hot_unit="pass")
    (row,) = _page(told(story, as_of="10:45")).food
    assert row.here == ("6 birds in tray A-T1, unit pass",)
    assert (row.released, row.gone, row.made_good) == ((), (), ())


def _page(day: Assessment) -> FirstPage:
    return first_page(Logbook(day))


def test_what_was_not_met_stands_before_what_is_not_shown() -> None:
    verdicts = [one.verdict.code for one in _page(eventful()).findings]
    assert set(verdicts) == {"not_met", "not_shown"}
    assert verdicts == sorted(verdicts)
    assert [one.number for one in _page(eventful()).findings] == [str(n) for n in range(1, len(verdicts) + 1)]


def test_the_numbers_on_top_count_what_the_day_says() -> None:
    day = eventful()
    tallies = {one.what: one.count for one in _page(day).tallies}
    assert tallies["not met"] == str(sum(one.verdict.value == "not_met" for one in day.findings))
    assert tallies["birds set aside, still here"] == "0"
    assert tallies["critical readings written late"] == f"0 of {day.late.readings}"
    assert tallies["birds loaded"] == "18"


def test_a_load_is_one_line() -> None:
    rows = {row.load: row for row in _page(eventful()).loads}
    first = rows["A-L1"]
    assert (first.oven, first.started, first.spits) == ("east", "09:10", "2 spits, 12 birds")
    assert (first.lowest, first.pulled, first.verdict.code) == ("149\u00a0°F", "10:32 to 11:12", "not_met")


def test_a_tray_is_one_line() -> None:
    day = told([*hot_tray(), *_held()], as_of="14:00")
    (row,) = _page(day).trays
    assert (row.tray, row.birds, row.lowest, row.checks) == ("A-T1", "5", "131\u00a0°F", "3")
    assert (row.is_low, row.out, row.went, row.verdict.code) == (
        True,
        "1 h 40 min",
        "3 served, 2 thrown away",
        "not_met",
    )


def _held() -> list[Entry]:
    read = [("11:00", "150"), ("11:40", "131"), ("12:40", "149")]
    return [
        *[entry("hold_reading", at=at, temperature=value) for at, value in read],
        entry("tray_out", at="12:50", birds=3),
        entry("tray_out", at="13:00", birds=2, to="discarded", reason="quality"),
    ]


def test_the_line_of_a_tray_shows_its_life() -> None:
    (row,) = _page(told([*hot_tray(), *_held()], as_of="14:00")).trays
    line = row.line
    assert 0 < line.start < line.readings[0] < line.readings[1] < line.readings[2] < line.end
    assert line.out == ((line.readings[0], line.readings[2]),)
    assert line.is_emptied


def test_a_quiet_day_says_that_nothing_was_wrong_and_nothing_set_aside() -> None:
    story = [entry("receiving", at="06:00"), probe_check(at="05:50"), *hot_tray()]
    (first, *_rest) = reading_pdf.pages(logs.write_log(told(story, as_of="10:50"), head=HEAD, records="{}"))
    assert "The records show no deviation and no gap in the controls in force." in first
    assert "No food was set aside." in first
