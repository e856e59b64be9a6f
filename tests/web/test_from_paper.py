"""The paper form: blank with the plan's limits, and typed in afterwards with the real times, marked so."""

import re
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from app import ledger, register
from app.db import Database
from app.kinds import CookReading, Entry
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.reading_pdf import pages as page_texts

SetClock = Callable[[datetime | str], None]

WRITTEN = {
    "loads-0-time": "09:00",
    "loads-0-load": "P-L1",
    "loads-0-oven": "east",
    "loads-0-checks": "yes",
    "spits-0-time": "09:05",
    "spits-0-load": "P-L1",
    "spits-0-spit": "1",
    "spits-0-birds": "4",
    "spits-0-lot": "0412-7",
    "readings-0-time": "10:10",
    "readings-0-load": "P-L1",
    "readings-0-spit": "1",
    "readings-0-bird": "1",
    "readings-0-place": "breast",
    "readings-0-temperature": "168,5",
    "readings-0-probe": "blue",
    "readings-1-load": "P-L1",
    "readings-1-spit": "1",
    "readings-1-bird": "4",
    "readings-1-place": "breast",
    "readings-1-temperature": "171",
    "readings-1-probe": "blue",
    "pulls-0-time": "10:15",
    "pulls-0-load": "P-L1",
    "pulls-0-spit": "1",
    "pulls-0-birds": "4",
    "pulls-0-tray": "P-T1",
    "pulls-0-hot_unit": "cabinet",
    "trays-0-time": "10:20",
    "trays-0-tray": "P-T1",
    "trays-0-temperature": "151",
    "trays-0-probe": "blue",
    "out-0-time": "11:00",
    "out-0-tray": "P-T1",
    "out-0-birds": "2½",
    "out-0-to": "served",
    "units-0-time": "09:30",
    "units-0-unit_code": "walk-in",
    "units-0-of": "air",
    "units-0-temperature": "38",
    "probes-0-time": "08:50",
    "probes-0-probe": "blue",
    "probes-0-temperature": "32",
}


def type_in(browser: Browser, **typed: str) -> Page:
    """Type in what stands on the paper."""
    return browser.get("/from-paper").send("/from-paper", **{"writer": "Casey Cook", **typed})


def written(database: Database) -> list[Entry]:
    """Give what was kept, in order of writing."""
    with database.reading() as session:
        entries = ledger.day_entries(session, "S1", cast.DAY, as_of=cast.moment("12:00"))
    return sorted((entry for entry in entries if entry.IS_WORK), key=lambda entry: entry.seq)


def test_a_paper_is_typed_in_with_its_own_times_and_marked_so(cook: Browser, database: Database) -> None:
    page = type_in(cook, **WRITTEN)
    assert "9 entries are saved, marked as from paper." in page.words
    entries = written(database)
    assert [entry.kind for entry in entries] == [
        *("probe_check", "load_started", "spit_loaded", "unit_check", "cook_reading", "cook_reading"),
        *("spit_pulled", "hold_reading", "tray_out"),
    ]
    assert {entry.note for entry in entries} == {"From the paper form, written by Casey Cook."}
    assert entries[0].observed_at == cast.moment("08:50")
    assert {entry.recorded_at for entry in entries} == {cast.moment("12:00")}
    assert all(entry.late for entry in entries)


def test_a_time_left_out_is_that_of_the_row_above(cook: Browser, database: Database) -> None:
    type_in(cook, **WRITTEN)
    readings = [entry for entry in written(database) if entry.kind == "cook_reading"]
    assert [entry.observed_at for entry in readings] == [cast.moment("10:10")] * 2


def test_the_same_paper_sent_twice_is_kept_once(cook: Browser, database: Database) -> None:
    page = cook.get("/from-paper")
    page.send("/from-paper", **WRITTEN)
    page.send("/from-paper", **WRITTEN)
    assert len(written(database)) == 9


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"readings-0-temperature": "hot"}, "readings-0-temperature", "Temperature"),
        ({"readings-0-probe": ""}, "readings-0-probe", "Probe: this is needed."),
        ({"readings-0-time": "25:00"}, "readings-0-time", "Write the time like this: 15:39."),
        ({"readings-0-time": ""}, "readings-0-time", "Write the time like this: 15:39."),
        ({"pulls-0-birds": "5"}, "pulls-0-birds", "Only 4 left here."),
        ({"trays-0-tray": "P-T9"}, "trays-0-tray", "There is no tray of that name yet"),
        ({"out-0-time": "13:00"}, "out-0-time", "This time has not come yet."),
        ({"loads-0-oven": ""}, "loads-0-oven", "Oven: this is needed."),
    ],
)
def test_what_cannot_be_is_told_at_its_cell_and_nothing_is_kept_or_lost(
    cook: Browser, database: Database, typed: dict[str, str], field: str, said: str
) -> None:
    page = type_in(cook, **{**WRITTEN, **typed})
    assert (page.status, said in page.words) == (422, True), page.words
    cell = page.html.partition(f'name="{field}"')[2].partition("</td>")[0]
    assert 'class="errors"' in cell
    assert "0412-7" in page.html
    assert written(database) == []


def test_an_error_says_its_table_and_row_and_none_that_another_explains(cook: Browser) -> None:
    page = type_in(cook, **{"readings-0-time": "10:20", "readings-0-load": "P-L1"})
    assert "Birds probed, row 1: Spit: this is needed." in page.words
    assert "Say whether this was read in °F or °C." not in page.words


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"readings-0-temperature": "368"}, "368 °F: over 210 °F is unlikely. Off the bone? Check it again."),
        ({"readings-0-temperature": "74"}, "74 °F, or 74 °C? Look at the display."),
        ({"readings-0-time": "09:07", "readings-1-time": "10:10"}, "At the limit less than"),
        (
            {"readings-2-load": "P-L1", "readings-2-spit": "1", "readings-2-bird": "4", "readings-2-place": "breast"}
            | {"readings-2-temperature": "199", "readings-2-probe": "blue"},
            "171 °F at 10:10, now 199 °F. Off the bone? Check it again.",
        ),
        ({"units-0-temperature": "4"}, "4 °F, or 4 °C? Look at the display."),
        ({"trays-0-temperature": "250"}, "250 °F: over 210 °F is unlikely."),
    ],
)
def test_an_unlikely_reading_is_asked_about_at_its_row_and_kept_once_answered(
    cook: Browser, database: Database, typed: dict[str, str], said: str
) -> None:
    page = type_in(cook, **{**WRITTEN, **typed})
    assert (page.status, said in page.words) == (422, True), page.words
    assert "0412-7" in page.html
    assert written(database) == []
    right = dict(re.findall(r'name="([a-z]+-[0-9]+-answer)" value="(yes [^"]*)"', page.html))
    assert right
    again = page.send("/from-paper", **{"writer": "Casey Cook", **WRITTEN, **typed, **right})
    assert "entries are saved, marked as from paper." in again.words
    read = [entry for entry in written(database) if getattr(entry, "confirmed", False)]
    assert len(read) == len(right)


def test_a_reading_that_was_in_the_other_unit_is_kept_in_it(cook: Browser, database: Database) -> None:
    typed = {**WRITTEN, "readings-0-temperature": "74", "writer": "Casey Cook"}
    page = type_in(cook, **typed)
    page.send("/from-paper", **typed, **{"readings-0-answer": "other 74 F"})
    reading = next(entry for entry in written(database) if entry.kind == "cook_reading")
    assert isinstance(reading, CookReading)
    assert (str(reading.reading.value), reading.reading.unit) == ("74", "C")


def test_another_number_is_asked_about_anew(cook: Browser, database: Database) -> None:
    typed = {**WRITTEN, "writer": "Casey Cook"}
    page = type_in(cook, **{**typed, "readings-0-temperature": "368"})
    answered = {**typed, "readings-0-answer": "yes 368 F"}
    page = page.send("/from-paper", **{**answered, "readings-0-temperature": "369"})
    assert "369 °F: over 210 °F is unlikely." in page.words
    assert written(database) == []


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (cast.DAY + timedelta(days=1), "This day has not come yet."),
        (cast.DAY - timedelta(days=367), "This day is more than a year ago. Check the year."),
        ("14.4.", "This is not a day. Write it like this: 2026-04-14."),
    ],
)
def test_a_day_that_cannot_be_is_said_once_at_the_day(
    cook: Browser, database: Database, day: object, said: str
) -> None:
    page = type_in(cook, **{**WRITTEN, "day": str(day)})
    assert (page.status, page.html.count('class="errors"')) == (422, 1)
    assert said in page.html.partition('id="day-errors"')[2].partition("</ul>")[0]
    assert "0412-7" in page.html
    assert written(database) == []


def test_a_row_before_what_it_is_about_is_said_at_its_time_or_name(cook: Browser, database: Database) -> None:
    page = type_in(cook, **{**WRITTEN, "pulls-0-time": "08:00"})
    assert page.status == 422
    assert "There is no load of that name yet at that time." in page.words
    assert "0412-7" in page.html
    assert written(database) == []


def test_a_kitchen_without_ovens_is_told_on_page_and_paper(cook: Browser, database: Database) -> None:
    assert "Not set up yet" not in cook.get("/from-paper").words
    with database.writing() as session:
        site = register.get_site(session, "S1")
        for code in [one.code for one in register.list_equipment(session, site) if one.kind in ("oven", "probe")]:
            register.retire_equipment(session, site, code, at=cast.moment("11:00"))
    said = "Not set up yet: oven and probe. The person in charge adds what is missing, in Set-up."
    assert said in cook.get("/from-paper").words
    assert said in " ".join(page_texts(cook.client.get("/paper-form.pdf").data)[0].split())


def test_nothing_typed_is_said(cook: Browser) -> None:
    page = type_in(cook)
    assert (page.status, "Type at least one row." in page.words) == (422, True)


def test_what_comes_before_the_days_start_is_of_the_night_after(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    page = cook.get("/from-paper")
    typed = {"units-0-time": "00:30", "units-0-unit_code": "walk-in", "units-0-of": "air", "units-0-temperature": "38"}
    assert "has not come yet" in page.send("/from-paper", **typed).words
    page.send("/from-paper", day="2026-04-13", **typed)
    assert [entry.observed_at for entry in written(database)] == []
    with database.reading() as session:
        entries = ledger.day_entries(session, "S1", cast.DAY.replace(day=13), as_of=cast.moment("12:00"))
    assert cast.moment("00:30") in {entry.observed_at for entry in entries}


def test_at_a_tablet_with_nobody_it_is_asked_who_types(browser: Browser, database: Database) -> None:
    browser.enrol()
    page = type_in(browser, **WRITTEN)
    assert written(database) == []
    page.send("/from-paper", saver="cook", pin=cast.PIN)
    assert {entry.person for entry in written(database)} == {"cook"}


def test_the_blank_form_has_the_plans_limits_and_the_equipment_on_two_pages(cook: Browser, database: Database) -> None:
    with database.writing() as session:
        site = register.get_site(session, "S1")
        lead = register.get_person(session, site, "pat")
        settings = {"hot_holding": "140F/60C", "check_interval_min": "45", "places_per_bird": "breast,thigh"}
        register.adopt_plan(session, site, None, settings, by=lead, at=cast.moment("12:00"))
    pages = page_texts(cook.client.get("/paper-form.pdf").data)
    said = " ".join(" ".join(pages).split())
    assert len(pages) == 2
    assert "At least 165 °F / 74 °C, in 2 birds a spit: breast, thigh." in said
    assert "At least 140 °F / 60 °C, read every 45 min." in said
    assert "70 °F / 21 °C within 2 h, 41 °F / 5 °C within 6 h." in said
    for code in ("walk-in", "cabinet", "blue"):
        assert code in said
