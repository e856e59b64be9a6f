"""What the pad is told of the bird and spit that come next, so that it need not wait for the answer."""

import json
import re
from html import unescape

import pytest

from app import models
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, keep, loaded

PAD = "/loads/A-L1/spits/1/probe"
TYPED = {"temperature": "171", "probe": "blue", "looked_up": "at_or_above"}


def follows(browser: Browser, path: str = PAD) -> dict[str, list[str]]:
    """Give the table of a pad: for each bird and place what comes after a low reading, and after a good one."""
    found = re.search(r"data-follow='([^']*)'", browser.get(path).html)
    assert found
    table: dict[str, list[str]] = json.loads(unescape(found[1]))
    return table


@pytest.mark.parametrize("temperature", ["150", "171"])
def test_the_pad_foretells_what_the_server_leads_to(cook: Browser, database: Database, temperature: str) -> None:
    keep(database, *loaded())
    code = "at_or_above" if temperature == "171" else "keep_cooking"
    for _reading in range(6):
        page = cook.get(PAD)
        fields = dict(page.form().fields)
        told = follows(cook)[f"{fields['bird']} {fields['place']}"][code == "at_or_above"]
        led = page.send(**{**TYPED, "temperature": temperature, "looked_up": code})
        there = dict(led.form().fields)
        assert (led.path == PAD, told) in ((True, f"{there['bird']} {there['place']}"), (False, ""))


def test_a_pad_whose_birds_are_held_at_the_limit_foretells_nothing(cook: Browser, database: Database) -> None:
    # The number alone does not say whether it was held for as long as the plan asks.
    with database.writing() as session:
        settings = {"cook_dwell_s": "15"}
        cast.add_plan(session, session.get_one(models.Site, 1), 2, settings=settings, adopted_by="pat")
    keep(database, *loaded())
    assert follows(cook) == {}


def test_a_page_that_stays_is_given_the_next_pad_in_the_answer(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    form = cook.get(PAD).form()
    sent = form.with_typed(dict(TYPED))
    answer = cook.client.post(form.action, data=sent, headers={"X-Exchange": "main"})
    assert (answer.status_code, answer.headers["Content-Location"]) == (201, PAD)
    assert "Saved: spit 1, bird 1, breast, 171 °F." in answer.text
    again = cook.client.post(form.action, data=sent, headers={"X-Exchange": "main"})
    assert again.status_code == 201
    assert len(assessed(database).loads[0].spits[0].readings) == 1
