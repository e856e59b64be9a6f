"""What cannot be, typed on the pages of storage, cooling, reheating and probes: told at its field, nothing lost."""

import io
from collections.abc import Callable
from datetime import datetime

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import Draft, assessed, keep, ordinary_day

SetClock = Callable[[datetime | str], None]
READ = {"temperature": "65", "unit": "F", "probe": "blue"}
EARLY = {"observed_at": "2026-04-14T11:30"}
TAKEN = {"lot": "7", "decision": "accepted"}
BOILING, COMPARED = "/probes/blue/check?method=boiling_point", "/probes/blue/check?method=comparison"


def chilled() -> list[Draft]:
    """Two birds chilled at 11:40 into batch A-B1, one of them being reheated since 11:50."""
    out = cast.draft("tray_out", at="11:40", to="chilled", birds="2", batch="A-B1", cold_unit="walk-in")
    return [*ordinary_day()[:-1], out, cast.draft("reheat_started", at="11:50")]


@pytest.fixture
def kept(database: Database) -> Database:
    """A batch and a reheat of it."""
    keep(database, *chilled())
    return database


CASES = [
    # The page, what is typed, and the field at which it is told.
    ("a batch read before it was chilled", "/batches/A-B1/reading", READ | EARLY, "observed_at"),
    ("a reheat read before its start", "/reheats/A-R1/reading", READ | EARLY, "observed_at"),
    ("no birds to reheat", "/batches/A-B1/reheat", {"birds": "0"}, "birds"),
    ("birds below nothing", "/batches/A-B1/reheat", {"birds": "-1"}, "birds"),
    ("a hundred thousand birds", "/batches/A-B1/reheat", {"birds": "1e5"}, "birds"),
    ("birds in words", "/batches/A-B1/reheat", {"birds": "two"}, "birds"),
    ("thirds of a bird", "/batches/A-B1/reheat", {"birds": "0.3"}, "birds"),
    ("more birds than are there", "/batches/A-B1/out", {"birds": "2", "to": "served_cold"}, "birds"),
    ("no delivery of no birds", "/deliveries/new", {"birds": "0"} | TAKEN, "birds"),
    ("a delivery of less than nothing", "/deliveries/new", {"birds": "-4"} | TAKEN, "birds"),
    ("half a bird delivered", "/deliveries/new", {"birds": "2.5"} | TAKEN, "birds"),
    ("too many birds delivered", "/deliveries/new", {"birds": "100000"} | TAKEN, "birds"),
    ("a temperature in words", "/units/walk-in/check", {"temperature": "cold", "unit": "F"}, "temperature"),
    ("a temperature of no display", "/units/walk-in/check", {"temperature": "1e5", "unit": "F"}, "temperature"),
    ("a temperature with three decimals", "/batches/A-B1/reading", READ | {"temperature": "65.125"}, "temperature"),
    ("no number at all", "/batches/A-B1/reading", READ | {"temperature": "NaN"}, "temperature"),
    ("a pressure no weather has", BOILING, {"temperature": "200", "pressure_hpa": "29.92"}, "pressure_hpa"),
    ("a height above every kitchen", BOILING, {"temperature": "200", "altitude_m": "12000"}, "altitude_m"),
    ("another thermometer in words", COMPARED, {"reference_temperature": "same"}, "reference_temperature"),
    ("a used name", "/batches/A-B1/reheat", {"birds": "1", "reheat": "A-R1"}, "reheat"),
]


@pytest.mark.usefixtures("kept")
@pytest.mark.parametrize(("path", "typed", "field"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_what_cannot_be_is_told_at_its_field_and_nothing_typed_is_lost(
    cook: Browser, database: Database, path: str, typed: dict[str, str], field: str
) -> None:
    before = assessed(database).through_seq
    page = cook.get(path).send(**typed)
    assert page.status == 422
    assert f'id="{field}-errors"' in page.html
    standing = dict(page.form().fields)
    assert {name: standing[name] for name in typed} == typed
    assert assessed(database).through_seq == before


@pytest.mark.usefixtures("kept")
@pytest.mark.parametrize(
    ("typed", "kept_as"),
    [("65,5", "65.5"), (" 65.50 ", "65.5"), ("+65", "65"), ("−3", "-3")],
    ids=["decimal comma", "spaces", "a plus", "a printed minus"],
)
def test_a_number_as_the_keyboard_of_the_tablet_writes_it(
    cook: Browser, database: Database, typed: str, kept_as: str
) -> None:
    cook.get("/batches/A-B1/reading").send(**READ | {"temperature": typed}).send()
    reading = assessed(database).batches[0].history[-1]
    assert format(reading.reading.value.normalize(), "f") == kept_as


@pytest.mark.usefixtures("kept")
@pytest.mark.parametrize("typed", ["６５.５", "٦٥"], ids=["full-width digits", "Arabic digits"])
def test_other_digits_are_told_at_the_field_and_stand_as_typed(cook: Browser, typed: str) -> None:
    page = cook.get("/batches/A-B1/reading").send(**READ | {"temperature": typed})
    assert page.status == 422
    assert dict(page.form().fields)["temperature"] == typed


def test_a_batch_that_nobody_opened_is_not_there(cook: Browser) -> None:
    page = cook.get("/batches/A-B9/reading")
    assert page.status == 404
    assert "Nothing here has that name." in page.words


def test_a_batch_that_others_emptied_meanwhile_keeps_its_reading(cook: Browser, kept: Database) -> None:
    page = cook.get("/batches/A-B1/reading")
    keep(kept, cast.draft("batch_out", at="12:00", birds="1"), at="12:00")
    assert page.send(**READ).send().status == 200
    assert "cooling_reading" in [entry.kind for entry in assessed(kept).batches[0].history]


def test_birds_served_meanwhile_cannot_be_reheated(cook: Browser, kept: Database) -> None:
    page = cook.get("/batches/A-B1/reheat")
    keep(kept, cast.draft("batch_out", at="12:00", birds="1"), at="12:00")
    page = page.send(birds="1")
    assert page.status == 422
    assert "None are left here." in page.words


@pytest.mark.parametrize("path", ["/units/east/check", "/units/blue/check", "/probes/walk-in/check"])
def test_a_check_of_equipment_of_another_kind_is_not_there(cook: Browser, path: str) -> None:
    assert cook.get(path).status == 404


@pytest.mark.parametrize(
    ("path", "left_out"),
    [
        ("/units/walk-in/check", "of"),
        ("/units/walk-in/check", "unit"),
        ("/batches/A-B1/reading", "unit"),
        ("/batches/A-B1/reheat", "birds"),
        ("/deliveries/new", "state"),
    ],
)
def test_what_a_form_leaves_out_is_asked_for_and_not_filled_in(
    kept: Database, cook: Browser, path: str, left_out: str
) -> None:
    form = cook.get(path).form()
    typed = {"temperature": "38", "probe": "blue", "birds": "0.5", "lot": "7", "supplier": "Hill", "product": "Chicken"}
    sent = form.with_typed({name: value for name, value in typed.items() if name in form.names})
    assert sent.pop(left_out)  # it was preset on the page
    before = len(assessed(kept).entries)
    page = cook.send(path, sent)
    assert page.status == 422
    assert f'id="{left_out}"' in page.html
    assert len(assessed(kept).entries) == before


class _BreaksOff(io.RawIOBase):
    """A body whose sender goes away in the middle."""

    def readinto(self, buffer: object) -> int:
        raise ConnectionResetError


def test_a_form_that_breaks_off_is_no_error_of_the_server(browser: Browser) -> None:
    kind = "application/x-www-form-urlencoded"
    body = {"wsgi.input": _BreaksOff(), "CONTENT_LENGTH": "100", "wsgi.input_terminated": True}
    answer = browser.client.post("/signin", content_type=kind, environ_overrides=body)
    assert answer.status_code == 400
    assert "This could not be read" in answer.get_data(as_text=True)
