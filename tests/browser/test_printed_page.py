"""A day's page printed from the browser: few pages, what met everything a line, nothing torn from its heading."""

from collections.abc import Callable
from datetime import datetime, timedelta
from io import BytesIO

import pytest
from playwright.sync_api import Page
from pypdf import PageObject, PdfReader

from app.db import Database
from tests.support import cast
from tests.support.drafts import Draft, evening, keep
from tests.support.screen import sign_in

DAY = "/day/2026-04-14"
SIZES = ("Letter", "A4")
_MOST = 6


def ordinary() -> list[Draft]:
    """Nine loads, a spit and a tray each, read as often as is asked; one tray is too cold."""
    drafts = [
        *(cast.draft("probe_check", at="06:10"), cast.draft("receiving", at="06:30")),
        *(cast.draft("unit_check", at="06:40"), cast.draft("unit_check", at="06:41", unit_code="blast")),
    ]
    for number in range(9):
        drafts += _load(f"A-L{number}", f"A-T{number}", start=cast.moment("07:00") + timedelta(minutes=65 * number))
    return sorted(drafts, key=lambda draft: str(draft["observed_at"])) + evening()


def _load(load: str, tray: str, *, start: datetime) -> list[Draft]:
    of_load, of_tray = {"load": load}, {"tray": tray}
    own = {"birds": 5, "ties": 5}
    after = [start + timedelta(minutes=minutes) for minutes in (0, 2, 90, 91, 95, 140, 150)]
    too_cold = {"temperature": "128"} if tray == "A-T4" else {}
    return [
        cast.draft("load_started", at=after[0], **of_load),
        cast.draft("spit_loaded", at=after[1], **of_load, **own),
        cast.draft("cook_reading", at=after[2], **of_load, temperature="171.2"),
        cast.draft("cook_reading", at=after[3], **of_load, bird=4, temperature="168"),
        cast.draft("spit_pulled", at=after[4], **of_load, **of_tray, ties_removed=5),
        cast.draft("hold_reading", at=after[5], **of_tray, **too_cold),
        cast.draft("tray_out", at=after[6], **of_tray, birds="5"),
    ]


@pytest.fixture
def day(database: Database, page: Page, set_clock: Callable[[datetime | str], None]) -> Page:
    """The page of that day, open at its end for the person in charge."""
    for draft in ordinary():
        keep(database, draft, at=datetime.fromisoformat(draft["observed_at"]))
    set_clock("21:00")
    sign_in(page, "pat")
    page.goto(DAY)
    return page


def printed(page: Page, size: str) -> list[PageObject]:
    return list(PdfReader(BytesIO(page.pdf(format=size))).pages)


def lines(sheet: PageObject) -> list[str]:
    return [" ".join(line.split()) for line in sheet.extract_text().splitlines() if line.strip()]


def lowest(sheet: PageObject) -> float:
    """Give how far from its foot the last text of a sheet stands, as a part of its height."""
    found: list[float] = []

    def look(text: str, matrix: list[float], at: list[float], *_font: object) -> None:
        if text.strip():
            found.append((at[5] * matrix[3] + matrix[5]) / float(sheet.mediabox.height))

    sheet.extract_text(visitor_text=look)
    return min(found)


@pytest.mark.parametrize("size", SIZES)
def test_an_ordinary_day_is_a_few_pages_and_none_half_empty(day: Page, size: str) -> None:
    sheets = printed(day, size)
    assert len(sheets) <= _MOST
    assert all(lowest(sheet) < 0.3 for sheet in sheets[:-1])


def test_what_met_everything_is_one_line_and_what_did_not_stands_whole(day: Page) -> None:
    said = [line for sheet in printed(day, "Letter") for line in lines(sheet)]
    text = " ".join(said)
    met = [line for line in said if line.startswith(("Load A-L", "Tray A-T"))]
    assert "Load A-L0, oven east 1 spit, 5 birds, lowest 168 °F" in text
    assert "Tray A-T0 5 birds, lowest 150 °F, 5 served" in text
    assert "A load or tray with nothing wrong is one line here." in text
    assert sum("A-L0" in line for line in said) == 1  # its readings are in the PDF log
    assert "128 °F" in text
    assert sum("A-T4" in line for line in said) > 1
    assert len(met) >= 18


def test_what_was_opened_is_printed_open(day: Page) -> None:
    day.locator("summary", has_text="Load A-L0").click()
    assert "spit 1, bird 4, breast" in " ".join(line for sheet in printed(day, "Letter") for line in lines(sheet))


@pytest.mark.parametrize("size", SIZES)
def test_no_page_ends_with_a_heading(day: Page, size: str) -> None:
    headings = {" ".join(text.split()) for text in day.locator("main h2, main h3").all_inner_texts()}
    headings |= {"No. Seen Entry Read or counted Probe By Written"}
    ends = [lines(sheet)[-1] for sheet in printed(day, size)]
    assert [end for end in ends if end in headings] == []


def test_nothing_that_is_tapped_is_printed(day: Page) -> None:
    text = " ".join(line for sheet in printed(day, "Letter") for line in lines(sheet))
    ways = (
        "Sign out",
        "Day before",
        "Record corrective action",
        "I take charge now",
        "Log of the day (PDF)",
        "Chapters",
    )
    assert [way for way in ways if way in text] == []
    assert "Pull chart" not in text
