"""What is kept of past days' figures is what an assessment of the day gives, whatever was written since it was kept."""

import random
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import func, select

from app import ledger, models, register
from app.ledger.figures.day_figures_text import details_text, read_figures, sums_text
from app.rules.figures.day_figures import DayFigures, figures
from tests.support import cast
from tests.support.diary import START, ForgetfulDiary
from tests.support.examples import examples
from tests.support.ledger_kitchen import Kitchen, batch_chilled, tray_filled
from tests.support.random_ledger import fresh_kitchen, posted

FIRST, LAST = cast.DAY - timedelta(days=10), cast.DAY + timedelta(days=40)
WEEK_LATER = cast.moment("12:00", day=cast.DAY + timedelta(days=7))


def read(kitchen: Kitchen, at: datetime, *, at_most: int = 100, details: bool = True) -> ledger.PastDays:
    with kitchen.database.reading() as session:
        return ledger.past_days(session, "S1", FIRST, LAST, as_of=at, at_most=at_most, details=details)


def keep(kitchen: Kitchen, found: ledger.PastDays) -> None:
    if found.update is not None:
        with kitchen.database.writing() as session:
            ledger.keep_figures(session, "S1", found.update)


def read_and_keep(kitchen: Kitchen, at: datetime, *, at_most: int = 100) -> ledger.PastDays:
    found = read(kitchen, at, at_most=at_most)
    keep(kitchen, found)
    return found


def made_anew(kitchen: Kitchen, days: list[date], at: datetime) -> list[DayFigures]:
    return [figures(kitchen.assess(day=day, as_of=at)) for day in days]


def live(kitchen: Kitchen, rng: random.Random, entries: int) -> datetime:
    """Write a diary down in portions, reading trends and answering findings in between; give when all that is over."""
    now = START
    for now in posted(kitchen, rng, ForgetfulDiary(rng).write(entries)):
        if rng.random() < 0.5:
            read_and_keep(kitchen, now + timedelta(hours=rng.choice([0, 1])), at_most=rng.choice([1, 3, 100]))
    return now + timedelta(hours=1)


def hold_against_assessments(kitchen: Kitchen, at: datetime) -> None:
    found = read(kitchen, at)
    days = [day.day for day in found.days]
    assert found.missing == 0
    for kept, anew in zip(found.days, made_anew(kitchen, days, at), strict=True):
        assert kept == anew


@examples(5)
@given(seed=st.integers(0, 2**32), entries=st.sampled_from([60, 120, 200]))
def test_kept_figures_are_the_figures_made_anew(sqlite_template: Path, seed: int, entries: int) -> None:
    with fresh_kitchen(sqlite_template) as kitchen:
        end = live(kitchen, random.Random(seed), entries)
        hold_against_assessments(kitchen, end)
        hold_against_assessments(kitchen, end + timedelta(days=9))


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_kept_figures_are_the_figures_made_anew_on_each_database(kitchen: Kitchen, seed: int) -> None:
    end = live(kitchen, random.Random(seed), 150)
    read_and_keep(kitchen, end + timedelta(days=3))
    hold_against_assessments(kitchen, end + timedelta(days=3))


def kept_days(kitchen: Kitchen) -> set[date]:
    with kitchen.database.reading() as session:
        return set(session.scalars(select(models.KeptFigures.day)))


def rules_of(found: ledger.PastDays, day: date = cast.DAY) -> set[str]:
    return {one.rule for one in next(one for one in found.days if one.day == day).found}


def test_a_day_is_kept_once_time_alone_changes_nothing_any_more(kitchen: Kitchen) -> None:
    """A day that nobody signs is found wanting at the end of the next business day."""
    kitchen.accept(*tray_filled(), at="10:40")
    next_end = cast.moment("04:00", day=cast.DAY + timedelta(days=2))
    before = read_and_keep(kitchen, next_end - timedelta(seconds=1))
    assert "record.sign_off_due" not in rules_of(before)
    assert cast.DAY not in kept_days(kitchen)
    assert "record.sign_off_due" in rules_of(read_and_keep(kitchen, next_end))
    assert cast.DAY in kept_days(kitchen)


def test_days_before_the_first_entry_and_days_that_are_not_over_are_left_out(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(), at="10:40")
    found = read(kitchen, cast.moment("12:00", day=cast.DAY + timedelta(days=2)))
    assert found.first == cast.DAY
    assert [one.day for one in found.days] == [cast.DAY, cast.DAY + timedelta(days=1)]
    assert read(kitchen, cast.moment("12:00")).days == ()


def test_an_empty_ledger_has_no_days(kitchen: Kitchen) -> None:
    found = read(kitchen, WEEK_LATER)
    assert (found.first, found.days, found.missing) == (None, (), 0)


def test_so_many_days_at_a_time_are_made_the_newest_first(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(), at="10:40")
    part = read_and_keep(kitchen, WEEK_LATER, at_most=3)
    assert [one.day.day for one in part.days] == [17, 18, 19, 20]
    assert part.missing == 3
    assert read_and_keep(kitchen, WEEK_LATER, at_most=3).missing == 0
    assert read(kitchen, WEEK_LATER).update is None


def test_none_but_the_first_is_begun_once_the_time_is_over(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(), at="10:40")
    with kitchen.database.reading() as session:
        found = ledger.past_days(session, "S1", FIRST, LAST, as_of=WEEK_LATER, at_most=9, go_on=lambda: False)
    assert [one.day.day for one in found.days] == [19, 20]
    assert found.missing == 5


def test_what_was_kept_is_believed_and_not_assessed_again(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(), at="10:40")
    read_and_keep(kitchen, WEEK_LATER)
    with kitchen.database.writing() as session:
        row = session.get(models.KeptFigures, (1, cast.DAY))
        assert row is not None
        row.sums = sums_text(DayFigures(day=cast.DAY))
    assert rules_of(read(kitchen, WEEK_LATER)) == set()


@pytest.mark.parametrize("kind", ["late reading", "mended", "withdrawn"])
def test_what_is_written_later_about_a_day_makes_its_figures_anew(kitchen: Kitchen, kind: str) -> None:
    reading = cast.draft("hold_reading", at="11:15", temperature="128")
    kitchen.accept(*tray_filled(), reading, at="11:16")
    assert "hold.temperature" in rules_of(read_and_keep(kitchen, WEEK_LATER))
    amends = {"amends": reading["id"], "amend_reason": "digits swapped"}
    later = {
        "late reading": cast.draft("hold_reading", at="11:14", temperature="150"),
        "mended": cast.draft("hold_reading", at="11:15", temperature="182", **amends),
        "withdrawn": cast.withdrawal(reading, at=WEEK_LATER),
    }[kind]
    kitchen.accept(later, at=WEEK_LATER)
    hold_against_assessments(kitchen, WEEK_LATER)


def test_food_that_goes_out_days_later_makes_the_days_since_anew(kitchen: Kitchen) -> None:
    kitchen.accept(*batch_chilled(), at="12:01")
    read_and_keep(kitchen, WEEK_LATER + timedelta(days=4))
    out = cast.draft("batch_out", at=WEEK_LATER - timedelta(days=5), birds="5", to="served_cold")
    kitchen.accept(out, at=WEEK_LATER + timedelta(days=4))
    hold_against_assessments(kitchen, WEEK_LATER + timedelta(days=4))


def test_a_probe_check_written_late_makes_the_days_until_the_next_pass_anew(kitchen: Kitchen) -> None:
    days = [cast.DAY + timedelta(days=number) for number in range(4)]
    noon = [cast.moment("12:00", day=day) for day in days]
    kitchen.accept(*tray_filled(), *(cast.draft("hold_reading", at=at) for at in noon), at=noon[-1])
    read_and_keep(kitchen, WEEK_LATER)
    kitchen.accept(cast.draft("probe_check", at="11:00", temperature="40"), at=WEEK_LATER)
    assert "probe.out_of_use" in rules_of(read(kitchen, WEEK_LATER), days[3])
    hold_against_assessments(kitchen, WEEK_LATER)


def test_an_oven_that_was_out_makes_the_days_until_it_was_back_anew(kitchen: Kitchen) -> None:
    kitchen.accept(cast.draft("equipment_out", at="08:00"), cast.draft("note", at="09:00"), at="09:00")
    tomorrow = cast.moment("09:00", day=cast.DAY + timedelta(days=1))
    start = [cast.draft("load_started", at=tomorrow), cast.draft("spit_loaded", at=tomorrow)]
    pulled = cast.draft("spit_pulled", at=tomorrow + timedelta(hours=2))
    kitchen.accept(*start, pulled, at=tomorrow + timedelta(hours=2))
    assert "cook.interrupted" in rules_of(read_and_keep(kitchen, WEEK_LATER), cast.DAY + timedelta(days=1))
    kitchen.accept(cast.draft("equipment_back", at="09:30"), at=WEEK_LATER)
    assert "cook.interrupted" not in rules_of(read(kitchen, WEEK_LATER), cast.DAY + timedelta(days=1))
    hold_against_assessments(kitchen, WEEK_LATER)


def test_a_delivery_written_late_makes_the_days_of_its_lot_anew(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(), at="10:40")
    assert "lot.known" in rules_of(read_and_keep(kitchen, WEEK_LATER))
    kitchen.accept(cast.draft("receiving", at=WEEK_LATER), at=WEEK_LATER)
    assert "lot.known" not in rules_of(read(kitchen, WEEK_LATER))


def test_a_cold_unit_read_late_makes_its_day_anew_and_each_day_has_its_own_run(kitchen: Kitchen) -> None:
    days = [cast.moment("12:00", day=cast.DAY + timedelta(days=number)) for number in range(3)]
    kitchen.accept(*(cast.draft("unit_check", at=at, temperature="45", of="food") for at in days[1:]), at=days[2])
    kitchen.accept(cast.draft("note", at=days[0]), at=days[2])
    read_and_keep(kitchen, WEEK_LATER)
    kitchen.accept(cast.draft("unit_check", at=days[0], temperature="45", of="food"), at=WEEK_LATER)
    found = read(kitchen, WEEK_LATER)
    assert all("cold.temperature" in rules_of(found, day.date()) for day in days)
    hold_against_assessments(kitchen, WEEK_LATER)


def test_a_check_of_a_hot_unit_leaves_the_days_before_it_kept(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(), at="10:40")
    read_and_keep(kitchen, WEEK_LATER)
    hot = cast.draft("unit_check", at=WEEK_LATER, unit_code="pass", of="air", temperature="150")
    kitchen.accept(hot, at=WEEK_LATER)
    update = read(kitchen, WEEK_LATER).update
    assert update is not None
    assert update.stale == ()


def test_equipment_listed_later_leaves_past_days_as_they_were_unless_the_clock_was_ahead(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(), at="10:40")
    read_and_keep(kitchen, WEEK_LATER)
    add_cold_unit(kitchen, "late", at=WEEK_LATER)
    update = read(kitchen, WEEK_LATER).update
    assert update is not None
    assert (update.stale, update.made) == ((), ())
    accept_clock(kitchen, at=cast.moment("10:50"))
    add_cold_unit(kitchen, "first-day", at=cast.moment("11:00"))
    hold_against_assessments(kitchen, WEEK_LATER)
    update = read(kitchen, WEEK_LATER).update
    assert update is not None
    assert update.made


def accept_clock(kitchen: Kitchen, *, at: datetime) -> None:
    with kitchen.database.writing() as session:
        register.accept_clock(session, register.get_site(session, "S1"), "it ran a week ahead", at=at)


def add_cold_unit(kitchen: Kitchen, code: str, *, at: datetime) -> None:
    with kitchen.database.writing() as session:
        register.add_equipment(session, register.get_site(session, "S1"), "cold_unit", code, at=at)


def test_a_new_plan_leaves_past_days_as_they_were(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(), at="10:40")
    read_and_keep(kitchen, WEEK_LATER)
    with kitchen.database.writing() as session:
        site = register.get_site(session, "S1")
        cast.add_plan(session, site, 2, settings={"hot_holding": "140F/60C"}, adopted_at=WEEK_LATER)
    update = read(kitchen, WEEK_LATER).update
    assert update is not None
    assert (update.stale, update.made) == ((), ())
    hold_against_assessments(kitchen, WEEK_LATER)


def test_two_who_read_at_once_do_not_keep_what_no_longer_holds(kitchen: Kitchen) -> None:
    """The slower one read before an entry came that the faster one already looked through."""
    kitchen.accept(*tray_filled(), at="10:40")
    slow = read(kitchen, WEEK_LATER)
    kitchen.accept(cast.draft("hold_reading", at="11:15", temperature="128"), at=WEEK_LATER)
    read_and_keep(kitchen, WEEK_LATER)
    keep(kitchen, slow)
    assert "hold.temperature" in rules_of(read(kitchen, WEEK_LATER))


def test_nothing_is_kept_while_the_ledger_is_ahead_of_the_clock(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(), at="10:40")
    kitchen.accept(cast.draft("note", at=WEEK_LATER + timedelta(minutes=1)), at=WEEK_LATER)
    assert read(kitchen, WEEK_LATER).update is None


def test_another_kitchens_figures_are_not_touched(kitchen: Kitchen) -> None:
    with kitchen.database.writing() as session:
        cast.make_other_site(session)
    kitchen.accept(*tray_filled(), at="10:40")
    read_and_keep(kitchen, WEEK_LATER)
    with kitchen.database.reading() as session:
        found = ledger.past_days(session, "S2", FIRST, LAST, as_of=WEEK_LATER, at_most=9)
    assert found.days == ()


def test_what_is_kept_is_thrown_away_with_the_index_and_made_again(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled(), at="10:40")
    before = read_and_keep(kitchen, WEEK_LATER)
    with kitchen.database.writing() as session:
        ledger.rebuild_index(session, "S1", at=WEEK_LATER)
        assert session.scalar(select(func.count()).select_from(models.KeptFigures)) == 0
    assert read_and_keep(kitchen, WEEK_LATER).days == before.days


def test_figures_are_the_same_when_read_back(kitchen: Kitchen) -> None:
    kitchen.accept(*batch_chilled(), cast.draft("batch_out", at="13:00", birds="0.25", to="discarded"), at="13:00")
    day = figures(kitchen.assess(as_of=WEEK_LATER))
    assert read_figures(cast.DAY, sums_text(day), details_text(day)) == day
    without = read_figures(cast.DAY, sums_text(day))
    assert (without.held, without.cooked, without.holding) == ((), (), day.holding)
