"""The caution about the law stands at the foot of the pages on which a limit is shown, and of no other."""

import re

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import finding, keep, low_reading

CAUTION = "What the law asks here is said by the local code and the authority."

WITH_LIMITS = (
    *(
        "/",
        "/batches",
        "/batches/A-B1",
        "/batches/A-B1/reading",
        "/trays/A-T1",
        "/trays/A-T1/check",
        "/trays/A-T1/move",
        "/loads/A-L1",
    ),
    *("/loads/A-L1/spits/1/probe", "/units/walk-in/check", "/probes/blue/check", "/findings", "/deliveries/new"),
    *(f"/day/{cast.DAY}", "/setup/plan", "/setup/plan/new", "/charts/tray/A-T1", "/patterns"),
)
WITHOUT = (
    *("/entries", "/checks", "/checklists/opening", "/probes", "/units", "/deliveries", "/out-of-use", "/write"),
    *("/write/note", "/account", "/days", f"/day/{cast.DAY}/entries", "/inspection", "/trace", "/setup"),
    *("/setup/people", "/setup/equipment", "/setup/tablets", "/setup/tokens", "/setup/cost", "/setup/phrases"),
    *("/setup/site", "/loads/new"),
)
_LIMIT = re.compile(r"\d °F / -?\d+ °C|\blimits? (is|of|are)? ?\d")


@pytest.fixture
def pat(database: Database, browser: Browser) -> Browser:
    """The person in charge, with a load, a tray too cold and a batch."""
    chilled = cast.draft("tray_out", at="11:30", to="chilled", birds="1", batch="A-B1")
    keep(database, *low_reading()[:-1], chilled)
    return browser.sign_in("pat")


@pytest.mark.parametrize("path", WITH_LIMITS)
def test_a_page_with_a_limit_says_who_sets_it(pat: Browser, path: str) -> None:
    assert CAUTION in pat.get(path).words


@pytest.mark.parametrize("path", WITHOUT)
def test_a_page_without_a_limit_says_nothing_of_it(pat: Browser, path: str) -> None:
    page = pat.get(path)
    assert (page.status, CAUTION in page.words) == (200, False)
    main = page.html.partition("<main")[2].partition("</main>")[0].replace("\N{NO-BREAK SPACE}", " ")
    assert _LIMIT.search(re.sub(r"<[^>]*>", "", main)) is None


def test_a_corrective_action_shows_the_limit(pat: Browser, database: Database) -> None:
    assert CAUTION in pat.get(f"/findings/act?finding={finding(database, 'hold.temperature')}").words
