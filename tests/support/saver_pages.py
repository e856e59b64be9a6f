"""The question who is saving at a tablet, answered; and what was kept."""

import json
from typing import Any

from app import ledger
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser, Page

READING = {"probe": "blue", "unit": "F"}


def lines(database: Database) -> list[dict[str, Any]]:
    """Give the kitchen's own entries."""
    with database.reading() as session:
        return [json.loads(line) for line in ledger.ledger_lines(session, "S1", after_seq=cast.SET_UP)]


def by_pin(asking: Page, login: str, pin: str = cast.PIN) -> Page:
    """Answer who is saving with a name and a PIN, in the form that has one."""
    form = next(form for form in asking.forms if "pin" in form.names)
    return asking.browser.send(form.action, form.with_typed({"saver": login, "pin": pin}))


def by_name(asking: Page, login: str) -> Page:
    """Answer with one tap on a name of somebody who was here a few minutes ago."""
    form = next(form for form in asking.forms if "saver" in form.names and "pin" not in form.names)
    return asking.browser.send(form.action, form.with_typed({"saver": login}))


def note(browser: Browser, text: str) -> Page:
    """Write a note down."""
    return browser.get("/write/note").send(text=text)
