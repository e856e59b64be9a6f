"""Trends: every figure is a link, and the list behind it has as many as the figure says."""

import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from itertools import count

import pytest
from flask import Flask

import demo_data
from app import create_app, models, schema
from app.db import Database
from demo_data import kitchen as demo_kitchen
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep, low_reading

NOW = datetime(2026, 6, 18, 17, 10, tzinfo=UTC)
NEXT_DAY = cast.moment("12:00", day=cast.DAY.replace(day=15))


@pytest.fixture(scope="module")
def demo_app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Flask]:
    """The demo kitchen with its three weeks."""
    url = f"sqlite:///{tmp_path_factory.mktemp('trends') / 'demo.db'}"
    schema.upgrade(url)
    app = create_app({"DATABASE_URL": url, "SECRET_KEY": "only for tests", "WTF_CSRF_ENABLED": False})
    demo_data.load(app.extensions["database"], at=NOW)
    yield app
    app.extensions["database"].engine.dispose()


@pytest.fixture
def ines(demo_app: Flask, set_clock: Callable[[datetime], None]) -> Browser:
    """The person in charge of the demo kitchen."""
    set_clock(NOW)
    browser = Browser(demo_app.test_client())
    browser.client.post("/signin", data={"login": "ines", "password": demo_kitchen.PASSWORD})
    for _ in range(2):  # three weeks, twenty days a request
        browser.get("/trends")
    return browser


@pytest.fixture
def pat(database: Database, browser: Browser, set_clock: Callable[[datetime], None]) -> Browser:
    """The person in charge on the day after one with a low reading."""
    keep(database, *low_reading())
    set_clock(NEXT_DAY)
    return browser.sign_in("pat")


def figures(html: str) -> list[tuple[str, str]]:
    """Give every figure of the page: its address and what it says."""
    cells = re.findall(r'<td class="number"><a href="([^"]+)">([^<]+)</a></td>', html)
    return [(href.replace("&amp;", "&"), text) for href, text in cells]


def pages(browser: Browser, href: str) -> Iterator[str]:
    """Give the HTML of each page of a list."""
    older = [href]
    while older:
        page = browser.get(older[0])
        assert page.status == 200, href
        yield page.html
        older = [link for link, said in page.links if said.strip() == "Older ones"]


def listed(browser: Browser, href: str) -> int:
    """Count the rows of a list over all its pages."""
    return sum(html.count('<td class="to">') for html in pages(browser, href))


def test_every_count_is_that_of_the_list_behind_it(ines: Browser) -> None:
    counts = [(href, int(text)) for href, text in figures(ines.get("/trends").html) if text.isdecimal()]
    plain = [(href, count) for href, count in counts if "/discarded" not in href and "/cooking" not in href]
    assert {href.partition("?")[0] for href, _ in plain} == {
        f"/trends/{name}" for name in ("findings", "holding", "missed")
    }
    assert [(href, listed(ines, href)) for href, _ in plain] == plain


def test_spits_and_birds_of_a_weight_are_those_of_the_list_behind_them(ines: Browser) -> None:
    rows = re.findall(r"/trends/cooking.*?</tr>", ines.get("/trends").html, re.DOTALL)
    assert rows
    for row in rows:
        spits, birds = map(int, re.findall(r">(\d+)</a>", row)[:2])
        href = row.partition('"')[0].replace("&amp;", "&")
        assert listed(ines, href) == spits
        assert sum(int(shown) for html in pages(ines, href) for shown in re.findall(r"min, (\d+) birds", html)) == birds


def test_birds_thrown_away_are_those_of_the_list_behind_them(ines: Browser) -> None:
    shown = [(href, text) for href, text in figures(ines.get("/trends").html) if "/discarded" in href]
    assert shown
    for (href, birds), (_, cost) in zip(shown[::2], shown[1::2], strict=True):
        words = ines.get(href).words
        assert re.search(rf" {birds} birds?, {re.escape(cost)} at today's cost of a bird", words), (href, birds, cost)


def test_the_weeks_of_a_list_add_up_to_it_and_each_leads_to_its_own(ines: Browser) -> None:
    page = ines.get("/trends/holding?span=4w&hot_unit=pass")
    weeks = [(href, int(text.split()[0])) for href, text in figures(page.html)]
    assert f" {sum(count for _, count in weeks)} readings" in page.words
    assert [(href, listed(ines, href)) for href, _ in weeks] == weeks


def test_what_is_listed_leads_to_pages_that_are_there(ines: Browser) -> None:
    for name in ("findings", "missed", "holding", "cooking", "discarded"):
        page = ines.get(f"/trends/{name}?span=4w")
        rows = re.search(r'<table class="behind">.*?</table>', page.html, re.DOTALL)
        assert rows is not None, name
        for href in dict.fromkeys(re.findall(r'href="([^"]+)"', rows.group())[:12]):
            assert ines.get(href.replace("&amp;", "&")).status == 200, href


def test_a_slow_machine_adds_up_fewer_days_in_one_request(
    database: Database, pat: Browser, set_clock: Callable[[datetime], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each look at the clock is 0.3 s later: after the first day there is time for three more."""
    set_clock(cast.moment("12:00", day=cast.DAY.replace(month=6)))
    pat.sign_in("pat")
    seconds = count(0, 0.3)
    monkeypatch.setattr("app.clock.running_s", lambda: next(seconds))
    assert "56 days are still to be added up" in pat.get("/trends?span=year").words


def test_trends_of_a_year_are_added_up_a_portion_at_a_time(
    database: Database, pat: Browser, set_clock: Callable[[datetime], None]
) -> None:
    set_clock(cast.moment("12:00", day=cast.DAY.replace(month=6)))
    pat.sign_in("pat")
    answer = pat.client.get("/trends?span=year")
    assert "40 days are still to be added up" in answer.get_data(as_text=True)
    assert answer.headers["Refresh"] == "1"
    pat.client.get("/trends?span=year")
    pat.client.get("/trends?span=year")
    done = pat.client.get("/trends?span=year")
    assert "still to be added up" not in done.get_data(as_text=True)
    assert "Refresh" not in done.headers


def test_a_deviation_of_yesterday_is_in_the_trends_of_today(pat: Browser) -> None:
    page = pat.get("/trends")
    assert "Hot-holding temperature 1 1" in page.words
    assert "no cost of a bird is set" in page.words
    assert "pass, read in °F 1 128 °F 128 °F 1" in page.words


def test_today_is_left_out(database: Database, browser: Browser) -> None:
    keep(database, *low_reading())
    assert "The records of these days show no deviation." in browser.sign_in("pat").get("/trends").words


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ("first=2026-02-31&last=2026-04-14", "This is not a date."),
        ("first=yesterday&last=2026-04-14", "This is not a date."),
        ("first=2026-04-14", "This is not a date."),
        ("first=0001-01-01&last=2026-04-14", "This is not a date."),
        ("first=2026-04-14&last=2026-04-13", "This day is before the first one."),
        ("first=2026-04-15&last=2026-04-20", "This day is not over yet"),
        ("first=2020-04-14&last=2026-04-14", "more than two years"),
        ("span=fortnight", "Choose one of these."),
    ],
)
def test_days_that_cannot_be_meant_are_told_at_the_field_with_what_was_typed(
    pat: Browser, query: str, says: str
) -> None:
    page = pat.get(f"/trends?{query}")
    assert page.status == 422
    assert says in page.words
    for typed in re.findall(r"=([^&]+)", query):
        assert typed in page.html or typed == "fortnight"


def test_a_list_of_days_that_cannot_be_meant_leads_to_the_form(pat: Browser) -> None:
    page = pat.get("/trends/holding?first=2026-04-14&last=nope&hot_unit=pass")
    assert page.status == 422
    assert 'value="nope"' in page.html


@pytest.mark.parametrize(
    "path",
    ["findings?verdict=fine", "missed?hour=24", "missed?hour=x", "cooking?weight_unit=stone", "chart/moons"],
)
def test_what_there_is_not_is_not_there(pat: Browser, path: str) -> None:
    assert pat.get(f"/trends/{path}").status == 404


@pytest.mark.parametrize(
    "path",
    [
        "findings?rule=no.rule",
        "holding?hot_unit=%00",
        "discarded?kind=x",
        "cooking?weight_unit=lb&weight_from=x&page=-3",
    ],
)
def test_a_filter_that_fits_nothing_lists_nothing(pat: Browser, path: str) -> None:
    page = pat.get(f"/trends/{path}")
    assert page.status == 200
    assert "There is nothing of this in these days." in page.words


@pytest.mark.parametrize("name", ["weeks", "hours"])
def test_charts_are_pages_of_their_own(ines: Browser, name: str) -> None:
    page = ines.get(f"/trends/chart/{name}?span=4w")
    assert page.status == 200
    assert '<svg xmlns="http://www.w3.org/2000/svg"' in page.html


def test_what_a_bird_costs_is_set_and_shown(database: Database, pat: Browser) -> None:
    page = pat.get("/setup/cost").send("/setup/cost", bird_cost="5,25", bird_currency="cad")
    assert "The cost of a bird was set." in page.words
    with database.reading() as session:
        site = session.get(models.Site, 1)
    assert site is not None
    assert (site.bird_cost, site.bird_currency) == (525, "CAD")
    assert "CA$5.25" in pat.get("/setup").words
    assert "At today's cost of a bird, CA$5.25" in pat.get("/trends").words
    assert "No cost of a bird is set any more." in pat.get("/setup/cost").send("/setup/cost", bird_cost="").words
    assert "no cost of a bird is set" in pat.get("/trends").words


@pytest.mark.parametrize(
    ("cost", "currency", "says"),
    [
        ("much", "USD", "Cost of a bird: write it like this"),
        ("0", "USD", "Cost of a bird: from 0.01 to 1000"),
        ("NaN", "USD", "Cost of a bird: from 0.01 to 1000"),
        ("4.805", "USD", "Cost of a bird: write it like this"),
        ("4.80", "", "Currency: this is needed"),
        ("4.80", "XQQ", "Currency: XQQ is not known here"),
    ],
)
def test_a_cost_that_cannot_be_is_refused_at_its_field(pat: Browser, cost: str, currency: str, says: str) -> None:
    page = pat.get("/setup/cost").send("/setup/cost", bird_cost=cost, bird_currency=currency)
    assert page.status == 422
    assert says in page.words
    assert f'value="{cost}"' in page.html


def test_trends_are_reached_from_the_days_by_the_person_in_charge_only(pat: Browser, app: Flask) -> None:
    assert pat.get("/days").follow("Trends").path == "/trends"
    inspector = Browser(app.test_client()).sign_in("ines")
    assert "Trends" not in inspector.get("/days").words
    assert inspector.get("/trends").status == 403


@pytest.mark.parametrize("asked", ["endpoint=x", "days=x", "_scheme=http", "_external=1&_scheme=ftp", "_anchor=x"])
def test_what_a_list_does_not_know_goes_on_into_no_address(ines: Browser, asked: str) -> None:
    page = ines.get(f"/trends/holding?span=4w&hot_unit=pass&{asked}")
    addresses = [href for href, _ in (*page.links, *figures(page.html)) if "/trends/holding" in href]
    assert page.status == 200
    assert addresses
    assert all(href.startswith("/trends/holding?") and asked not in href for href in addresses)


@pytest.mark.parametrize("asked", ["endpoint=x", "_scheme=http", "_external=1&_scheme=javascript"])
def test_nobody_is_led_elsewhere_from_days_that_cannot_be_meant(pat: Browser, asked: str) -> None:
    answer = pat.client.get(f"/trends/holding?span=dates&first=nope&{asked}")
    assert (answer.status_code, answer.headers["Location"]) == (303, "/trends?span=dates&first=nope")


def test_dates_typed_beside_the_choice_as_it_was_are_meant(ines: Browser) -> None:
    typed = ines.get("/trends").send("/trends", first="2026-06-08", last="2026-06-10")
    assert "Mon 8 June 2026 to Wed 10 June 2026" in typed.words
    assert dict(typed.form("/trends").fields)["span"] == "dates"
    again = typed.send("/trends", span="4w")
    assert "Thu 28 May 2026 to Wed 17 June 2026" in again.words
    assert not dict(again.form("/trends").fields)["first"]


def test_half_a_range_is_told_at_its_field(ines: Browser) -> None:
    page = ines.get("/trends").send("/trends", first="2026-06-08")
    assert page.status == 422
    assert "This is not a date." in page.words
    assert dict(page.form("/trends").fields)["first"] == "2026-06-08"
