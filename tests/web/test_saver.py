"""A tablet shows the work to whoever stands before it, and asks who is saving; nothing that was typed is lost."""

import json
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest

from app import ledger, register
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import finding, keep, pulled

SetClock = Callable[[datetime | str], None]
READING = {"probe": "blue", "unit": "F"}


@pytest.fixture
def alone(browser: Browser, database: Database) -> Browser:
    """Tablet A with nobody at it; a spit of load A-L1 was pulled into tray A-T1."""
    keep(database, *pulled())
    return browser.enrol()


def lines(database: Database) -> list[dict[str, Any]]:
    """Give the kitchen's own entries."""
    with database.reading() as session:
        return [json.loads(line) for line in ledger.ledger_lines(session, "S1", after_seq=cast.SET_UP)]


def by_pin(asking: Page, login: str, pin: str = cast.PIN) -> Page:
    """Answer who is saving with a name and a PIN, in the form that has one."""
    form = next(form for form in asking.forms if "pin" in form.names)
    return asking.browser.send(form.action, form.with_typed({"saver": login, "pin": pin}))


def by_name(asking: Page, login: str) -> Page:
    """Answer with one tap on a name of somebody who was here a few minutes ago."""
    form = next(form for form in asking.forms if "saver" in form.names and "pin" not in form.names)
    return asking.browser.send(form.action, form.with_typed({"saver": login}))


def note(browser: Browser, text: str) -> Page:
    """Write a note down."""
    return browser.get("/write/note").send(text=text)


# ---- what it shows -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", ["/", "/trays/A-T1", "/loads/A-L1", "/entries", "/findings", "/checks", "/loads/new"])
def test_a_tablet_with_nobody_at_it_shows_the_work(alone: Browser, path: str) -> None:
    page = alone.get(path)
    assert (page.status, page.path) == (200, path)
    assert "Nobody asked when you save" in page.words


def test_it_goes_on_showing_the_work_all_night(alone: Browser, set_clock: SetClock) -> None:
    for hour in (13, 18, 23):
        set_clock(f"{hour}:00")
        assert alone.get("/", **{"X-Fragment": "live"}).status == 200


@pytest.mark.parametrize("path", ["/days", f"/day/{cast.DAY}", "/setup", "/setup/people", "/setup/tokens", "/account"])
def test_what_a_cook_does_not_see_asks_who_it_is(alone: Browser, path: str) -> None:
    page = alone.get(path)
    assert page.path == f"/person?next={path}"
    assert "Who is at this tablet?" in page.words


def test_a_revoked_tablet_shows_nothing(alone: Browser, database: Database) -> None:
    with database.writing() as session:
        site = register.get_site(session, "S1")
        number = next(one.number for one in register.list_credentials(session, site) if one.is_tablet)
        register.revoke_credential(session, site, number, at=cast.moment("12:00:01"))
    assert alone.get("/").path == "/signin"
    assert alone.get("/", **{"X-Fragment": "live"}).status == 401


# ---- asking ---------------------------------------------------------------------------------------------------------


def test_what_a_number_means_is_said_to_nobody_too(alone: Browser) -> None:
    page = alone.get("/trays/A-T1/check").send(temperature="131", **READING)
    assert (page.status, "131 °F: under 135 °F." in page.words) == (200, True)


def test_saving_asks_who_it_is_and_says_what_was_typed(alone: Browser, database: Database) -> None:
    before = len(lines(database))
    asking = alone.get("/trays/A-T1/check").send(temperature="166", **READING).send()
    assert (asking.status, asking.path) == (401, "/trays/A-T1/check")
    assert "Who is saving this? Do not save it Hold reading Tray T1, reading: 166 °F" in asking.words
    assert all(name in asking.words for name in ("Casey Cook", "Robin Reyes", "Pat Porter", "Sam Silva"))
    assert "Ines Ito" not in asking.words
    assert len(lines(database)) == before


def test_the_right_pin_saves_at_once_and_leads_on(alone: Browser, database: Database) -> None:
    asking = alone.get("/trays/A-T1/check").send(temperature="166", **READING).send()
    page = by_pin(asking, "robin")
    assert (page.status, page.path) == (200, "/")
    assert "Saved: tray T1, 166 °F." in page.words
    assert "Robin Reyes Change" in page.words
    kept = lines(database)[-1]
    assert (kept["person"], kept["via"], kept["identified"]) == ("robin", "tablet:A", "pin")


def test_it_leads_on_to_the_corrective_action_of_a_low_reading(alone: Browser) -> None:
    page = by_pin(alone.get("/trays/A-T1/check").send(temperature="131", **READING).send(), "cook")
    assert page.asks_about("hold.temperature")


def test_a_reading_of_a_bird_is_said_as_the_cook_says_it(alone: Browser, database: Database) -> None:
    keep(database, cast.draft("spit_loaded", at="11:00", spit=2, birds=5))
    form = alone.get("/loads/A-L1/spits/2/probe")
    asking = form.send(temperature="166", bird="3", place="breast", **READING).send()
    assert "Load L1, spit 2, bird 3, breast: 166 °F" in asking.words


def test_a_wrong_pin_loses_nothing(alone: Browser, database: Database, set_clock: SetClock) -> None:
    asking = note(alone, "The gas man came.")
    wrong = by_pin(asking, "cook", "1111")
    assert wrong.status == 401
    assert "Name and PIN do not belong together." in wrong.words
    assert "Note The gas man came." in wrong.words
    set_clock("12:01")
    assert "Saved: Note." in by_pin(wrong, "cook").words
    kept = lines(database)[-1]
    assert (kept["text"], kept["person"], kept["observed_at"]) == (
        "The gas man came.",
        "cook",
        "2026-04-14T17:00:00.000Z",  # when it was typed, not when the PIN was right
    )


def test_a_pin_without_a_name_and_a_name_without_a_pin_are_told(alone: Browser) -> None:
    asking = note(alone, "x")
    assert "Tap your name." in asking.send(pin=cast.PIN).words
    assert "Type the PIN of Casey Cook." in asking.send(saver="cook").words


def test_somebody_without_a_pin_is_told_who_sets_one(alone: Browser, database: Database) -> None:
    with database.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE people SET pin_hash = NULL WHERE login = 'robin'")
    asking = note(alone, "x")
    assert "no PIN yet" in asking.words
    assert "Robin Reyes has no PIN yet. The person in charge sets one." in by_pin(asking, "robin").words


def test_guessing_at_saving_has_to_wait(alone: Browser) -> None:
    asking = note(alone, "x")
    for pin in range(3000, 3006):
        asking = by_pin(asking, "cook", str(pin))
    assert "Too many tries." in asking.words
    assert by_pin(asking, "cook").status == 401


def test_what_is_wrong_with_the_form_is_said_before_anybody_is_asked(alone: Browser) -> None:
    page = note(alone, "")
    assert (page.status, "Who is saving this?" in page.words) == (422, False)


def test_all_that_is_kept_together_is_asked_about_once(alone: Browser, database: Database) -> None:
    form = alone.get("/loads/new")
    answers = {f"checks-{number}-answer": "yes" for number in range(4)}
    spits = {"spits-0-birds": "5", "spits-0-lot": "0412-7"}
    asking = form.send(oven="west", **answers, **spits)
    assert "Load started" in asking.words
    assert "Spit loaded" in asking.words
    page = by_pin(asking, "cook")
    assert page.status == 200
    assert [line["kind"] for line in lines(database)[-2:]] == ["load_started", "spit_loaded"]


def test_an_answer_to_a_finding_keeps_which_one_it_is_about(alone: Browser, database: Database) -> None:
    keep(database, cast.draft("hold_reading", at="11:15", temperature="128"))
    key = finding(database, "hold.temperature")
    typed = {"cause": "door open", "action": "served first", "prevention": "shut it", "disposition": "serve_now"}
    asking = alone.get(f"/findings/act?finding={key}").send(**typed)
    assert "Corrective action Tray T1" in asking.words or "Cause: door open." in asking.words
    by_pin(asking, "cook")
    assert lines(database)[-1]["findings"] == [key]


def test_an_entry_and_its_answer_are_asked_about_together(alone: Browser, database: Database) -> None:
    keep(
        database,
        cast.draft("spit_loaded", at="11:01", spit=2),
        cast.draft("spit_pulled", at="11:50", spit=2, tray="A-T9"),
    )
    said = {"cause": "busy", "action": "called them back", "prevention": "a sign on the tray", "told": "two guests"}
    asking = alone.get("/trays/A-T9/already-out").send(to="served", birds="5", **said)
    assert "Out of the tray Tray T9, served: 5 birds Corrective action Cause: busy." in asking.words
    before = len(lines(database))
    by_pin(asking, "cook")
    assert [line["kind"] for line in lines(database)[before:]] == ["tray_out", "corrective_action"]


def test_a_mending_asks_too(alone: Browser, database: Database) -> None:
    kept = lines(database)[-1]
    asking = alone.get(f"/entries/{kept['id']}/withdraw").send(amend_reason="never pulled")
    assert asking.status == 401
    by_pin(asking, "robin")
    assert (lines(database)[-1]["amends"], lines(database)[-1]["person"]) == (kept["id"], "robin")


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
