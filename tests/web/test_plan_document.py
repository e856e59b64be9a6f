"""The plan as a document: for everybody of the site, as a page and as a PDF, with the files that belong to it."""

import pytest

from app import register
from app.db import Database
from app.register import OwnWords
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.files import a_pdf


def adopt_with_letter(database: Database) -> str:
    """Adopt a version with a text and a file; give the file's digest."""
    with database.writing() as session:
        site = register.get_site(session, "S1")
        told = {"media_type": "application/pdf", "name": "letter.pdf", "part": "validation"}
        file = register.keep_file(session, site, a_pdf(), **told, at=cast.moment("11:00"))
        own = OwnWords({}, {"validation": "The letter of the laboratory."}, [file])
        pat = register.get_person(session, site, "pat")
        register.adopt_plan(session, site, None, {}, by=pat, at=cast.moment("11:00"), own=own)
    return file.digest


@pytest.mark.parametrize("login", ["cook", "pat", "ines"])
def test_everybody_of_the_site_reads_the_plan(browser: Browser, login: str) -> None:
    page = browser.sign_in(login).get("/plan")
    assert "A plan is approved by the regulatory authority, not by a program." in page.words
    assert "Chicken is pulled at 165 °F (74 °C) or above in the thickest part." in page.words


def test_the_plan_of_another_kitchen_is_its_own(database: Database, browser: Browser) -> None:
    digest = adopt_with_letter(database)
    stranger = browser.sign_in("other-lead")
    assert "Kitchen S1" not in stranger.get("/plan").words
    assert stranger.get("/plan/2").status == 404
    assert stranger.get(f"/plan/1/files/{digest}").status == 404


def test_a_file_is_given_out_as_it_was_added(database: Database, cook: Browser) -> None:
    digest = adopt_with_letter(database)
    answer = cook.client.get(f"/plan/2/files/{digest}")
    assert (answer.data, answer.mimetype) == (a_pdf(), "application/pdf")
    assert answer.headers["Content-Disposition"] == "attachment; filename=letter.pdf"
    assert cook.get(f"/plan/1/files/{digest}").status == 404


def test_an_earlier_version_says_that_it_is_no_longer_in_force(database: Database, cook: Browser) -> None:
    adopt_with_letter(database)
    assert "no longer in force" in cook.get("/plan/1").words
    assert "The letter of the laboratory." in cook.get("/plan").words


@pytest.mark.parametrize("number", ["0", "2", "99999999999999999999"])
def test_a_version_that_there_is_not_is_not_there(cook: Browser, number: str) -> None:
    assert cook.get(f"/plan/{number}").status == 404


def test_the_plan_is_printed(cook: Browser) -> None:
    answer = cook.client.get("/plan/1/plan.pdf")
    assert (answer.status_code, answer.mimetype, answer.data[:5]) == (200, "application/pdf", b"%PDF-")
