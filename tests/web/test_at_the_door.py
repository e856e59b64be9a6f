"""An inspector at the door: one page with the last days, signed in or by a link that ends by itself."""

import re
from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest
from flask import Flask
from sqlalchemy import select

from app import models
from app.db import Database
from app.register.throttle import FREE_FOR_SENDERS
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import evening, keep, ordinary_day
from tests.support.reading_pdf import pages

SetClock = Callable[[datetime | str], None]
NOW = cast.moment("12:00", day=date(2026, 4, 16))
PATH = "/setup/inspection"


@pytest.fixture
def pat(database: Database, browser: Browser, set_clock: SetClock) -> Browser:
    """The person in charge two days after an ordinary day that nobody signed."""
    keep(database, *ordinary_day())
    keep(database, *evening(), at="20:02")
    set_clock(NOW)
    return browser.sign_in("pat")


@pytest.fixture
def stranger(app: Flask) -> Browser:
    """A browser that was never here."""
    return Browser(app.test_client())


def make(browser: Browser, **typed: str) -> Page:
    return browser.get(PATH).send(PATH, **{"whom": "Ida Ito, county health", "days": "3", "hours": "24", **typed})


def link_of(page: Page) -> str:
    """Give the path of the link that a page shows once."""
    found = re.search(r'value="http://localhost(/inspect/[^"]+)"', page.html)
    assert found is not None, page.words
    return found[1]


def test_who_is_signed_in_sees_thirty_days_on_one_page(pat: Browser, browser: Browser) -> None:
    page = browser.sign_in("ines").get("/inspection/days")
    assert re.findall(r'aria-current="page">\s*([^<]+)<', page.html) == ["30 days"]
    assert page.status == 200
    assert "Wed 18 March 2026 to Thu 16 April 2026" in page.words
    assert "Tue 14 April 2026 not signed" in page.words
    assert {"HACCP plan (PDF)", "Probe checks (PDF)"} <= {said.strip() for _href, said in page.links}
    assert "/day/2026-04-14/log.pdf" in page.html


def test_a_link_says_to_who_makes_it_what_it_shows(pat: Browser) -> None:
    words = pat.get("/setup").follow("Open").browser.get(PATH).words
    assert "Whoever has the link sees, without signing in" in words
    assert "its log, the HACCP plan and the probe checks" in words


def test_a_link_shows_its_days_the_plan_the_probes_and_each_log_without_a_cookie(
    pat: Browser, stranger: Browser
) -> None:
    path = link_of(make(pat))
    page = stranger.get(path)
    assert page.status == 200
    assert "Tue 14 April 2026 to Thu 16 April 2026" in page.words
    assert "It ends by itself on Fri 17 April 2026, 12:00 CDT." in page.words
    assert "Tue 14 April 2026 not signed" in page.words
    for name, says in (("plan.pdf", "Kitchen S1"), ("probes.pdf", "Probe blue"), ("2026-04-14/log.pdf", "Kitchen S1")):
        answer = stranger.client.get(f"{path}/{name}")
        assert (answer.status_code, answer.mimetype) == (200, "application/pdf"), name
        assert says in " ".join(pages(answer.data))
        assert "Set-Cookie" not in answer.headers
    assert stranger.client.get(path).headers["Referrer-Policy"] == "no-referrer"
    assert [href for href, _said in page.links if href.startswith("/") and not href.startswith(path)] == ["/check"]


@pytest.mark.parametrize("day", ["2026-04-13", "2026-04-17"])
def test_a_day_that_is_not_of_the_link_is_not_shown(pat: Browser, stranger: Browser, day: str) -> None:
    page = stranger.get(f"{link_of(make(pat))}/{day}/log.pdf")
    assert (page.status, "This link shows nothing" in page.words) == (404, True)


@pytest.mark.parametrize("path", ["/days", "/day/2026-04-14", "/calendar", "/weeks", "/export", "/inspection"])
def test_whoever_has_a_link_gets_into_nothing_else(pat: Browser, stranger: Browser, path: str) -> None:
    stranger.get(link_of(make(pat)))
    assert stranger.get(path).path.startswith("/signin")


def test_a_link_ends_by_itself(pat: Browser, stranger: Browser, set_clock: SetClock) -> None:
    path = link_of(make(pat, hours="4"))
    set_clock(NOW + timedelta(hours=4) - timedelta(seconds=1))
    assert stranger.get(path).status == 200
    set_clock(NOW + timedelta(hours=4))
    page = stranger.get(path)
    assert (page.status, "It has ended, or it was not copied whole." in page.words) == (404, True)
    assert "Kitchen S1" not in page.words


def test_a_link_is_ended_at_once_and_every_use_is_written_down(pat: Browser, stranger: Browser) -> None:
    path = link_of(make(pat))
    stranger.get(path)
    stranger.client.get(f"{path}/2026-04-14/log.pdf")
    listed = pat.get(PATH)
    assert "Ida Ito, county health" in listed.words
    uses = listed.follow("2 uses").words
    assert "Thu 16 April 2026, 12:00 CDT log 2026-04-14 127.0.0.1" in uses
    assert "Thu 16 April 2026, 12:00 CDT days 127.0.0.1" in uses
    assert "The link for Ida Ito, county health has ended." in listed.send("/end").words
    assert stranger.get(path).status == 404


def test_an_ended_link_is_answered_like_a_made_up_one(pat: Browser, stranger: Browser) -> None:
    path = link_of(make(pat))
    pat.get(PATH).send("/end")
    ended, made_up = (stranger.client.get(one) for one in (path, f"/inspect/{'x' * 43}"))
    assert (ended.status_code, ended.data) == (made_up.status_code, made_up.data)
    assert dict(ended.headers) == dict(made_up.headers)


def test_only_a_digest_of_the_link_is_kept(pat: Browser, database: Database) -> None:
    text = link_of(make(pat)).removeprefix("/inspect/")
    assert len(text) >= 43  # 32 bytes
    with database.reading() as session:
        row = session.scalars(select(models.InspectionLink)).one()
    assert text not in str(vars(row))
    assert len(row.digest) == 64


def test_guessing_a_link_ends(stranger: Browser, pat: Browser) -> None:
    path = link_of(make(pat))
    for number in range(FREE_FOR_SENDERS):
        assert stranger.get(f"/inspect/guess-{number}").status == 404
    assert stranger.get(path).status == 429


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"whom": " "}, "For whom"),
        ({"days": "0"}, "Give a number of days from 1 to 31."),
        ({"days": "32"}, "Give a number of days from 1 to 31."),
        ({"days": "many"}, "Give a number of days from 1 to 31."),
        ({"hours": "9999"}, "Choose one of these."),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_nothing_typed_is_lost(
    pat: Browser, typed: dict[str, str], said: str
) -> None:
    page = make(pat, **typed)
    assert page.status == 422
    assert said in page.words
    assert "http://localhost/inspect/" not in page.html
    if "whom" not in typed:
        assert "Ida Ito, county health" in page.html


def test_another_kitchens_links_are_not_there(pat: Browser, browser: Browser) -> None:
    make(pat)
    page = browser.sign_in("other-lead").get(PATH)
    assert "Ida Ito" not in page.words
    assert page.browser.get(f"{PATH}/1").status == 404


def test_a_cook_makes_none(cook: Browser) -> None:
    assert cook.get(PATH).status == 403


def test_a_link_says_times_by_the_kitchens_own_clock(pat: Browser, stranger: Browser) -> None:
    path = link_of(make(pat))
    pat.get("/setup/site").send("/setup/site", clock="12")
    said = [stranger.get(path).words, *pages(stranger.client.get(f"{path}/probes.pdf").data)]
    text = " ".join(said).replace("\N{NO-BREAK SPACE}", " ")
    assert "It ends by itself on Fri 17 April 2026, 12:00 pm CDT." in text
    assert "6:10 am CDT" in text
