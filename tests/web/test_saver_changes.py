"""Who is saving at a tablet, when people change: by the name alone, from old pages, with a second tap, by the PIN."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app import register
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep
from tests.support.saver_pages import by_name, by_pin, lines, note

SetClock = Callable[[datetime | str], None]


# ---- two people, two taps, old pages --------------------------------------------------------------------------------


def test_whoever_was_here_a_few_minutes_ago_saves_by_the_name_alone(
    alone: Browser, database: Database, set_clock: SetClock
) -> None:
    by_pin(note(alone, "one"), "cook")
    by_pin(alone.get("/person"), "robin")
    form = alone.get("/write/note")
    alone.send("/signout", form.form("/write/note").with_typed({}))
    set_clock("12:04")
    asking = form.send(text="two")
    assert "Here a few minutes ago: tap your name Casey Cook Or name and PIN" in asking.words
    page = by_name(asking, "cook")
    assert "Saved: Note." in page.words
    kept = lines(database)[-1]
    assert (kept["text"], kept["person"], kept["identified"]) == ("two", "cook", "recent")


def test_who_signed_off_is_not_taken_by_the_name_alone(alone: Browser, database: Database) -> None:
    by_pin(note(alone, "one"), "cook")
    form = alone.get("/write/note")
    alone.send("/signout", form.form("/write/note").with_typed({}))
    asking = form.send(text="two")
    assert "Here a few minutes ago" not in asking.words
    before = len(lines(database))
    assert "Type the PIN of Casey Cook." in asking.send(saver="cook").words
    assert len(lines(database)) == before


@pytest.mark.parametrize(("later", "is_near"), [("12:05", True), ("12:05:01", False)])
def test_the_name_alone_is_enough_for_five_minutes(
    alone: Browser, set_clock: SetClock, later: str, is_near: bool
) -> None:
    by_pin(note(alone, "one"), "cook")
    by_pin(alone.get("/person"), "robin")
    set_clock(later)
    people = alone.get("/person")
    assert ("Here a few minutes ago: tap your name Casey Cook" in people.words) is is_near


def test_a_setting_says_for_how_long_the_name_alone_is_enough(alone: Browser, set_clock: SetClock) -> None:
    alone.client.application.config["PERSON_RECENT_MIN"] = 0
    by_pin(note(alone, "one"), "cook")
    by_pin(alone.get("/person"), "robin")
    set_clock("12:00:01")
    assert "Here a few minutes ago" not in alone.get("/person").words


def test_a_new_pin_or_role_asks_for_the_pin_again(alone: Browser, database: Database) -> None:
    by_pin(note(alone, "one"), "cook")
    by_pin(alone.get("/person"), "robin")
    with database.writing() as session:
        person = register.get_person(session, register.get_site(session, "S1"), "cook")
        register.set_pin(session, person, register.hash_pin("8526"), at=cast.moment("12:00:01"))
    assert "Here a few minutes ago" not in alone.get("/person").words


def test_two_cooks_change_by_one_tap_each(alone: Browser, database: Database) -> None:
    by_pin(note(alone, "one"), "cook")
    by_pin(alone.get("/person"), "robin")
    assert "Casey Cook Change" in by_name(alone.get("/person"), "cook").words
    assert "Robin Reyes Change" in by_name(alone.get("/person"), "robin").words
    note(alone, "two")
    assert (lines(database)[-1]["person"], lines(database)[-1]["identified"]) == ("robin", "recent")


def test_the_pin_is_wanted_again_after_a_long_shift(alone: Browser, set_clock: SetClock) -> None:
    by_pin(note(alone, "one"), "cook")
    for minute in range(0, 12 * 60, 5):
        set_clock(cast.moment("12:00") + cast.minutes(minute))
        alone.get("/")
    set_clock(cast.moment("12:00") + cast.minutes(12 * 60 + 1))
    assert "Nobody asked when you save" in alone.get("/").words
    assert "Here a few minutes ago" not in alone.get("/person").words


def test_a_page_opened_by_another_asks_who_is_saving(alone: Browser, database: Database) -> None:
    by_pin(note(alone, "one"), "cook")
    form = alone.get("/write/note")
    by_pin(alone.get("/person"), "robin")
    asking = form.send(text="typed by Casey")
    assert (asking.status, "tap your name Robin Reyes Casey Cook" in asking.words) == (401, True)
    by_name(asking, "cook")
    assert (lines(database)[-1]["text"], lines(database)[-1]["person"]) == ("typed by Casey", "cook")


def test_a_second_tap_on_save_makes_one_entry(alone: Browser, database: Database) -> None:
    before = len(lines(database))
    asking = note(alone, "once")
    old = alone.client.get_cookie("roast_ledger")
    by_pin(asking, "cook")
    assert old is not None
    alone.client.set_cookie("roast_ledger", old.value)  # the second tap was on its way before the first was answered
    assert "Saved: Note." in by_pin(asking, "cook").words
    assert len(lines(database)) == before + 1


def test_a_second_tap_on_a_name_makes_one_entry(alone: Browser, database: Database) -> None:
    by_pin(note(alone, "one"), "cook")
    by_pin(alone.get("/person"), "robin")
    form = alone.get("/write/note")
    by_name(alone.get("/person"), "cook")
    asking = form.send(text="two")
    before, old = len(lines(database)), alone.client.get_cookie("roast_ledger")
    by_name(asking, "robin")
    assert old is not None
    alone.client.set_cookie("roast_ledger", old.value)
    by_name(asking, "robin")
    assert len(lines(database)) == before + 1


def test_what_was_saved_is_not_asked_about_again(alone: Browser, database: Database, set_clock: SetClock) -> None:
    form = alone.get("/write/note")
    by_pin(form.send(text="once"), "cook")
    set_clock("12:20")
    before = len(lines(database))
    page = form.send(text="once")
    assert (page.status, "Saved: Note." in page.words) == (200, True)
    assert len(lines(database)) == before


def test_a_tray_that_was_emptied_meanwhile_is_told_at_the_form(alone: Browser, database: Database) -> None:
    asking = alone.get("/trays/A-T1/out/served").send(birds="5")
    keep(database, cast.draft("tray_out", at="11:59", birds="5"))
    page = by_pin(asking, "cook")
    assert (page.status, "Nothing was saved yet" in page.words) == (422, True)


# ---- what wants the PIN each time -----------------------------------------------------------------------------------


def test_taking_charge_wants_the_pin_each_time(alone: Browser, database: Database) -> None:
    alone.choose("pat")
    asking = alone.get("/checks").send("/in-charge")
    assert (asking.status, "In charge from now Takes charge" in asking.words) == (401, True)
    assert "Here a few minutes ago" not in asking.words
    assert "Casey Cook" not in asking.words  # a cook does not take charge
    before = len(lines(database))
    asking.send(saver="pat")
    assert len(lines(database)) == before
    assert "You are in charge from now on." in by_pin(asking, "pat").words
    assert lines(database)[-1]["identified"] == "pin"


def test_taking_charge_by_the_form_of_any_kind_wants_it_too(alone: Browser) -> None:
    alone.choose("pat")
    assert alone.get("/write/in_charge_from").send().status == 401


def test_somebody_signed_in_with_the_password_is_not_asked(cook: Browser, database: Database) -> None:
    assert "Saved: Note." in note(cook.enrol(), "x").words
    assert "identified" not in lines(database)[-1]
