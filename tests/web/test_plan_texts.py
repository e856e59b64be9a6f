"""What the kitchen writes into its plan: texts and files, in the next version until it is adopted; and reassessing."""

import io

import pytest

from app import ledger
from app.db import Database
from app.register import LARGEST_FILE
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import finding, keep, low_reading
from tests.support.files import a_pdf, a_picture

TEXT = "/setup/plan/text/validation"


@pytest.fixture
def pat(browser: Browser) -> Browser:
    """The person in charge, signed in with a password."""
    return browser.sign_in("pat")


def add(pat: Browser, content: bytes, name: str, text: str = "The letter of the laboratory.") -> tuple[int, str]:
    """Send a text with a file; give the status and the page."""
    token = dict(pat.get(TEXT).form("/text/validation").fields)["csrf_token"]
    data = {"csrf_token": token, "text": text, "file": (io.BytesIO(content), name)}
    answer = pat.client.post(TEXT, data=data, follow_redirects=True)
    answer.request.environ["wsgi.input"].close()  # a large one is a file of the client's own
    return answer.status_code, answer.get_data(as_text=True)


def test_a_text_and_a_file_are_in_the_plan_once_it_is_adopted(pat: Browser, database: Database) -> None:
    assert add(pat, a_pdf(), "letter.pdf")[0] == 200
    assert "The letter of the laboratory." not in pat.get("/plan").words
    pat.get("/setup/plan/new").send("/setup/plan", password=cast.PASSWORD)
    page = pat.get("/plan")
    assert ("The letter of the laboratory." in page.words, "letter.pdf" in page.words) == (True, True)
    with database.reading() as session:
        assert list(ledger.compare_register(session, "S1")) == []


@pytest.mark.parametrize(
    ("content", "name", "said"),
    [
        (b"MZ" + b"x" * 100, "letter.pdf", "This is no PDF and no picture (PNG or JPEG) that can be opened."),
        (a_picture("GIF"), "oven.png", "This is no PDF and no picture (PNG or JPEG) that can be opened."),
        (a_pdf(LARGEST_FILE), "study.pdf", "This file is over 10 MB."),
    ],
    ids=["a program", "another picture", "over 10 MB"],
)
def test_a_file_that_is_not_taken_is_said_at_its_place_and_the_text_stays(
    pat: Browser, content: bytes, name: str, said: str
) -> None:
    status, html = add(pat, content, name, text="Tested by the laboratory in May.")
    assert (status, said in html, "Tested by the laboratory in May." in html) == (422, True, True)
    assert 'id="file-errors"' in html


def test_a_file_says_before_it_is_sent_how_large_it_may_be(pat: Browser) -> None:
    html = pat.get(TEXT).html
    assert f'data-largest="{LARGEST_FILE}"' in html
    assert 'accept="application/pdf,image/png,image/jpeg"' in html


def test_a_text_that_is_too_long_is_refused_at_its_field(pat: Browser) -> None:
    page = pat.get(TEXT).send("/text/validation", text="x" * 5001)
    assert (page.status, "At most 5000 letters." in page.words) == (422, True)


def test_a_file_is_taken_out_of_the_next_version(pat: Browser) -> None:
    add(pat, a_pdf(), "letter.pdf")
    page = pat.get(TEXT).send("/validation/remove")
    assert "letter.pdf" not in page.words


def test_a_part_that_there_is_not_is_not_there(pat: Browser) -> None:
    assert pat.get("/setup/plan/text/recipe-book").status == 404


# ---- looking at the plan again --------------------------------------------------------------------------------------

LOOK = {"looked_at": "flow, limits, findings", "outcome": "plan_stands", "basis": "nothing unforeseen"}


def test_a_reassessment_is_recorded_and_stands_in_the_plan(pat: Browser) -> None:
    page = pat.get("/setup/plan/reassess").send(**LOOK)
    assert "The reassessment is recorded." in page.words
    assert "the plan stays as it is: nothing unforeseen" in pat.get("/plan").words
    assert "Looked at: flow, limits, findings." in pat.get(f"/day/{cast.DAY.isoformat()}").words


def test_a_reassessment_names_the_deviation_that_nobody_foresaw(pat: Browser, database: Database) -> None:
    keep(database, *low_reading()[:-1])
    key = finding(database, "hold.temperature")
    page = pat.get("/setup/plan/reassess").send(finding=key, **LOOK)
    assert "The reassessment is recorded." in page.words
    assert key in pat.get("/plan").words


@pytest.mark.parametrize("field", ["looked_at", "outcome", "basis"])
def test_what_a_reassessment_lacks_is_said_at_its_field(pat: Browser, field: str) -> None:
    page = pat.get("/setup/plan/reassess").send(**{**LOOK, field: []})
    assert page.status == 422
    assert f'id="{field}-errors"' in page.html


def test_a_new_version_asks_for_a_reassessment_until_it_is_done(pat: Browser) -> None:
    pat.get("/setup/plan/new").send("/setup/plan", password=cast.PASSWORD, authority="Cook County")
    asked = "A new version was adopted since."
    assert asked in pat.get("/setup/plan").words
    assert "To be reassessed." in pat.get("/setup").words
    pat.get("/setup/plan/reassess").send(**LOOK)
    assert asked not in pat.get("/setup/plan").words
