"""A tablet shows the work to whoever stands before it, and asks who is saving; nothing that was typed is lost."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app import register
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import finding, keep
from tests.support.saver_pages import READING, by_pin, lines, note

SetClock = Callable[[datetime | str], None]


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
    assert "The name or the PIN is wrong." in wrong.words
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
