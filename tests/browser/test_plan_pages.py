"""The plan's pages in a real browser: what is typed is told at once, and a file that is not taken before it is sent."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.support import accessibility
from tests.support.files import a_pdf
from tests.support.screen import press, sign_in


@pytest.fixture
def pat(context: BrowserContext, set_clock: Callable[[datetime | str], None]) -> Page:
    """The person in charge, signed in."""
    set_clock("12:00")
    page = context.new_page()
    sign_in(page, "pat")
    return page


def test_a_limit_is_told_as_it_is_typed_and_shows_what_it_would_have_changed(pat: Page) -> None:
    pat.goto("/setup/plan/change/hot_holding")
    told = pat.locator("[data-told]")
    pat.get_by_label("Temperature").fill("140")
    expect(told).to_contain_text("Stricter than the code.")
    pat.get_by_label("Temperature").fill("130")
    expect(told).to_contain_text("This needs a variance")
    pat.get_by_label("Temperature").fill("57")
    expect(told).to_contain_text("57 °F is far from 135 °F / 57 °C. Is the scale right?")
    pat.get_by_label("Temperature").fill("140")
    expect(told).to_contain_text("140 °F (60 °C)")
    press(pat.get_by_role("button", name="Put into the next version"))
    expect(pat.locator("[data-load]")).to_contain_text("28 of 28 days counted.")
    accessibility.check(pat)


def test_a_variance_is_asked_for_while_what_is_typed_is_looser(pat: Page) -> None:
    pat.goto("/setup/plan/change/hot_holding")
    temperature, variance = pat.get_by_label("Temperature"), pat.get_by_label("Name and number of the variance")
    expect(variance).to_be_hidden()
    temperature.fill("130")
    expect(variance).to_be_visible()
    accessibility.check(pat)
    variance.fill("V-9")
    temperature.fill("140")
    expect(variance).to_be_hidden()
    temperature.fill("")  # on the way to another number
    expect(pat.locator("[data-told]")).to_contain_text("Type a number")
    temperature.fill("130")
    expect(variance).to_have_value("V-9")
    expect(variance).to_be_visible()
    pat.get_by_label("The authority that gave it").fill("Cook County")
    press(pat.get_by_role("button", name="Put into the next version"))
    expect(pat.get_by_label("Variance that allows what is looser")).to_have_value("V-9, Cook County")


def test_a_variance_that_is_named_already_is_proposed_where_another_limit_is_looser(pat: Page) -> None:
    pat.goto("/setup/plan/change/hot_holding")
    pat.get_by_label("Temperature").fill("130")
    pat.get_by_label("Name and number of the variance").fill("V-9")
    pat.get_by_label("The authority that gave it").fill("Cook County")
    press(pat.get_by_role("button", name="Put into the next version"))
    pat.goto("/setup/plan/change/cold_holding")
    variance = pat.get_by_label("Name and number of the variance")
    expect(variance).to_have_value("")
    pat.get_by_label("Temperature").fill("50")
    expect(variance).to_have_value("V-9")
    expect(variance).to_be_visible()


def test_a_file_that_is_not_taken_is_said_before_it_is_sent(pat: Page, tmp_path: Path) -> None:
    large, other = tmp_path / "study.pdf", tmp_path / "study.exe"
    large.write_bytes(a_pdf(10 * 1024 * 1024))
    other.write_bytes(b"MZ")
    pat.goto("/setup/plan/text/validation")
    pat.get_by_label("Text").fill("Tested in May.")
    field, sent = pat.locator("#file"), list[str]()
    pat.on("request", lambda request: sent.append(request.method))
    for path, said in ((large, "This file is over 10 MB."), (other, "This is no PDF and no picture")):
        field.set_input_files(path)
        pat.get_by_role("button", name="Put into the next version").click()
        assert said in field.evaluate("field => field.validationMessage")
    assert "POST" not in sent
    expect(pat.get_by_label("Text")).to_have_value("Tested in May.")
