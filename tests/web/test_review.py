"""The day's page: what is wrong and owed, everything that was written, the list of days, the printed log."""

from collections.abc import Callable
from datetime import datetime
from io import BytesIO

import pytest
from pypdf import PdfReader

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import action, evening, finding, keep, low_reading, mending, ordinary_day

DAY = "/day/2026-04-14"


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password."""
    return browser.sign_in("pat")


def test_a_day_without_entries_says_so(pat: Browser) -> None:
    assert "Nothing is recorded for this day." in pat.get(DAY).words


def test_what_is_wrong_stands_first(database: Database, pat: Browser) -> None:
    keep(database, *low_reading())
    words = pat.get(DAY).words
    assert "1 finding to answer; then it can be signed." in words
    assert words.index("Tray A-T1, hot-holding temperature: not met") < words.index("Birds")


def test_an_open_finding_leads_to_its_corrective_action(database: Database, pat: Browser) -> None:
    keep(database, *low_reading())
    page = pat.get(DAY).follow("Record corrective action")
    assert page.status == 200
    assert page.path.startswith("/findings/act")


def test_a_tray_with_birds_stands_in_the_way_while_the_day_runs(database: Database, pat: Browser) -> None:
    keep(database, *ordinary_day()[:-1])
    assert "Tray A-T1 still holds birds" in pat.get(DAY).words


@pytest.mark.parametrize(
    "said",
    [
        "Load A-L1, oven east",
        "2 of 5 birds probed, lowest 166 °F",
        "spit 1, bird 1, breast",
        "171.2 °F",
        "Tray A-T1",
        "last known hot",
        "Lot 0412-7",
        "Cold unit walk-in",
        "Probe blue",
        "Casey Cook",
    ],
)
def test_everything_written_can_be_read(database: Database, pat: Browser, said: str) -> None:
    keep(database, *ordinary_day())
    assert said in pat.get(DAY).words


def test_a_mended_entry_shows_both_values_and_why(database: Database, pat: Browser) -> None:
    drafts = ordinary_day()
    keep(database, *drafts)
    keep(database, mending(drafts[7], temperature="167.2"))
    page = pat.get(DAY)
    assert "166 °F" in page.words
    assert "167.2 °F" in page.words
    assert "read the wrong line" in page.words
    assert 'class="struck"' in page.html


def test_a_finding_that_was_mended_away_wants_a_review(database: Database, pat: Browser) -> None:
    drafts = low_reading()
    keep(database, *drafts)
    keep(database, mending(drafts[9], temperature="150"))
    words = pat.get(DAY).words
    assert "Gone since an entry was corrected" in words
    assert "1 action to review" in words


def test_a_late_entry_is_marked(database: Database, pat: Browser) -> None:
    keep(database, *ordinary_day(), at="12:00")
    assert "late" in pat.get(DAY).words


def test_the_days_around_are_one_step_away(database: Database, pat: Browser) -> None:
    keep(database, *ordinary_day())
    page = pat.get("/day/2026-04-13")
    assert page.follow("Day after").path == DAY
    assert pat.get(DAY).follow("Day before").path == "/day/2026-04-13"


@pytest.mark.parametrize("day", ["2026-02-30", "today", "20260414", "0001-01-01", "9999-12-31", "2026-4-14", "%00"])
def test_what_is_no_day_is_not_there(pat: Browser, day: str) -> None:
    assert pat.get(f"/day/{day}").status == 404


def test_the_list_of_days_says_how_each_stands(
    database: Database, browser: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    keep(database, *low_reading())
    set_clock(cast.moment("12:00", day=cast.DAY.replace(day=16)))
    words = browser.sign_in("pat").get("/days").words
    assert "Tue 14 April 2026 not signed" in words
    assert "Wed 15 April 2026 no entries" in words
    assert "Thu 16 April 2026 in progress" in words
    assert "Mon 13 April 2026" not in words


def test_the_list_of_days_goes_back_in_steps(
    database: Database, browser: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    keep(database, *ordinary_day())
    set_clock(cast.moment("12:00", day=cast.DAY.replace(month=5)))
    page = browser.sign_in("pat").get("/days")
    older = page.follow("Older days").follow("Older days")
    assert "Tue 14 April 2026" in older.words
    assert "Tue 28 April 2026" in older.follow("Newer days").words


@pytest.mark.parametrize("start", ["nonsense", "2026-13-01", "1980-01-01"])
def test_a_list_from_no_day_is_not_there(pat: Browser, start: str) -> None:
    assert pat.get(f"/days?from={start}").status == 404


def test_the_log_is_a_pdf_of_the_day(database: Database, pat: Browser) -> None:
    keep(database, *low_reading())
    answer = pat.client.get(f"{DAY}/log.pdf")
    assert answer.mimetype == "application/pdf"
    assert answer.headers["Content-Disposition"] == 'attachment; filename="S1-2026-04-14-log.pdf"'
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(answer.data)).pages)
    assert "128\u00a0°F" in text
    assert "day in progress, updated 12:00" in text


def test_who_has_to_act_sees_what_was_answered(database: Database, pat: Browser) -> None:
    keep(database, *low_reading())
    keep(database, action(finding(database, "hold.temperature"), cause="The cabinet door stood open"))
    words = pat.get(DAY).words
    assert "to answer" not in words
    assert "1 action to review" in words
    assert "The cabinet door stood open" in words


def test_a_day_whose_time_is_over_owes_what_the_records_do_not_show(
    database: Database, browser: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    keep(database, *ordinary_day()[:-1])
    set_clock(cast.moment("06:00", day=cast.DAY.replace(day=15)))
    words = browser.sign_in("pat").get(DAY).words
    assert "Tray A-T1, birds accounted for: not recorded" in words
    assert "Cold unit walk-in, cold unit checked: not recorded" in words


def test_a_day_with_all_its_checks_owes_nothing(
    database: Database, browser: Browser, set_clock: Callable[[datetime | str], None]
) -> None:
    keep(database, *ordinary_day())
    keep(database, *evening(), at="20:02")
    set_clock(cast.moment("06:00", day=cast.DAY.replace(day=15)))
    words = browser.sign_in("pat").get(DAY).words
    assert "The records show no deviation and no gap in the controls in force." in words
    assert "Sign the day" in words
