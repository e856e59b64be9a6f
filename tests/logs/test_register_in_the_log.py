"""The printed log of a day on which the plan changed or the clock was put back, read back from the PDF."""

import io
import re
from datetime import date, datetime, timedelta

import pytest
from pypdf import PdfReader

from app import register
from app.db import Database
from app.server.day_log import print_day
from tests.support import cast
from tests.support.drafts import keep, ordinary_day

NOON = cast.moment("12:00")
EVENING = cast.moment("23:00")


@pytest.fixture
def database(two_kitchens: Database) -> Database:
    """Kitchen S1, just opened."""
    return two_kitchens


def on_paper(database: Database, *, day: date = cast.DAY, as_of: datetime = EVENING) -> str:
    with database.reading() as session:
        pdf = print_day(session, "S1", day, as_of=as_of)
    pages = PdfReader(io.BytesIO(pdf)).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))


@pytest.mark.usefixtures("paper")
@pytest.mark.parametrize("days_on", [0, 1])
def test_the_log_of_each_day_concerned_prints_that_the_clock_was_put_back(database: Database, days_on: int) -> None:
    keep(database, cast.draft("note", at="11:00"), at=NOON + timedelta(days=1))
    with database.writing() as session:
        site = register.get_site(session, "S1")
        register.accept_clock(session, site, "set to tomorrow by mistake", at=NOON)
    text = on_paper(database, day=cast.DAY + timedelta(days=days_on), as_of=EVENING + timedelta(days=1))
    moments = "from Wed 15 April 2026, 12:00 CDT to Tue 14 April 2026, 12:00 CDT"
    assert f"the server's clock went back by 24 h, {moments}, set to tomorrow by mistake" in text


@pytest.mark.usefixtures("paper")
def test_two_people_of_one_name_are_told_apart_on_paper(database: Database) -> None:
    with database.writing() as session:
        site, same = register.get_site(session, "S1"), {"name": "Casey Cook", "role": "cook"}
        register.add_person(session, site, "casey", **same, password=None, at=cast.OPENED)
    keep(database, cast.draft("note", at="11:00"))
    keep(database, cast.draft("note", at="11:05"), by="robin")
    text = on_paper(database)
    assert "Casey Cook (cook)" in text
    assert "Robin Reyes (robin)" not in text


# ---- versions of the plan --------------------------------------------------------------------------------------------


def adopt(database: Database, clock: str, *, variance: str | None = None, by: str = "pat", **settings: str) -> None:
    with database.writing() as session:
        site = register.get_site(session, "S1")
        person = register.get_person(session, site, by)
        told = {"authority": "Cook County", "variance": variance}
        register.adopt_plan(session, site, None, settings, by=person, at=cast.moment(clock), **told)


@pytest.fixture
def changed_at_noon(database: Database) -> Database:
    """A day that began under version 1; version 2 came at noon with a variance, version 3 at 18:00 without."""
    drafts = ordinary_day()
    keep(database, *drafts[:-1], at="11:30")
    adopt(database, "12:00", variance="County variance 2026-17", hot_holding="130F/54C", grace_min="10")
    adopt(database, "18:00", by="sam", variance="", hot_holding="140F/60C")
    return database


@pytest.mark.usefixtures("paper")
def test_each_version_in_force_that_day_is_listed_with_its_variance(changed_at_noon: Database) -> None:
    text, code = on_paper(changed_at_noon), "FDA Food Code 2022 (us_food_code_2022)"
    day = "Tue 14 April 2026"
    told = [
        f"HACCP plan until 12:00 {code}, version 1, adopted for this kitchen by Pat Porter",
        "Variance: none",
        f"HACCP plan from 12:00 to 18:00 {code}, version 2, adopted for this kitchen by Pat Porter, {day}, 12:00 CDT",
        "Variance: County variance 2026-17, for: Hot holding, at least",
        f"HACCP plan from 18:00 {code}, version 3, adopted for this kitchen by Sam Silva, {day}, 18:00 CDT",
        "Variance: none",
    ]
    places = []
    for words in told:
        places.append(text.index(words, places[-1] + 1 if places else 0))
    assert places == sorted(places)


@pytest.mark.usefixtures("paper")
def test_the_limits_say_what_changed_with_each_version(changed_at_noon: Database) -> None:
    _before, limits = on_paper(changed_at_noon).split("The plan and its limits")
    _intro, first, second, third = limits.split("HACCP plan ")
    assert "Hot holding, at least: 135 °F / 57 °C · 3-501.16(A)(1)" in first
    assert "Set by the site under the variance Hot holding, at least: 130 °F / 54 °C" in second
    assert "House rule, set by the site Grace on a hot-holding check: 10 min" in second
    assert "House rule, set by the site Hot holding, at least: 140 °F / 60 °C" in third
    assert "Grace" not in third
    assert "Core temperature when pulled" not in second + third


@pytest.mark.usefixtures("paper")
def test_a_version_adopted_another_day_is_not_listed(changed_at_noon: Database) -> None:
    day_after = cast.DAY + timedelta(days=1)
    after = on_paper(changed_at_noon, day=day_after, as_of=EVENING + timedelta(days=1))
    before = on_paper(changed_at_noon, day=cast.DAY - timedelta(days=1))
    assert ("version 3" in after, "version 2" in after, "version 1" in after) == (True, False, False)
    assert ("version 3" in before, "version 2" in before, "version 1" in before) == (False, False, True)
    assert "HACCP plan FDA Food Code 2022" in after


@pytest.mark.usefixtures("paper")
def test_the_log_of_an_earlier_moment_lists_what_was_adopted_by_then(changed_at_noon: Database) -> None:
    text = on_paper(changed_at_noon, as_of=cast.moment("12:00"))
    assert ("HACCP plan from 12:00 FDA" in text, "HACCP plan from 18:00" in text) == (True, False)
