"""The printed log of a day on which the clock was put back, from a real ledger and read back from the PDF."""

import io
import re
from datetime import date, datetime, timedelta

import pytest
from pypdf import PdfReader

from app import register
from app.db import Database
from app.server.day_log import print_day
from tests.support import cast
from tests.support.drafts import keep

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
