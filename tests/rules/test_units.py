"""Cold and hot units: what was read in them, and how often they were checked."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from app.kinds import Temperature
from app.rules.facts import Equipment
from app.rules.meaning import storage as storage_meaning
from app.rules.plans import plan
from app.rules.subjects.storage import UNIT
from tests.support import set_up
from tests.support.cast import ADOPTED, DAY, OPENED, entry, moment, site_facts
from tests.support.story import adopted, checked, found, hot_tray, read, told, verdict_of

NEXT_DAY = moment("04:00", day=DAY + timedelta(days=1))


# ---- cold units: FDA Food Code 2022, 3-501.16(A)(2), 41 °F (5 °C) or less --------------------------------------------


@pytest.mark.parametrize(
    ("temperature", "unit", "verdict"),
    [("41", "F", "none"), ("41.1", "F", "not_met"), ("5", "C", "none"), ("5.1", "C", "not_met")],
)
def test_food_in_a_cold_unit_is_at_the_limit_or_under(temperature, unit, verdict):
    assert verdict_of(told([checked(temperature, "10:00", of="food", unit=unit)]), "cold.temperature") == verdict


@pytest.mark.parametrize(
    ("food", "verdict"),
    [
        ([], "not_shown"),
        ([("41", "10:00")], "none"),
        ([("41", "10:30")], "none"),
        ([("41", "10:30:01")], "not_shown"),
        ([("41", "09:59")], "not_shown"),
        ([("45", "10:10")], "not_met"),
        ([("45", "10:10"), ("41", "10:20")], "not_met"),
    ],
)
def test_air_over_the_limit_is_excused_by_food_read_cold_in_the_next_half_hour(food, verdict):
    checks = [checked("44", "10:00"), *(checked(value, at, of="food") for value, at in food)]
    assert verdict_of(told(checks), "cold.temperature") == verdict


def test_food_of_another_unit_excuses_nothing():
    checks = [checked("44", "10:00"), checked("38", "10:10", of="food", code="blast")]
    assert verdict_of(told(checks), "cold.temperature") == "not_shown"


@pytest.mark.parametrize(("as_of", "verdict"), [("10:29:59", "none"), ("10:30", "not_shown")])
def test_air_over_the_limit_is_raised_when_the_half_hour_is_over(as_of, verdict):
    day = told([checked("44", "10:00")], as_of=as_of)
    assert verdict_of(day, "cold.temperature") == verdict
    times = [(f.onset_at, f.found_at) for f in found(day, "cold.temperature")]
    assert times in ([], [(moment("10:00"), moment("10:30"))])


def test_a_run_of_readings_over_the_limit_is_one_finding_until_a_good_one():
    over = [checked("45", "10:00", of="food"), checked("46", "11:00", of="food")]
    day = told([*over, checked("39", "12:00"), checked("47", "13:00", of="food")])
    first, second = found(day, "cold.temperature")
    assert first.entries == tuple(check.id for check in over)
    assert (first.ended_at, second.onset_at, second.ended_at) == (moment("12:00"), moment("13:00"), None)
    assert (first.subject.kind, first.subject.name, first.measured["temperature"]) == ("cold_unit", "walk-in", 45)


@pytest.mark.parametrize(
    ("second_at", "openers"),
    [
        (NEXT_DAY - timedelta(seconds=1), 1),
        (NEXT_DAY, 2),
    ],
    ids=["still the same business day", "the next one"],
)
def test_a_run_of_a_unit_ends_with_the_business_day(second_at, openers):
    checks = [checked("45", "22:00", of="food"), checked("46", second_at, of="food")]
    both = [
        finding
        for day in (DAY, DAY + timedelta(days=1))
        for finding in found(told(checks, day=day, as_of=NEXT_DAY + timedelta(hours=2)), "cold.temperature")
    ]
    assert [finding.entries[0] for finding in both] == [check.id for check in checks[:openers]]
    assert both[0].ended_at == NEXT_DAY


def test_a_run_that_the_next_day_begins_well_ended_with_its_own_day():
    checks = [checked("45", "22:00", of="food"), checked("39", NEXT_DAY + timedelta(hours=1))]
    moments = (moment("23:00"), NEXT_DAY, NEXT_DAY + timedelta(hours=2))
    runs = [found(told(checks, as_of=as_of), "cold.temperature") for as_of in moments]
    assert [[run.ended_at for run in of_day] for of_day in runs] == [[None], [NEXT_DAY], [NEXT_DAY]]


def test_a_site_without_cold_storage_finds_nothing():
    day = told([checked("45", "10:00", of="food")], plans=[adopted(controls="cooking")])
    assert not found(day, "cold.temperature")


# ---- how often -------------------------------------------------------------------------------------------------------


def unchecked(day):
    return sorted(f.subject.name for f in found(day, "cold.check_interval"))


@pytest.mark.parametrize(
    ("checks", "missing"),
    [
        (["10:00", "16:00"], ["blast"]),
        (["10:00"], ["blast", "walk-in"]),
        ([], ["blast", "walk-in"]),
        (["10:00", "10:00"], ["blast"]),
    ],
)
def test_a_cold_unit_is_checked_twice_on_a_day_with_entries(checks, missing):
    day = told([entry("equipment_out", at="09:00"), *(checked("38", at) for at in checks)], as_of=NEXT_DAY)
    assert unchecked(day) == missing


def test_nothing_is_owed_before_the_day_ends_or_on_a_day_without_entries():
    assert not unchecked(told([entry("equipment_out", at="09:00")], as_of=NEXT_DAY - timedelta(seconds=1)))
    assert not unchecked(told([], as_of=NEXT_DAY))
    assert not unchecked(told([entry("equipment_out", at=NEXT_DAY)], as_of=NEXT_DAY))


@pytest.mark.parametrize("kind", ["sign_off", "action_verified", "corrective_action", "note"])
def test_answers_signatures_and_notes_ask_for_no_checks_and_no_signature(kind):
    day = told([entry(kind, at="09:00")], as_of=NEXT_DAY + timedelta(days=2))
    assert not unchecked(day)
    assert not found(day, "record.sign_off_due")


@pytest.mark.parametrize("kind", ["in_charge_from", "equipment_back", "checklist", "probe_check", "raw_out"])
def test_every_other_entry_does(kind):
    day = told([entry(kind, at="09:00")], as_of=NEXT_DAY + timedelta(days=2))
    assert unchecked(day) == ["blast", "walk-in"]
    assert found(day, "record.sign_off_due")


def test_a_missing_check_is_named_by_its_day_at_the_days_end():
    finding = found(told([entry("equipment_out", at="09:00")], as_of=NEXT_DAY), "cold.check_interval")[0]
    assert finding.key == f"cold.check_interval:cold_unit:{finding.subject.name}:2026-04-14"
    assert (finding.day, finding.onset_at, finding.entries) == (DAY, NEXT_DAY, ())
    assert (finding.concerns, finding.measured) == ("monitoring", {"checks": 0})


@pytest.mark.parametrize(
    ("since", "retired_at", "asked"),
    [
        (moment("04:00"), None, True),
        (moment("04:01"), None, False),
        (OPENED, NEXT_DAY, True),
        (OPENED, moment("20:00"), False),
    ],
)
def test_a_unit_is_asked_for_where_it_was_listed_the_whole_day(since, retired_at, asked):
    unit = Equipment("walk-in", "cold_unit", since=since, retired_at=retired_at)
    site = replace(site_facts(), equipment={"walk-in": unit})
    assert bool(unchecked(told([entry("equipment_out", at="09:00")], as_of=NEXT_DAY, site=site))) is asked


def test_the_number_of_checks_is_the_sites_to_set():
    entries = [entry("equipment_out", at="09:00"), checked("38", "10:00")]
    assert unchecked(told(entries, as_of=NEXT_DAY, plans=[adopted(cold_checks_per_day="1")])) == ["blast"]
    assert not unchecked(told(entries, as_of=NEXT_DAY, plans=[adopted(cold_checks_per_day="0")]))


def test_a_cold_unit_shows_its_checks_of_the_day():
    others = [checked("36", "03:59"), checked("37", "17:00", code="blast")]
    view = told([checked("38", "10:00"), checked("39", "16:00"), *others]).cold_units[0]
    assert (view.unit_code, str(view.verdict), view.checks, view.last.reading.value) == ("walk-in", "met", 2, 39)
    assert str(told([checked("38", "10:00")]).cold_units[0].verdict) == "pending"


# ---- hot units -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("temperature", "unit", "verdict"),
    [("135", "F", "none"), ("134.9", "F", "not_shown"), ("57", "C", "none"), ("56.9", "C", "not_shown")],
)
def test_the_air_of_a_hot_unit_is_at_the_holding_limit(temperature, unit, verdict):
    assert verdict_of(told([checked(temperature, "11:00", unit=unit, code="pass")]), "hold.unit") == verdict


@pytest.mark.parametrize(
    ("at", "verdict"),
    [("11:00", "none"), ("11:30", "none"), ("11:30:01", "not_shown"), ("10:59", "not_shown")],
)
def test_a_tray_in_it_that_is_read_in_the_next_half_hour_answers_for_it(at, verdict):
    day = told([*hot_tray(), checked("130", "11:00", code="pass"), read("150", at)], as_of="11:40")
    assert verdict_of(day, "hold.unit") == verdict


def test_what_was_read_of_the_food_in_a_hot_unit_is_not_its_air():
    assert verdict_of(told([checked("130", "11:00", of="food", code="pass")]), "hold.unit") == "none"


def test_a_tray_moved_elsewhere_does_not_answer_for_it():
    moved = entry("tray_moved", at="11:05", hot_unit="cabinet")
    day = told([*hot_tray(), checked("130", "11:00", code="pass"), moved, read("150", "11:10")], as_of="11:40")
    assert verdict_of(day, "hold.unit") == "not_shown"


def test_it_is_raised_half_an_hour_after_the_check_and_concerns_monitoring():
    check = checked("130", "11:00", code="pass")
    assert not found(told([check], as_of="11:29:59"), "hold.unit")
    finding = found(told([check], as_of="11:30"), "hold.unit")[0]
    assert (finding.onset_at, finding.entries, finding.concerns) == (moment("11:30"), (check.id,), "monitoring")
    assert (finding.subject.kind, finding.subject.name) == ("hot_unit", "pass")


def test_a_low_reading_of_the_tray_answers_for_the_unit_by_a_finding_of_its_own():
    day = told([*hot_tray(), checked("130", "11:00", code="pass"), read("131", "11:10")], as_of="11:40")
    assert (verdict_of(day, "hold.unit"), verdict_of(day, "hold.temperature")) == ("none", "not_met")


# ---- other codes -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("code", "good", "over"),
    [
        ("us_food_code_2013", ("41", "F"), ("41.1", "F")),
        ("anz_3_2_2", ("5", "C"), ("5.1", "C")),
        ("england_2013", ("8", "C"), ("8.1", "C")),
        ("england_2013", ("46.4", "F"), ("46.5", "F")),
        ("ca_whole_bird", ("4.4", "C"), ("4.5", "C")),
        ("ca_whole_bird", ("40", "F"), ("40.1", "F")),
    ],
)
def test_every_code_has_its_own_cold_limit(code, good, over):
    plans = [plan.Adopted(1, code, (), "pat", OPENED)]
    for (value, unit), verdict in ((good, "none"), (over, "not_met")):
        day = told([checked(value, "10:00", of="food", unit=unit)], plans=plans)
        assert verdict_of(day, "cold.temperature") == verdict


# ---- what a check means and settles ----------------------------------------------------------------------------------

PLAN = plan.resolve(ADOPTED, DAY)


@pytest.mark.parametrize(
    ("kind", "value", "within"),
    [("cold_unit", "41", True), ("cold_unit", "41.1", False), ("hot_unit", "135", True), ("hot_unit", "134.9", False)],
)
def test_a_unit_is_held_to_the_limit_of_its_kind(kind, value, within):
    """FDA Food Code 2022, 3-501.16(A): 135 °F or above, 41 °F or less."""
    assert storage_meaning.is_within(kind, PLAN, Temperature(Decimal(value), "F")) == within


def test_only_a_cold_unit_owes_checks():
    assert [storage_meaning.checks_owed(kind, PLAN) for kind in ("cold_unit", "hot_unit")] == [2, 0]


@pytest.mark.parametrize(
    ("check", "settles"),
    [
        (checked("41", "10:00"), True),
        (checked("41.1", "10:00"), False),
        (checked("45", "10:00", code="elsewhere"), False),
        (checked("38", "10:00", code="elsewhere"), True),
        (checked("100", "10:00", code="pass"), True),
        (entry("equipment_out", at="10:00", code="walk-in"), False),
    ],
    ids=["cold", "warm", "warm, not listed", "cold, not listed", "no cold unit", "no check"],
)
def test_what_a_unit_was_before_it_was_read_cold_says_nothing_of_what_comes_after(check, settles):
    assert UNIT.is_settled_by(check, set_up.calendar()) == settles
