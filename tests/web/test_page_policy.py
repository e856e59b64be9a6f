"""Every page that a link leads to: nothing inline that the policy would have to allow; reading it changes nothing."""

import re
from collections import deque
from collections.abc import Iterator
from urllib.parse import urldefrag, urljoin

import pytest

from app import ledger
from app.db import Database
from tests.support import cast, printing
from tests.support.browsing import Browser
from tests.support.drafts import keep, low_reading

_INLINE = re.compile(r"<script(?![^>]*\bsrc=)|<style\b|\sstyle=|\son[a-z]+=[\"']|javascript:", re.IGNORECASE)
_MOST = 150


@pytest.fixture(autouse=True)
def set_once() -> Iterator[None]:
    """A PDF is set once for all who may have it."""
    with printing.each_page_set_once():
        yield


@pytest.fixture
def read(database: Database, browser: Browser) -> dict[str, str]:
    """Every page that the person in charge comes to by links alone, with its HTML, on a day with findings."""
    keep(database, *low_reading())
    browser.sign_in("pat")
    found: dict[str, str] = {}
    waiting = deque(["/", "/patterns"])
    while waiting and len(found) < _MOST:
        path = waiting.popleft()
        if path in found or path.startswith(("/api/", "/static/")):
            continue
        answer = browser.client.get(path, follow_redirects=True)
        found[path] = answer.get_data(as_text=True) if answer.mimetype == "text/html" else ""
        hrefs = re.findall(r'href="([^"#][^"]*)"', found[path])
        waiting.extend(urldefrag(urljoin(path, href.replace("&amp;", "&"))).url for href in hrefs if "://" not in href)
    return found


def test_no_page_has_script_or_style_of_its_own_and_reading_it_writes_no_entry(
    database: Database, read: dict[str, str]
) -> None:
    assert len(read) > 40
    assert [(path, _INLINE.findall(html)) for path, html in read.items() if _INLINE.search(html)] == []
    with database.reading() as session:
        assert ledger.head(session, "S1")[0] == cast.SET_UP + len(low_reading())
