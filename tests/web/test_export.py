"""Records for a spreadsheet: every table, for a period, with nothing that a spreadsheet would run."""

import csv
import io
import re
import shutil
from collections.abc import Callable
from datetime import date, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from flask import Flask

import demo_data
from app.db import Database
from app.server.spreadsheet import TABLES
from demo_data import kitchen as demo_kitchen
from demo_data.kitchen import PASSWORD
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import action, evening, finding, keep, low_reading, mending, ordinary_day

SetClock = Callable[[datetime | str], None]
DEMO_AT = cast.moment("18:30", day=date(2026, 6, 12))
"""A Friday evening: the week from 1 June is over."""


@pytest.fixture
def pat(database: Database, browser: Browser) -> Browser:
    """The person in charge at noon of an ordinary day."""
    keep(database, *ordinary_day())
    return browser.sign_in("pat")


def rows(browser: Browser, name: str, first: str = "2026-04-14", last: str = "2026-04-14") -> list[dict[str, str]]:
    """Give the rows of a table as a spreadsheet reads them."""
    answer = browser.client.get(f"/export/{name}.csv?first={first}&last={last}")
    assert (answer.status_code, answer.mimetype) == (200, "text/csv")
    text = answer.get_data(as_text=True)
    assert text.startswith("\ufeff")
    return list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))


def test_hostile_text_comes_out_as_text_in_every_table(database: Database, browser: Browser) -> None:
    hostile = '=HYPERLINK("http://example.org","x")'
    lots = [
        cast.draft("receiving", at="06:00", lot=hostile, supplier="\uff1dA1", product="@SUM(1)"),
        cast.draft("load_started", at="09:00"),
        cast.draft("spit_loaded", at="09:02", lot=hostile),
        cast.draft("unit_check", at="09:10", temperature="-18.5", unit="C"),
    ]
    keep(database, *lots)
    browser.sign_in("pat")
    cells = [cell for name in TABLES for row in rows(browser, name) for cell in row.values()]
    assert f"'{hostile}" in cells
    assert "-18.5" in cells
    assert [cell for cell in cells if re.match(r"\s*[=+@\uff1d\uff0b\uff20]|-[^0-9]", cell)] == []


# ---- the tables -----------------------------------------------------------------------------------------------------


def test_readings_have_local_time_offset_and_the_unit_in_the_heading(pat: Browser) -> None:
    first, *_ = [row for row in rows(pat, "readings") if row["kind"] == "cook_reading"]
    assert (first["local_time"], first["utc_offset_h"]) == ("2026-04-14 10:31:00", "-5")
    assert (first["temperature_F"], first["temperature_C"]) == ("171.2", "")
    assert (first["load"], first["spit"], first["bird"], first["place"]) == ("A-L1", "1", "1", "breast")
    assert (first["late"], first["written_local_time"], first["person"]) == ("yes", "2026-04-14 12:00:00", "cook")
    assert [row["kind"] for row in rows(pat, "readings")] == [
        *("probe_check", "receiving", "unit_check", "unit_check", "cook_reading", "cook_reading", "hold_reading")
    ]


def test_the_newest_version_counts_and_a_withdrawn_one_does_not(database: Database, pat: Browser) -> None:
    wrong, gone = cast.draft("hold_reading", at="11:20"), cast.draft("hold_reading", at="11:25")
    keep(database, wrong, gone, at="12:00")
    keep(database, mending(wrong, temperature="61.5", unit="C"), cast.withdrawal(gone, at="11:25"), at="12:00")
    held = [row for row in rows(pat, "readings") if row["kind"] == "hold_reading"]
    assert [(row["temperature_F"], row["temperature_C"], row["corrected"]) for row in held] == [
        ("150", "", "no"),
        ("", "61.5", "yes"),
    ]


def test_a_day_a_load_a_tray_and_their_movements(pat: Browser) -> None:
    (day,) = rows(pat, "days")
    assert (day["state"], day["critical_readings"], day["late"], day["loaded"], day["served"]) == (
        *("running", "4", "4", "5", "5"),
    )
    (load,) = rows(pat, "loads")
    assert (load["load"], load["spit"], load["birds"], load["lowest_F"], load["verdict"]) == (
        *("A-L1", "1", "5", "166", "met"),
    )
    (tray,) = rows(pat, "trays")
    assert (tray["tray"], tray["readings"], tray["lowest_F"], tray["birds_left"]) == ("A-T1", "1", "150", "0")
    moved = [(row["kind"], row["from"], row["into"], row["way"], row["birds"]) for row in rows(pat, "traces")]
    assert moved == [
        ("receiving", "", "", "accepted", "40"),
        ("spit_loaded", "", "A-L1/1", "", "5"),
        ("spit_pulled", "A-L1/1", "A-T1", "", "5"),
        ("tray_out", "A-T1", "", "served", "5"),
    ]


def test_a_finding_says_how_it_was_answered(database: Database, browser: Browser) -> None:
    keep(database, *low_reading())
    key = finding(database, "hold.temperature")
    keep(database, action(key))
    keep(database, cast.draft("action_verified", at="12:00", findings=[key], outcome="sent_back", remark="?"), by="pat")
    (row,) = [row for row in rows(browser.sign_in("pat"), "findings") if row["rule"] == "hold.temperature"]
    assert (row["about"], row["verdict"], row["status"]) == ("A-T1", "not_met", "open")
    assert (row["actions"], row["sent_back"], row["sets_aside"]) == ("1", "1", "no")
    assert (row["onset_local_time"], row["utc_offset_h"]) == ("2026-04-14 11:15:00", "-5")


def test_the_hour_that_comes_twice_has_two_offsets(database: Database, browser: Browser, set_clock: SetClock) -> None:
    """The clocks of Chicago go back on 1 November 2026 at 02:00 (IANA time zone database)."""
    night = date(2026, 10, 31)
    twice = [datetime.fromisoformat(f"2026-11-01T{hour}:30:00+00:00") for hour in ("06", "07")]
    now = twice[1] + timedelta(hours=1)
    keep(database, *(cast.draft("unit_check", at=at) for at in twice), at=now)
    set_clock(now)
    read = rows(browser.sign_in("pat"), "readings", night.isoformat(), night.isoformat())
    assert [(row["local_time"], row["utc_offset_h"]) for row in read] == [
        ("2026-11-01 01:30:00", "-5"),
        ("2026-11-01 01:30:00", "-6"),
    ]


def test_every_local_time_has_its_own_offset(database: Database, browser: Browser, set_clock: SetClock) -> None:
    """Seen before the clocks of Chicago go back on 1 November 2026 at 02:00, written after it."""
    seen, now = datetime.fromisoformat("2026-11-01T06:30:00+00:00"), datetime.fromisoformat("2026-11-01T08:00:00+00:00")
    keep(database, cast.draft("unit_check", at=seen), at=now)
    set_clock(now)
    (row,) = rows(browser.sign_in("pat"), "readings", "2026-10-31", "2026-10-31")
    assert (row["local_time"], row["utc_offset_h"]) == ("2026-11-01 01:30:00", "-5")
    assert (row["written_local_time"], row["written_utc_offset_h"]) == ("2026-11-01 02:00:00", "-6")


@pytest.mark.parametrize("name", TABLES)
def test_beside_each_column_of_a_local_time_stands_its_offset(pat: Browser, name: str) -> None:
    answer = pat.client.get(f"/export/{name}.csv?first=2026-04-14&last=2026-04-14")
    heads = answer.text.removeprefix("\ufeff").splitlines()[0].split(",")
    beside = [after for head, after in pairwise(heads) if head.endswith("local_time")]
    assert [head.endswith("utc_offset_h") for head in beside] == [True] * len(beside)
    assert len(set(heads)) == len(heads)


# ---- asking for a file ----------------------------------------------------------------------------------------------


def test_a_file_is_asked_for_and_says_for_how_many_days_it_is(pat: Browser) -> None:
    page = pat.get("/days").follow("For a spreadsheet")
    page = page.send(table="readings", first="2026-04-01", last="2026-04-14")
    assert "S1-readings-2026-04-01-2026-04-14.csv · 14 days" in page.words
    answer = pat.client.get(next(href for href, said in page.links if "Save the file" in said))
    assert answer.headers["X-Days"] == "14"
    assert answer.headers["Content-Disposition"] == ('attachment; filename="S1-readings-2026-04-01-2026-04-14.csv"')


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("first=2026-03-01&last=2026-03-31", "There are no entries of these days. Choose others."),
        ("first=2026-04-14&last=2026-04-01", "This day is before the first one."),
        ("first=soon&last=2026-04-01", "This is not a date."),
        ("first=2020-01-01&last=2026-04-01", "These are more than two years."),
    ],
)
def test_days_that_cannot_be_are_said_at_their_field(pat: Browser, query: str, said: str) -> None:
    for path in ("/export?table=days&", "/export/days.csv?"):
        page = pat.get(path + query)
        assert page.status == 422
        assert said in page.words


def test_a_kitchen_without_entries_is_not_told_so_before_it_asks(browser: Browser) -> None:
    page = browser.sign_in("other-lead").get("/export")
    assert (page.status, "There are no entries" in page.words) == (200, False)


def test_a_table_that_there_is_not(pat: Browser) -> None:
    assert pat.get("/export/people.csv").status == 404
    assert "Choose one of these." in pat.get("/export?table=people").words


def test_another_kitchens_records_are_not_in_it(pat: Browser, browser: Browser) -> None:
    page = browser.sign_in("other-lead").get("/export/readings.csv?first=2026-04-14&last=2026-04-14")
    assert page.status == 422
    assert "There are no entries of these days." in page.words


# ---- the week, counted from the files alone -------------------------------------------------------------------------


@pytest.fixture(scope="module")
def demo_file(two_kitchens_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo kitchen beside the other two, in an SQLite file to be copied."""
    path = tmp_path_factory.mktemp("demo") / "demo.sqlite3"
    database = Database(f"sqlite:///{shutil.copyfile(two_kitchens_template, path)}")
    demo_data.load(database, at=DEMO_AT)
    database.engine.dispose()
    return path


@pytest.fixture
def ines(app_on: Callable[[str], Flask], demo_file: Path, tmp_path: Path, set_clock: SetClock) -> Browser:
    """The person in charge of the demo kitchen."""
    app = app_on(f"sqlite:///{shutil.copyfile(demo_file, tmp_path / 'demo.sqlite3')}")
    set_clock(DEMO_AT)
    browser = Browser(app.test_client())
    browser.get("/signin").send(login="ines", password=PASSWORD, **_site(browser))
    return browser


def _site(browser: Browser) -> dict[str, str]:
    form = browser.get("/signin").form()
    return {"site": demo_kitchen.SITE} if "site" in form.names else {}


def is_critical(row: dict[str, str]) -> bool:
    """Cook, hold, cooling (also given when chilled or prepared), reheat, receiving, food in a cold unit."""
    if row["kind"] == "unit_check":
        return (row["of"], row["unit_kind"]) == ("food", "cold_unit")
    if row["kind"] == "tray_out":
        return bool(row["batch"])
    return row["kind"] in ("cook_reading", "hold_reading", "cooling_reading", "reheat_reading", "receiving")


MISSED = ("hold.check_interval", "probe.check_due", "cold.check_interval", "start.checks", "checklist.done")


def counted(browser: Browser, first: date) -> dict[str, str]:
    """Count a week from its exported files alone."""
    span = (first.isoformat(), (first + timedelta(days=6)).isoformat())
    days, read, found = (rows(browser, name, *span) for name in ("days", "readings", "findings"))
    critical = [row for row in read if is_critical(row)]
    late = sum(row["late"] == "yes" for row in critical)
    missed = sum(
        row["rule"] in MISSED and row["verdict"] == "not_shown" for row in found if row["gone_after_correction"] == "no"
    )
    return {
        "days signed": f"{sum(row['state'] == 'signed' for row in days)} / {len(days)}",
        "critical readings on time": str(len(critical) - late),
        "written late": str(late),
        "missed checks": str(missed),
        "times food was set aside": str(sum(row["sets_aside"] == "yes" for row in found)),
        "actions sent back": str(sum(row["sent_back"] != "0" for row in found)),
    }


@pytest.mark.parametrize("first", [date(2026, 5, 25), date(2026, 6, 1)])
def test_a_week_of_the_demo_counted_from_the_files_alone_is_what_its_page_says(ines: Browser, first: date) -> None:
    page = ines.get(f"/weeks/{first}")
    tally = re.findall(r'<li><span class="big">([^<]+)</span> ([^<]+)</li>', page.html)
    said = {what.replace("reading ", "readings ").replace("check", "check"): count for count, what in tally}
    expected = counted(ines, first)
    assert sorted(said.values()) == sorted(expected.values())
    plural = {
        "missed check": "missed checks",
        "time food was set aside": "times food was set aside",
        "action sent back": "actions sent back",
    }
    assert {plural.get(what, what): count for what, count in said.items()} == expected


def test_each_day_of_that_week_is_told_alike(ines: Browser) -> None:
    page = ines.get("/weeks/2026-06-01")
    for row in rows(ines, "days", "2026-06-01", "2026-06-07"):
        counts = " ".join(row[name] for name in ("critical_readings", "late", "not_met", "not_shown"))
        assert re.search(
            rf"{date.fromisoformat(row['business_day']):%-d} June 2026 [^0-9]*[^|]*? {counts} ", page.words
        )


def test_units_probes_and_people_of_that_week_counted_from_the_readings(ines: Browser) -> None:
    read = rows(ines, "readings", "2026-06-01", "2026-06-07")
    page = ines.get("/weeks/2026-06-01")
    checked = [row for row in read if row["kind"] == "probe_check"]
    assert len(checked) == len(re.findall(r'<th scope="row">(?:blue|red|pocket)</th>', page.html))
    for unit, kind in (("walk-in", "cold unit"), ("chiller", "cold unit")):
        checks = sum(row["unit_code"] == unit and row["kind"] == "unit_check" for row in read)
        assert f"{unit}, {kind} {checks} " in page.words


def test_evening_checks_are_no_late_readings(database: Database, pat: Browser, set_clock: SetClock) -> None:
    keep(database, *evening(), at="20:02")
    set_clock("21:00")
    pat.sign_in("pat")
    assert [row["late"] for row in rows(pat, "readings")][-2:] == ["no", "no"]
