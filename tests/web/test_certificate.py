"""The number of a certificate is typed on the person's page, and printed beside the name of whoever took charge."""

import pytest

from app import ledger
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import keep
from tests.support.reading_pdf import pages

PERSON = "/setup/people/pat"


@pytest.fixture
def pat(database: Database, browser: Browser) -> Browser:
    """The person in charge at noon, who took charge at 11."""
    keep(database, cast.draft("in_charge_from", at="11:00"), by="pat")
    return browser.sign_in("pat")


def test_it_is_printed_where_the_person_took_charge(database: Database, pat: Browser) -> None:
    page = pat.get(PERSON).send("/certificate", certificate=" CFPM 20431 ")
    assert "The logs print it from now on." in page.words
    assert 'value="CFPM 20431"' in page.html
    log = " ".join(" ".join(pages(pat.client.get("/day/2026-04-14/log.pdf").data)).split())
    assert "Pat Porter from 11:00, written 12:00 (certificate CFPM 20431)" in log, log[:900]


def test_it_stands_in_the_ledger_and_the_tables_are_made_again_from_it(database: Database, pat: Browser) -> None:
    pat.get(PERSON).send("/certificate", certificate="CFPM 20431")
    with database.reading() as session:
        assert list(ledger.compare_register(session, "S1")) == []
        assert ledger.calendar_of(session, "S1").site.people["pat"].certificate == "CFPM 20431"


def test_an_empty_one_is_taken_away(database: Database, pat: Browser) -> None:
    pat.get(PERSON).send("/certificate", certificate="CFPM 20431")
    page = pat.get(PERSON).send("/certificate", certificate="")
    assert "No certificate is printed any more." in page.words
    with database.reading() as session:
        assert ledger.calendar_of(session, "S1").site.people["pat"].certificate is None


def test_one_that_is_too_long_is_said_at_its_field_and_kept_there(pat: Browser) -> None:
    page = pat.get(PERSON).send("/certificate", certificate="7" * 101)
    assert page.status == 422
    assert "7" * 101 in page.html
