"""Worked cases with their published limits: what a day's records mean under the code that each is taken from.

The limits are the sources'; temperatures, times and events are invented. Boiling water, lethality tables, conduction,
Newton's law and control charts have their worked cases in test_saturation, test_lethality, test_conduction,
test_falling and test_control_chart; printed pairs of °F and °C in test_worked_limits; signatures and failed PINs in
ledger and register. What other published cases ask for, this ledger does not hold: packaged food reheated to 135 °F
(FDA Food Code 2022, 3-403.11(C)), cold food under time as the control for 6 hours (3-501.19(C)), thermometers of
ambient air (4-203.12), cooling by the guidelines for inspected plants, the class of a thermocouple's wire (the whole
probe is checked), days in a freezer, a tree of hashes (the chain is a line).
"""

from datetime import UTC, date, datetime, timedelta

import pytest

from app.kinds import Temperature
from app.rules.plans import plan
from tests.support.cast import OPENED, entry, moment
from tests.support.story import hot_tray, loaded, out, probed, read, told, verdict_of

US, US_2013, ANZ, UK, CANADA = "us_food_code_2022", "us_food_code_2013", "anz_3_2_2", "england_2013", "ca_whole_bird"


def under(code, entries, *, as_of="20:00", **settings):
    """Assess entries under a code as it stands, with what the site set on top."""
    return told(entries, as_of=as_of, plans=[plan.Adopted(1, code, tuple(settings.items()), "pat", OPENED)])


# ---- cooking ---------------------------------------------------------------------------------------------------------

COOKING = [
    ("1: 165.0 °F, 2022", "FDA Food Code 2022, 3-401.11(A)(3)", US, ("165.0", "F", 0), "met"),
    ("2: 164.9 °F held 60 s, 2022", "FDA Food Code 2022, 3-401.11(A)(3)", US, ("164.9", "F", 60), "not_met"),
    ("3: 165 °F for 8 s, 2013", "FDA Food Code 2013, 3-401.11(A)(3)", US_2013, ("165", "F", 8), "not_shown"),
    ("3: 165 °F for 15 s, 2013", "FDA Food Code 2013, 3-401.11(A)(3)", US_2013, ("165", "F", 15), "met"),
    ("3: 165 °F for 8 s, 2022", "FDA Food Code 2022, 3-401.11(A)(3)", US, ("165", "F", 8), "met"),
    ("4: 73.9 °C against 74 °C", "FDA Food Code 2022, 3-401.11(A)(3)", US, ("73.9", "C", 0), "not_met"),
    ("4: 165.02 °F, the same", "FDA Food Code 2022, 3-401.11(A)(3)", US, ("165.02", "F", 0), "met"),
    ("43: whole bird 80 °C", "Health Canada, internal cooking temperatures", CANADA, ("80", "C", 0), "not_met"),
    ("43: whole bird 82 °C", "Health Canada, internal cooking temperatures", CANADA, ("82", "C", 0), "met"),
    ("43: whole bird 180 °F", "Health Canada, internal cooking temperatures", CANADA, ("180", "F", 0), "met"),
    ("70 °C for 2 min", "Food Standards Agency advice", UK, ("70", "C", 120), "met"),
    ("70 °C for 119 s", "Food Standards Agency advice", UK, ("70", "C", 119), "not_shown"),
    ("69.9 °C", "Food Standards Agency advice", UK, ("69.9", "C", 600), "not_met"),
]


@pytest.mark.parametrize(
    ("source", "code", "reading", "verdict"), [c[1:] for c in COOKING], ids=[c[0] for c in COOKING]
)
def test_cooking(source, code, reading, verdict):
    value, unit, held_s = reading
    birds = probed(value, value, unit=unit, held_s=held_s)
    day = under(code, [*loaded(), *birds, entry("spit_pulled", at="10:36")])
    assert str(day.loads[0].spits[0].verdict) == verdict
    assert day.plan.source("cook_core").startswith(source.split(",")[0])


def test_43_pieces_of_a_bird_are_done_at_74_degrees_where_the_plan_says_so():
    """Health Canada: pieces 74 °C (165 °F); the site cooks pieces alone and names its variance from the whole bird."""
    day = [*loaded(), *probed("74", "74", unit="C"), entry("spit_pulled", at="10:36")]
    assert under(CANADA, day, cook_core="165F/74C").loads[0].spits[0].verdict == "met"


# ---- reheating -------------------------------------------------------------------------------------------------------

REHEATING = [
    ("5: 165 °F for 14 s", "FDA Food Code 2022, 3-403.11(A)", "165", 14, "17:00", "reheat.dwell", "not_shown"),
    ("5: 165 °F for 15 s", "FDA Food Code 2022, 3-403.11(A)", "165", 15, "17:00", "reheat.dwell", "none"),
    ("6: 165 °F at 2 h 00", "FDA Food Code 2022, 3-403.11(D)", "165", 15, "17:00", "reheat.time", "none"),
    ("6: 165 °F at 2 h 01", "FDA Food Code 2022, 3-403.11(D)", "165", 15, "17:01", "reheat.time", "not_met"),
]


@pytest.mark.parametrize("case", REHEATING, ids=[case[0] for case in REHEATING])
def test_reheating(case):
    _label, _source, value, held_s, at, rule, verdict = case
    entries = [*hot_tray(), out("5", "11:00", "chilled", batch="A-B1"), entry("reheat_started", at="15:00", birds="5")]
    entries += [entry("reheat_reading", at=at, temperature=value, held_s=held_s)]
    entries += [entry("reheat_done", at="17:05", birds="5")]
    assert verdict_of(under(US, entries), rule) == verdict


# ---- cooling: 135 °F at 12:00 ----------------------------------------------------------------------------------------

COOLING = [
    ("8: 70 °F 13:30, 41 °F 18:00", US, [("70", "13:30"), ("41", "18:00")], ("met", "met")),
    ("9: over 70 °F at 14:00", US, [("71", "14:00"), ("70", "14:05"), ("41", "17:00")], ("not_met", "met")),
    ("9: no reading at 14:00", US, [("70", "14:05"), ("41", "17:00")], ("not_shown", "met")),
    ("10: 70 °F 13:00, 41 °F 17:59, US", US, [("70", "13:00"), ("41", "17:59")], ("met", "met")),
    ("10: the same, a further 4 hours", ANZ, [("69.8", "13:00"), ("41", "17:59")], ("met", "not_shown")),
    ("10: over 5 °C at 4 h", ANZ, [("69.8", "13:00"), ("42", "17:00"), ("41", "17:59")], ("met", "not_met")),
    ("10: 41 °F at 4 h", ANZ, [("69.8", "13:00"), ("41", "17:00")], ("met", "met")),
]


@pytest.mark.parametrize(("code", "readings", "stages"), [c[1:] for c in COOLING], ids=[c[0] for c in COOLING])
def test_cooling(code, readings, stages):
    """FDA Food Code 2022, 3-501.14(A); Standard 3.2.2, clause 7(3)."""
    tray = [*hot_tray(), read("140", "12:00")]
    entries = [*tray, out("5", "12:00", "chilled", batch="A-B1")]
    entries += [entry("cooling_reading", at=at, temperature=value) for value, at in readings]
    batch = under(code, entries).batches[0]
    assert (str(batch.first_stage.verdict), str(batch.total.verdict)) == stages


# ---- hot holding -----------------------------------------------------------------------------------------------------

HOLDING = [
    ("12: 134.9 °F", "FDA Food Code 2022, 3-501.16(A)(1)", US, "134.9", "F", "not_met"),
    ("12: 135.0 °F", "FDA Food Code 2022, 3-501.16(A)(1)", US, "135.0", "F", "none"),
    ("13: 57.0 °C", "FDA Food Code 2022, 3-501.16(A)(1)", US, "57.0", "C", "none"),
    ("13: 134.6 °F, the same", "FDA Food Code 2022, 3-501.16(A)(1)", US, "134.6", "F", "not_met"),
    ("14: 60.0 °C", "Standard 3.2.2, clauses 1 and 8", ANZ, "60.0", "C", "none"),
    ("14: 59.9 °C", "Standard 3.2.2, clauses 1 and 8", ANZ, "59.9", "C", "not_met"),
    ("14: 60.0 °C, Canada", "Durham Region chart, 2012", CANADA, "60.0", "C", "none"),
    ("14: 60.0 °C, UK", "SI 2013/2996, Schedule 4, paragraph 6", UK, "60.0", "C", "not_met"),
    ("14: 63.0 °C, UK", "SI 2013/2996, Schedule 4, paragraph 6", UK, "63.0", "C", "none"),
    ("14: 62.9 °C, UK", "SI 2013/2996, Schedule 4, paragraph 6", UK, "62.9", "C", "not_met"),
    ("14: 145.4 °F, UK", "SI 2013/2996, Schedule 4, paragraph 6", UK, "145.4", "F", "none"),
    ("14: 145.3 °F, UK", "SI 2013/2996, Schedule 4, paragraph 6", UK, "145.3", "F", "not_met"),
]


@pytest.mark.parametrize("case", HOLDING, ids=[case[0] for case in HOLDING])
def test_hot_holding(case):
    _label, _source, code, value, unit, verdict = case
    day = under(code, [*hot_tray(), read(value, "11:30", unit)], as_of="11:31")
    assert verdict_of(day, "hold.temperature") == verdict


# ---- the 2-hour/4-hour rule (FSANZ, NSW Food Authority), birds known hot at 10:30 and read at 55 °C at 10:40 ---------

BANDS = [
    ("39: 1 h 59, back under control", "12:29", "chilled", "none"),
    ("39: 1 h 59, used", "12:29", "served", "none"),
    ("39: 2 h, the boundary left open: the stricter side", "12:30", "chilled", "not_met"),
    ("39: 2 h, used now", "12:30", "served", "none"),
    ("39: 3 h, not chilled again", "13:30", "chilled", "not_met"),
    ("39: 3 h, not warmed and held again", "13:30", "reheated", "not_met"),
    ("39: 3 h 59, used now", "14:29", "served", "none"),
    ("39: 4 h, the boundary left open: the stricter side", "14:30", "served", "not_met"),
    ("39: 4 h 01, used", "14:31", "served", "not_met"),
    ("39: 4 h 01, thrown away", "14:31", "discarded", "none"),
]


@pytest.mark.parametrize(("at", "to", "verdict"), [c[1:] for c in BANDS], ids=[c[0] for c in BANDS])
def test_the_bands_of_the_two_hour_four_hour_rule(at, to, verdict):
    fields = {"chilled": {"batch": "A-B1"}, "reheated": {"reheat": "A-R1"}}.get(to, {})
    day = under(ANZ, [*hot_tray(), read("55", "10:40", "C"), out("1", at, to, **fields)], as_of=at)
    assert verdict_of(day, "hold.disposition") == verdict


def test_39_the_time_adds_up_over_the_life_of_the_food():
    """Standard 3.2.2 guidance: all times between 5 and 60 °C count together; here 70 min and 60 min."""
    twice = [read("55", "11:00", "C"), read("62", "11:40", "C"), read("55", "12:00", "C"), read("62", "12:40", "C")]
    tray = under(ANZ, [*hot_tray(), *twice], as_of="12:41").trays[0]
    assert (tray.out_of_temperature_s, tray.time_band) == (130 * 60, "from_2h")
    assert tray.ways_out == ("served", "discarded")


def test_40_falling_from_the_oven_to_60_degrees_counts_as_nothing():
    """NSW Food Authority, guideline on the 4-hour/2-hour rule: 74 °C at 07:30, 60 °C at 09:30."""
    cooked = [*loaded(at="06:00"), *probed("74", "75", at="07:30", unit="C"), entry("spit_pulled", at="07:35")]
    tray = under(ANZ, [*cooked, read("60", "09:30", "C")], as_of="09:31").trays[0]
    assert (tray.out_of_temperature_s, tray.time_band) == (0, "under_2h")


# ---- United Kingdom: one time of less than two hours under 63 °C, 8 °C cold ------------------------------------------


@pytest.mark.parametrize(
    ("at", "verdict"),
    [("12:29", "none"), ("12:29:59", "none"), ("12:30", "not_met"), ("12:31", "not_met")],
    ids=["41: 1 h 59", "41: 1 h 59 min 59 s", "41: 2 h is not less than 2 h", "41: 2 h 01"],
)
def test_41_food_displayed_at_55_degrees_for_less_than_two_hours(at, verdict):
    """SI 2013/2996, Schedule 4, paragraph 7(2)(a)."""
    day = under(UK, [*hot_tray(), read("55", "10:40", "C"), out("5", at)], as_of=at)
    assert verdict_of(day, "hold.disposition") == verdict


def test_41_a_second_time_has_no_defence():
    """SI 2013/2996, Schedule 4, paragraph 7(2)(b): not previously kept for service or on display."""
    twice = [read("55", "10:40", "C"), read("64", "10:50", "C"), read("55", "11:00", "C"), out("5", "11:05")]
    assert verdict_of(under(UK, [*hot_tray(), *twice], as_of="11:06"), "hold.disposition") == "not_met"
    assert verdict_of(under(ANZ, [*hot_tray(), *twice], as_of="11:06"), "hold.disposition") == "none"


@pytest.mark.parametrize(("value", "verdict"), [("8.0", "none"), ("8.1", "not_met")])
def test_42_food_is_kept_at_8_degrees(value, verdict):
    """SI 2013/2996, Schedule 4, paragraph 2; no 4-hour period of display is given to a cold unit."""
    cooled = [
        out("5", "11:00", "chilled", batch="A-B1"),
        entry("cooling_reading", at="11:50", temperature="7", unit="C"),
    ]
    stored = entry("cooling_reading", at="15:00", temperature=value, unit="C")
    assert verdict_of(under(UK, [*hot_tray(), *cooled, stored]), "cold.temperature") == verdict


# ---- dates: FDA Food Code 2022, 3-501.17(A), 7 days, the day of preparation being day 1 ------------------------------

DATES = [
    ("16: prepared on 1 July", date(2026, 7, 1), date(2026, 7, 7)),
    ("17: cooked on 1 October; frozen days are not recorded and count", date(2026, 10, 1), date(2026, 10, 7)),
    ("18: cooked on 27 February of a leap year", date(2028, 2, 27), date(2028, 3, 4)),
    ("18: cooked on 27 February of another year", date(2027, 2, 27), date(2027, 3, 5)),
    ("over the end of a year", date(2026, 12, 30), date(2027, 1, 5)),
]


@pytest.mark.parametrize(("cooked", "last"), [c[1:] for c in DATES], ids=[c[0] for c in DATES])
def test_dates(cooked, last):
    """Case 17: North Carolina's guidance stops the count while food is frozen (14 October); counting on is stricter."""
    noon = datetime(cooked.year, cooked.month, cooked.day, 18, tzinfo=UTC)
    minute = timedelta(minutes=1)
    entries = [*loaded(at=noon), *probed("170", "171", at=noon), entry("spit_pulled", at=noon + minute)]
    entries += [out("5", noon + 2 * minute, "chilled", batch="A-B1")]
    assert told(entries, day=cooked, as_of=noon + 3 * minute).batches[0].use_by == last


# ---- time as the control: FDA Food Code 2022, 3-501.19(B) ------------------------------------------------------------


def test_19_out_of_hot_holding_at_136_degrees_is_marked_four_hours_on_and_sold_a_minute_late():
    start = entry("time_control_started", at="11:30", marked_discard_by=moment("15:30"))
    day = under(US, [*hot_tray(), read("136", "11:30"), start, out("5", "15:31")], as_of="15:32")
    assert day.trays[0].discard_at == moment("15:30")
    assert (verdict_of(day, "time_control.discard"), verdict_of(day, "time_control.mark")) == ("not_met", "none")


def test_20_food_at_133_degrees_cannot_start():
    day = under(US, [*hot_tray(), read("133", "11:30"), entry("time_control_started", at="11:30")], as_of="11:31")
    assert verdict_of(day, "time_control.start") == "not_met"


# ---- thermometers: FDA Food Code 2022, 4-203.11 ----------------------------------------------------------------------

PROBES = [
    ("22: dual scale, 33.9 °F in ice: 1.06 °C off", "blue", "33.9", "ice_point", {}, US, "not_met"),
    ("22: °F alone, 33.9 °F", "white", "33.9", "ice_point", {}, US, "met"),
    ("23: °F alone, 30.0 °F", "white", "30.0", "ice_point", {}, US, "met"),
    ("23: °F alone, 29.9 °F", "white", "29.9", "ice_point", {}, US, "not_met"),
    (
        "25: 202.0 °F boiling at 1609 m, ref. 202.32",
        "white",
        "202.0",
        "boiling_point",
        {"altitude_m": "1609"},
        US,
        "met",
    ),
    ("22: °F alone, clause 22 has ±1 °C for all", "white", "33.9", "ice_point", {}, ANZ, "not_met"),
    ("22: °F alone, 33.8 °F under clause 22", "white", "33.8", "ice_point", {}, ANZ, "met"),
]


@pytest.mark.parametrize("case", PROBES, ids=[case[0] for case in PROBES])
def test_thermometers(case):
    _label, probe, value, method, where, code, verdict = case
    check = entry("probe_check", at="06:00", probe=probe, temperature=value, unit="F", method=method, **where)
    assert str(under(code, [check]).probes[0].verdict) == verdict


# ---- one day, every code ---------------------------------------------------------------------------------------------

ONE_DAY = [*loaded(), *probed("74", "74", unit="C", held_s=5), entry("spit_pulled", at="10:36")]
ONE_DAY += [read("61", "11:30", "C"), out("5", "12:00", "chilled", batch="A-B1", cold_unit="walk-in")]
ONE_DAY += [
    entry("cooling_reading", at=at, temperature=value, unit="C") for value, at in (("20", "13:00"), ("5", "17:10"))
]

# 61 °C is not hot: the clock of cooling started at the pull's readings, 10:30.
UK_FOUND = {"cook.core_temperature": "not_shown", "hold.temperature": "not_met"}
UK_FOUND |= {"cool.first_stage": "not_shown", "cool.total": "not_met"}
EVERY_CODE = [
    (US, {}),
    (US_2013, {"cook.core_temperature": "not_shown"}),
    (ANZ, {"cool.total": "not_shown"}),  # 5 °C was read 4 h 10 after 20 °C
    (CANADA, {"cook.core_temperature": "not_met"}),  # 5 °C is not 4 °C yet, but there are 20 min left
    (UK, UK_FOUND),
]


@pytest.mark.parametrize(("code", "verdicts"), EVERY_CODE, ids=[code for code, _ in EVERY_CODE])
def test_the_same_day_under_each_code_is_assessed_by_its_own_limits(code, verdicts):
    """74 °C for 5 s at the pull, 61 °C held, 20 °C after 90 min of cooling and 5 °C after 5 h 40."""
    day = under(code, ONE_DAY, as_of="17:15")
    groups = ("cook.", "hold.", "cool.", "cold.")
    found = {f.rule: str(f.verdict) for f in day.findings if f.rule.startswith(groups)}
    assert found == verdicts
    assert day.plan.code == code


def test_a_limit_is_never_converted():
    """135 °F / 57 °C, 41 °F / 5 °C …: 134.6 °F is 57.0 °C exactly and is held to 135 °F all the same."""
    limits = plan.resolve(plan.Adopted(1, US, (), "pat", OPENED), date(2026, 4, 14)).limits
    assert Temperature(limits.hot_holding.C, "C").celsius != Temperature(limits.hot_holding.F, "F").celsius
