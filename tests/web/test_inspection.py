"""The inspector: reads days, logs, hashes and the chain's state, and changes nothing."""

import hashlib
import html
import json
import re

import pytest
from sqlalchemy import text

from app import ledger, register
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import action, finding, keep, low_reading, ordinary_day

DAY = "/day/2026-04-14"


@pytest.fixture
def ines(database: Database, browser: Browser) -> Browser:
    """The inspector, signed in; the kitchen had a deviation that the cook answered."""
    keep(database, *low_reading())
    keep(database, action(finding(database, "hold.temperature")))
    return browser.sign_in("ines")


def test_an_inspector_begins_at_the_days(ines: Browser) -> None:
    page = ines.get("/")
    assert page.path == "/days"
    assert "Tue 14 April 2026" in page.words


def test_the_day_is_there_without_anything_to_do(ines: Browser) -> None:
    page = ines.get(DAY)
    assert "128 °F" in page.words
    assert [form.action for form in page.forms] == ["/signout"]


def test_the_chain_is_whole(ines: Browser) -> None:
    words = ines.get("/inspection").words
    assert "Every entry is as it was written, and none is missing." in words
    assert f"Entries {cast.nth(12)}" in words


def test_the_chain_says_where_the_clock_went_back(database: Database, ines: Browser) -> None:
    assert "clock" not in ines.get("/inspection").words
    with database.writing() as session:
        site = register.get_site(session, "S1")
        register.accept_clock(session, site, "battery flat", at=cast.moment("11:30"))
    words = ines.sign_in("ines").get("/inspection").words
    assert f"Entry {cast.nth(13)}: the server's clock went back by 30 min" in words
    assert "11:30 CDT, battery flat" in words
    assert "Every entry is as it was written, and none is missing." in words


def test_a_changed_entry_is_named(database: Database, ines: Browser) -> None:
    with database.engine.begin() as connection:
        for name in connection.scalars(text("SELECT name FROM sqlite_master WHERE type = 'trigger'")).all():
            connection.execute(text(f'DROP TRIGGER "{name}"'))
        connection.execute(text(f"UPDATE entries SET body = replace(body, '128', '138') WHERE seq = {cast.nth(10)}"))
    words = ines.get("/inspection").words
    assert f"The chain is broken at entry no. {cast.nth(10)}" in words


def test_guards_that_somebody_took_away_are_named(database: Database, ines: Browser) -> None:
    assert "guards" not in ines.get("/inspection").words
    with database.engine.begin() as connection:
        connection.execute(text("DROP TRIGGER entries_refuse_update"))
    words = ines.get("/inspection").words
    assert "The database could take changes" in words
    assert "entries_refuse_update (gone)" in words
    assert "Every entry is as it was written, and none is missing." in words


def test_a_days_entries_carry_their_hashes(ines: Browser) -> None:
    page = ines.get(f"{DAY}/entries")
    codes = [html.unescape(code) for code in re.findall(r"<code>(.*?)</code>", page.html)]
    assert len(codes) == 12 * 3
    for own, before, body in zip(codes[::3], codes[1::3], codes[2::3], strict=True):
        assert hashlib.sha256(body.encode()).hexdigest() == own
        assert json.loads(body)["previous_hash"] == before


def test_many_entries_of_a_day_stand_in_parts_under_their_numbers(database: Database, ines: Browser) -> None:
    keep(database, *(cast.draft("note", at="11:30", text=f"No. {number}") for number in range(30)), at="12:30")
    words = ines.get(f"{DAY}/entries").words
    assert f"No. {cast.nth(1)} to {cast.nth(20)} no. {cast.nth(1)}" in words
    assert f"No. {cast.nth(41)} to {cast.nth(42)}" in words


def test_the_whole_ledger_can_be_taken_along(ines: Browser) -> None:
    answer = ines.client.get("/inspection/ledger")
    lines = [json.loads(line) for line in answer.data.splitlines()]
    assert [line["seq"] for line in lines] == list(range(1, cast.nth(13)))
    assert "hash" in lines[0]


def test_a_ledger_with_nothing_of_the_kitchen_is_whole(browser: Browser) -> None:
    words = browser.sign_in("ines").get("/inspection").words
    assert f"Entries {cast.nth(0)}" in words


@pytest.mark.parametrize("path", ["/findings", "/entries", "/write", "/setup", "/setup/people", "/loads/new"])
def test_the_kitchens_pages_are_not_an_inspectors(ines: Browser, path: str) -> None:
    assert ines.get(path).status in (403, 404)


def test_an_inspector_of_another_kitchen_sees_nothing_of_this_one(database: Database, browser: Browser) -> None:
    keep(database, *ordinary_day())
    stranger = browser.sign_in("other-inspector")
    assert "Nothing is recorded for this day." in stranger.get(DAY).words
    assert b"A-L1" not in stranger.client.get("/inspection/ledger").data
    assert "A-L1" not in stranger.get(f"{DAY}/entries").words


def test_a_printed_fingerprint_is_found_in_the_ledger(database: Database, ines: Browser) -> None:
    with database.reading() as session:
        seq, digest = ledger.head(session, "S1")
    printed = f"{digest[:32].upper()} {digest[32:]}"  # as a narrow column breaks it
    page = ines.get("/inspection").send("/inspection", seq=str(seq), hash=printed)
    assert f"The ledger holds this fingerprint at entry no. {cast.nth(12)}." in page.words
    assert "does not hold" in ines.get("/inspection").send("/inspection", seq=str(seq - 1), hash=digest).words
    assert "does not hold" in ines.get("/inspection").send("/inspection", seq=str(seq + 1), hash=digest).words


@pytest.mark.parametrize(
    ("seq", "digest"), [("", "0" * 64), ("x", "0" * 64), ("1", "0" * 63), ("1", "g" * 64), ("1", "")]
)
def test_what_is_no_fingerprint_is_refused_at_its_field(ines: Browser, seq: str, digest: str) -> None:
    page = ines.get("/inspection").send("/inspection", seq=seq, hash=digest)
    assert page.status == 422
    assert 'aria-invalid="true"' in page.html
    assert digest in page.html
