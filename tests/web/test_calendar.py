"""A month of days at a glance, from what is kept: signed, owed, set aside."""

import re
from collections.abc import Callable
from datetime import date, datetime

import pytest

from app import ledger
from app.db import Database
from app.rules.day.shown import Assessment
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import evening, keep, ordinary_day

SetClock = Callable[[datetime | str], None]


def undercooked() -> list[dict[str, object]]:
    """A spit pulled under the limit: its birds are set aside."""
    low = {"temperature": "150"}
    return [{**draft, **low} if draft["kind"] == "cook_reading" else draft for draft in ordinary_day()]


@pytest.fixture
def pat(database: Database, browser: Browser, set_clock: SetClock) -> Browser:
    """The person in charge two days after a day with birds that were pulled too cool."""
    keep(database, *undercooked())
    keep(database, *evening(), at="20:02")
    set_clock(cast.moment("12:00", day=date(2026, 4, 17)))
    return browser.sign_in("pat")


def test_a_month_shows_what_is_owed_and_what_was_set_aside(pat: Browser) -> None:
    page = pat.get("/days").follow("Calendar")
    assert page.path == "/calendar"
    assert "April 2026" in page.words
    assert "Monday Tuesday Wednesday" in page.words
    day = page.words.partition("Tue 14 April 2026")[2].partition("Wed 15 April 2026")[0]
    assert "not signed" in day
    assert "not met" in day
    assert "to act on" in day
    assert "food was set aside" in day
    assert "1 day asks for something" in page.words


def test_a_signed_day_says_so_and_a_changed_one_too(database: Database, browser: Browser, set_clock: SetClock) -> None:
    keep(database, *ordinary_day())
    keep(database, *evening(), at="20:02")
    set_clock("21:00")
    browser.sign_in("pat").get("/day/2026-04-14").send("/sign", password=cast.PASSWORD)
    set_clock(cast.moment("12:00", day=date(2026, 4, 20)))
    browser.sign_in("pat")
    assert "14 Tue 14 April 2026 signed" in browser.get("/calendar").words.replace("met ", "")
    assert "Nothing is owed." in browser.get("/calendar").words
    keep(database, cast.draft("note", at="20:30"), at=cast.moment("12:01", day=date(2026, 4, 20)))
    set_clock(cast.moment("12:02", day=date(2026, 4, 20)))
    assert "changed since it was signed" in browser.get("/calendar").words
    assert "changed since it was signed" in browser.get("/days").words


def test_what_is_kept_is_believed_and_nothing_is_assessed_twice(
    pat: Browser, set_clock: SetClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    pat.get("/calendar")
    assessed: list[date] = []
    inner = ledger.reading.day_reading.assess_site_day

    def watched(source: object, row: object, day: date, **more: object) -> object:
        assessed.append(day)
        return inner(source, row, day, **more)

    monkeypatch.setattr("app.ledger.reading.day_reading.assess_site_day", watched)
    pat.get("/calendar")
    assert [day for day in assessed if day < date(2026, 4, 15)] == []


def test_an_action_written_later_shows_in_the_month(database: Database, pat: Browser, set_clock: SetClock) -> None:
    pat.get("/calendar")
    now = cast.moment("12:05", day=date(2026, 4, 17))
    day = ledger_day(database, now)
    keys = [one.key for one in day.findings]
    draft = cast.draft("corrective_action", at=now, findings=keys, disposition="already_out", told="the guests")
    keep(database, draft, at=now)
    set_clock(cast.moment("12:06", day=date(2026, 4, 17)))
    assert "to review" in pat.get("/calendar").words


def ledger_day(database: Database, now: datetime) -> Assessment:
    with database.reading() as session:
        return ledger.assess_day(session, "S1", cast.DAY, as_of=now)


def test_months_lead_to_each_other_and_no_further_than_the_records(pat: Browser) -> None:
    page = pat.get("/calendar")
    assert not any("Month" in said for _href, said in page.links)
    assert pat.get("/calendar?day=2030-01-01").words.count("April 2026") > 0
    assert pat.get("/calendar?day=nonsense").status == 404


def test_the_running_day_names_earlier_days_that_ask_for_something(pat: Browser) -> None:
    words = pat.get("/day/2026-04-17").words
    assert "1 earlier day asks for something: Tue 14 April 2026 (2 to act on, a signature)" in words
    assert "earlier day" not in pat.get("/day/2026-04-16").words


def test_the_list_of_days_says_a_signature_is_owed_and_keeps_food_apart_from_it(pat: Browser) -> None:
    row = pat.get("/days").words.partition("Tue 14 April 2026")[2].partition("Log (PDF)")[0]
    assert row.strip() == "not signed 2 to act on, a signature food was set aside"


def test_the_first_page_names_those_days_to_whoever_signs_them(pat: Browser, browser: Browser) -> None:
    assert "1 earlier day asks for something: Tue 14 April 2026" in pat.get("/").words
    assert "earlier day" not in browser.sign_in("cook").get("/").words


def test_the_page_of_a_day_is_under_days_in_the_header(pat: Browser) -> None:
    assert re.search(r'aria-current="page">\s*Days<', pat.get("/day/2026-04-14").html)
