"""Text that no keyboard makes, in every place that is typed into, on a database that takes offence at it."""

from urllib.parse import quote

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser

TEXTS = (
    "\x00",
    "a\x00b",
    "\udcff",
    "'; DROP TABLE entries; --",
    "%s%d{}{{7*7}}",
    "é" * 300,
    "\u202e",
    "../../etc/passwd",
)


PATHS = ("/entries/", "/trays/", "/loads/", "/write/", "/findings?day=", "/findings/act?finding=", "/entries?day=")


@pytest.fixture
def database(postgresql_database: Database) -> Database:
    """Two kitchens on PostgreSQL, which refuses NUL in text with an error of its own."""
    with postgresql_database.writing() as session:
        cast.make_site(session)
        cast.make_other_site(session)
    return postgresql_database


@pytest.mark.parametrize("text", TEXTS)
def test_no_text_is_more_than_a_text(browser: Browser, text: str) -> None:
    typed = text.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
    assert browser.get("/signin").send(login=typed, password=typed).status == 422
    assert browser.get("/tablet").send(credential=typed).status == 422
    browser.sign_in("cook")
    in_path = quote(text.encode("utf-8", "surrogateescape"), safe="")
    for path in (
        "/entries/",
        "/trays/",
        "/loads/",
        "/write/",
        "/findings?day=",
        "/findings/act?finding=",
        "/entries?day=",
    ):
        assert browser.get(path + in_path).status == 404, path
    fields = ("load", "oven", "entry_id", "observed_at", "spits-0-birds", "spits-0-lot", "mean_weight")
    assert browser.get("/loads/new").send(**dict.fromkeys(fields, typed)).status == 422
    assert browser.get("/write/note").send(text="fine", entry_id=typed).status == 422
    assert browser.get("/write/note").send(text=typed).status in (200, 422)
