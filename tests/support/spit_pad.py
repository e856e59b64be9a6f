"""The number pad of a spit in a real browser: typing, saving, and what it then shows."""

from playwright.sync_api import Page, expect

from app.db import Database
from tests.support.drafts import assessed

PAD = "/loads/A-L1/spits/1/probe"


def type_number(pad: Page, number: str) -> None:
    for digit in number:
        pad.locator(f"[data-pad] [data-key='{digit}']").click()


def save(pad: Page, number: str) -> None:
    type_number(pad, number)
    pad.locator(".save").click()


def readings(database: Database, spit: int = 1) -> list[tuple[int, str]]:
    """Give bird and number of each reading of a spit, in the order in which they were kept."""
    found = assessed(database).loads[0].spits[spit - 1].readings
    return [(one.bird, str(one.reading.value)) for one in sorted(found, key=lambda one: one.seq)]


def shows(pad: Page, *, bird: int, number: str, spit: int = 1) -> None:
    expect(pad.get_by_role("heading", level=1)).to_have_text(f"East oven · Spit {spit}")
    expect(pad.locator(f"[name=bird][value='{bird}']")).to_be_checked()
    expect(pad.locator("#temperature")).to_have_value(number)
