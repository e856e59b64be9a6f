"""The pad asks before it saves what is unlikely: nothing is lost, one tap confirms, and the entry says that it was."""

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import assessed, chilled, keep, loaded, pulled

PROBE = "/loads/A-L1/spits/1/probe"
READING = {"probe": "blue", "unit": "F"}


def hold(browser: Browser, temperature: str, **typed: str) -> Page:
    """Type a number for tray A-T1 once; what it means is shown, nothing is saved."""
    return browser.get("/trays/A-T1/check").send(temperature=temperature, **READING | typed)


def kept(database: Database) -> list[tuple[str, str, bool]]:
    """Give the readings of tray A-T1: number, unit, and whether it was confirmed."""
    found = [one.entry for one in assessed(database).trays[0].held]
    return [(str(one.reading.value), one.reading.unit, one.confirmed) for one in found]


@pytest.mark.parametrize(
    ("temperature", "says"),
    [
        ("212", "212 °F: over 210 °F is unlikely."),
        ("368", "368 °F: over 210 °F is unlikely."),
        ("74", "74 °F, or 74 °C? Look at the display."),
    ],
)
def test_what_is_unlikely_is_asked_and_one_tap_keeps_it(
    cook: Browser, database: Database, temperature: str, says: str
) -> None:
    keep(database, *pulled())
    page = hold(cook, temperature)
    assert (page.status, says in page.words) == (200, True)
    assert dict(page.form().fields)["temperature"] == temperature
    again = page.send()  # sent without the answer: asked once more, nothing kept
    assert (says in again.words, kept(database)) == (True, [])
    again.send(confirmed=_button(again.html))
    assert kept(database) == [(temperature, "F", True)]


def _button(html: str) -> str:
    """Give what the button that confirms sends."""
    return html.split('name="confirmed" value="')[1].split('"')[0]


def test_what_is_usual_is_not_asked_and_not_called_confirmed(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    page = hold(cook, "150")
    assert 'name="confirmed"' not in page.html
    page.send()
    assert kept(database) == [("150", "F", False)]


def test_the_other_unit_is_one_tap_too(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    page = hold(cook, "74").send(shows="C")
    assert "74 °C: at or above 57 °C." in page.words
    page.send()
    assert kept(database) == [("74", "C", False)]


def test_an_answer_is_about_the_number_that_was_asked_about(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    page = hold(cook, "74").send(temperature="75", confirmed="other_unit")
    assert "75 °F, or 75 °C?" in page.words
    assert kept(database) == []


def test_an_answer_to_another_question_is_none(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    assert "or 74 °C?" in hold(cook, "74").send(confirmed="very_hot").words
    assert kept(database) == []


def test_a_probe_of_one_scale_is_not_asked_which(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    assert "or 74 °C?" not in hold(cook, "74", probe="white").words


def test_a_jump_names_the_reading_before(cook: Browser, database: Database) -> None:
    keep(database, *loaded(), cast.draft("cook_reading", at="11:59", temperature="150"))
    page = cook.get(PROBE).send(temperature="171", bird="1", place="breast", **READING)
    assert "150 °F at 11:59, now 171 °F. Off the bone? Check it again." in page.words
    page.send(confirmed="jump")
    assert [one.confirmed for one in assessed(database).loads[0].spits[0].readings] == [False, True]


@pytest.fixture
def just_loaded(database: Database) -> None:
    """A spit that went in a quarter of an hour ago."""
    drafts = [cast.draft("load_started", at="11:40"), cast.draft("spit_loaded", at="11:45")]
    keep(database, cast.draft("receiving", at="06:30"), cast.draft("probe_check", at="06:00"), *drafts)


@pytest.mark.usefixtures("just_loaded")
def test_a_bird_done_too_soon_is_asked_about(cook: Browser) -> None:
    page = cook.get(PROBE).send(temperature="170", **READING)
    assert "At the limit less than 30 minutes after loading." in page.words


@pytest.mark.usefixtures("just_loaded")
def test_two_questions_are_answered_with_one_tap(cook: Browser) -> None:
    page = cook.get(PROBE).send(temperature="212", **READING)
    assert _button(page.html) == "very_hot early"
    assert "Saved: spit 1, bird 1" in page.send(confirmed=_button(page.html)).words


@pytest.mark.parametrize(
    ("path", "temperature"),
    [("/units/walk-in/check", "4"), ("/units/pass/check", "65"), ("/batches/A-B1/reading", "3")],
)
def test_units_and_batches_are_asked_about_too(cook: Browser, database: Database, path: str, temperature: str) -> None:
    keep(database, *chilled())
    page = cook.get(path).send(temperature=temperature, **READING)
    assert f"{temperature} °F, or {temperature} °C?" in page.words


def test_a_delivery_is_asked_about(cook: Browser, database: Database) -> None:
    typed = {"lot": "x", "birds": "9", "decision": "accepted", "product": "birds", "supplier": "Fenwick"}
    page = cook.get("/deliveries/new").send(temperature="3", **READING, **typed)
    assert "3 °F, or 3 °C?" in page.words
    done = page.send(confirmed="other_unit")
    assert [one.entry.confirmed for one in assessed(database).receiving] == [True], done.words


def test_what_is_chilled_is_asked_about_and_keeps_what_was_typed(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    typed = {"birds": "2", "cold_unit": "walk-in", "method": "cut_up", "temperature": "20", **READING}
    page = cook.get("/trays/A-T1/out/chilled").send(**typed)
    assert (page.status, "20 °F, or 20 °C?" in page.words) == (200, True)
    assert dict(page.form().fields)["birds"] == "2"
    assert assessed(database).batches == ()
    page.send(confirmed="other_unit")
    (batch,) = assessed(database).batches
    assert batch.history[0].confirmed is True


def test_a_part_of_the_page_that_the_script_asks_for_keeps_nothing(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    shown = hold(cook, "150")
    sent = shown.form().with_typed({})
    answer = cook.client.post("/trays/A-T1/check", data=sent, headers={"X-Fragment": "meaning"})
    assert (answer.status_code, kept(database)) == (200, [])


def test_a_time_that_cannot_be_told_is_said_once(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    page = hold(cook, "74", observed_at="yesterday")
    assert page.status == 422
    assert page.html.count("This is not a date and time.") == 3  # in the summary, beside the pad, at the field


# ---- in the form of a kind: written down, or mended ------------------------------------------------------------------

UNLIKELY = {"tray": "A-T1", "temperature": "212", **READING}


def test_what_is_written_down_in_the_form_of_its_kind_is_asked_about_too(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    page = cook.get("/write/hold_reading").send(**UNLIKELY)
    assert page.status == 422
    assert "212 °F: over 210 °F is unlikely. Off the bone? Check it again. If it is right, tick this." in page.words
    assert dict(page.form().fields)["temperature"] == "212"
    assert kept(database) == []
    page.send(confirmed="y")
    assert kept(database) == [("212", "F", True)]


def test_a_mending_that_makes_a_reading_unlikely_is_asked_about(cook: Browser, database: Database) -> None:
    reading = cast.draft("hold_reading", at="11:00", temperature="152")
    keep(database, *pulled(), reading)
    page = cook.get(f"/entries/{reading['id']}").send(temperature="74", amend_reason="typing")
    assert (page.status, "74 °F, or 74 °C?" in page.words) == (422, True)
    page.send(confirmed="y")
    assert kept(database) == [("74", "F", True)]


def test_a_reading_is_no_jump_from_itself(cook: Browser, database: Database) -> None:
    reading = cast.draft("cook_reading", at="11:00", temperature="156")
    keep(database, *loaded(), reading)
    page = cook.get(f"/entries/{reading['id']}").send(temperature="170", amend_reason="typing")
    assert "Corrected." in page.words


def test_one_that_was_confirmed_is_asked_anew_when_it_is_mended(cook: Browser, database: Database) -> None:
    reading = cast.draft("hold_reading", at="11:00", temperature="212", confirmed=True)
    keep(database, *pulled(), reading)
    page = cook.get(f"/entries/{reading['id']}").send(temperature="213", amend_reason="typing")
    assert (page.status, "213 °F: over 210 °F is unlikely." in page.words) == (422, True)


def test_the_answer_is_kept_through_the_question_who_is_saving(browser: Browser, database: Database) -> None:
    keep(database, *pulled())
    asking = hold(browser.enrol(), "212").send(confirmed="very_hot")
    assert (asking.status, kept(database)) == (401, [])
    asking.send(saver="cook", pin=cast.PIN)
    assert kept(database) == [("212", "F", True)]
