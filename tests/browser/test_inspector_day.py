"""The inspector in a real browser: reads a day, takes its log along, and holds the log against the chain."""

import json
import re
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from app import ledger
from app.db import Database
from app.kinds import KINDS
from tests.support import cast
from tests.support.drafts import action, evening, finding, keep, low_reading, mending
from tests.support.screen import sign_in, sign_in_by_hand

DAY = "/day/2026-04-14"
ENTERED = (
    *("Kitchen S1", "Tue 14 April 2026", "America/Chicago", "FDA Food Code 2022", "Casey Cook", "Pat Porter"),
    *("2 of 5 birds probed, lowest 166.4 °F", "171.2 °F", "128 °F", "166 °F", "read the wrong line"),
    *("The cabinet door stood open", "Lot 0412-7", "Prairie Poultry", "32.4 °F", "38 °F"),
    *("I have reviewed these records.", "page 1 of"),
)
"""What was written down on the day, its kitchen and its signature, as the log has to print it."""


@pytest.fixture
def signed(database: Database, set_clock: Callable[[datetime | str], None]) -> Database:
    """A day with a deviation that was answered, accepted and signed; one reading was mended."""
    drafts = low_reading()
    keep(database, *drafts)
    keep(database, mending(drafts[7], temperature="166.4"), at="12:10")
    key = finding(database, "hold.temperature")
    keep(database, action(key, at="11:20", cause="The cabinet door stood open"), at="12:20")
    accepted = cast.draft("action_verified", at="12:30", findings=[key], outcome="accepted")
    keep(database, accepted, by="pat", at="12:30")
    keep(database, *evening(), at="20:02")
    pat = cast.PEOPLE["pat"]
    caller = ledger.Caller(login="pat", name=pat.name, role=pat.role, via="session", signing=True)
    with database.writing() as session:
        shown = ledger.head(session, "S1")
        result = ledger.sign(session, "S1", cast.DAY, by=caller, at=cast.moment("21:00"), shown=shown)
    assert result.errors == ()
    set_clock("21:30")
    return database


@pytest.fixture
def log(signed: Database, page: Page, tmp_path: Path) -> PdfReader:
    """The day's log as the inspector takes it along."""
    sign_in(page, "ines")
    page.goto(DAY)
    with page.expect_download() as download:
        page.get_by_role("link", name="Log of the day (PDF)").click()
    assert download.value.suggested_filename == "S1-2026-04-14-log.pdf"
    download.value.save_as(tmp_path / "log.pdf")
    return PdfReader(tmp_path / "log.pdf")


def text_of(log: PdfReader) -> str:
    """Give the words of all pages, with blanks for line ends."""
    return " ".join(" ".join(page.extract_text() for page in log.pages).split())


def test_an_inspector_reads_the_day_and_is_offered_nothing_to_change(signed: Database, page: Page) -> None:
    sign_in_by_hand(page, "ines")
    expect(page).to_have_url(re.compile("/days$"))
    page.get_by_role("link", name="Tue 14 April 2026", exact=True).click()
    expect(page.locator("#page")).to_contain_text("128 °F")
    expect(page.locator("#page")).to_contain_text("The cabinet door stood open")
    assert page.locator("form").count() == 1  # to sign out


def test_the_log_says_what_was_entered(log: PdfReader) -> None:
    text = text_of(log)
    assert [said for said in ENTERED if said not in text] == []


def records_of(log: PdfReader) -> Any:
    """Give what the log attaches."""
    return json.loads(log.attachments["records.json"][0])


def test_the_log_prints_the_fingerprint_that_was_signed(signed: Database, log: PdfReader, page: Page) -> None:
    page.goto("/inspection")
    expect(page.locator("#page")).to_contain_text("Every entry is as it was written, and none is missing.")
    head = records_of(log)["head"]
    assert f"no.{head['seq']}{head['hash']}" in text_of(log).replace(" ", "")
    page.goto(f"{DAY}/entries")
    assert head["hash"] in page.locator("li p:nth-of-type(2) code").all_inner_texts()


def test_the_page_of_hashes_shows_what_the_log_attaches(log: PdfReader, page: Page) -> None:
    records = records_of(log)
    earlier = [entry for part in records["earlier"] for entry in part["entries"]]
    attached = {entry["hash"]: entry for entry in (*records["run"]["entries"], *earlier, records["sign_off"])}
    page.goto(f"{DAY}/entries")
    shown = set(page.locator("li p:nth-of-type(2) code").all_inner_texts())
    printed = {own for own, entry in attached.items() if entry["seq"] in records["shows"] and entry["kind"] in KINDS}
    assert printed <= shown
    # What the page shows besides was written after the signature.
    added = page.locator("li", has=page.locator("code")).filter(has_text="Certificate for logs").count()
    assert len(shown - set(attached)) == added
