"""A whole day as person in charge, in a real browser: act, review, sign, be told it was touched, sign again."""

from collections.abc import Callable
from datetime import datetime
from io import BytesIO

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from app.db import Database
from tests.support import accessibility, cast
from tests.support.drafts import action, evening, finding, keep, low_reading, mending
from tests.support.screen import TABLET, press, sign_in, sign_in_by_hand

DAY = "/day/2026-04-14"


@pytest.fixture
def day(database: Database, set_clock: Callable[[datetime | str], None]) -> Database:
    """A day of two loads: a tray too cold, answered by the cook; a tie missing, not answered; a reading mended."""
    second = [
        cast.draft("spit_loaded", at="10:50", spit=2, birds=6, ties=6),
        cast.draft("cook_reading", at="11:30", spit=2, bird=1, temperature="156"),
        cast.draft("cook_reading", at="11:31", spit=2, bird=3, temperature="168"),
        cast.draft("spit_pulled", at="11:35", spit=2, birds=6, tray="A-T2", ties_removed=5),
    ]
    keep(database, *low_reading(), *second, at="12:40")
    keep(database, mending(second[1], temperature="165.6"), at="12:45")
    tie = finding(database, "ties.balance", as_of="12:45")
    keep(database, cast.draft("release", at="12:46", findings=[tie], basis="Every bird searched"), by="pat", at="12:46")
    keep(database, cast.draft("tray_out", at="12:47", tray="A-T2", birds="6"), at="12:48")
    key = finding(database, "hold.temperature", as_of="12:45")
    keep(database, action(key, at="11:20", cause="The cabinet door stood open"), at="12:50")
    keep(database, *evening(), at="20:02")
    set_clock("21:00")
    return database


def test_a_day_from_what_is_owed_to_the_second_signature(
    day: Database, page: Page, set_clock: Callable[[datetime | str], None]
) -> None:
    sign_in_by_hand(page, "pat")
    page.get_by_role("link", name="Days").click()
    page.get_by_role("link", name="Tue 14 April 2026", exact=True).click()
    state = page.locator(".day-state")
    expect(state).to_contain_text("1 finding to answer")
    expect(state).to_contain_text("2 actions to review; then it can be signed.")

    _act_on_the_missing_tie(page)
    expect(state).to_contain_text("3 actions to review")
    _send_back_what_says_too_little(page)
    expect(state).to_contain_text("1 finding to answer")
    _accept_the_rest(page)
    set_clock("21:10")
    _act_again(day, page)

    _sign(page, "Sign the day")
    expect(page.locator("#page")).to_contain_text("The day is signed.")
    expect(page.locator(".signature")).to_contain_text("Pat Porter")
    expect(page.locator(".signature")).to_contain_text("I have reviewed these records.")
    expect(page.locator(".signature")).to_contain_text("21:10 CDT")

    keep(day, cast.draft("note", at="20:40", text="The pass was cleaned."), at="21:10")
    page.goto(DAY)
    expect(page.locator(".state").first).to_have_text("signed, and changed since: asks for a new sign-off")
    expect(page.get_by_role("region", name="Written since it was signed")).to_contain_text("The pass was cleaned.")
    written = page.get_by_role("cell", name="The pass was cleaned.").first.bounding_box()
    assert written
    assert written["width"] > 200  # it stands in the width of the page, not a letter a line
    _sign(page, "Sign again")
    expect(page.locator(".state").first).to_contain_text("signed")
    expect(page.locator(".state").first).not_to_contain_text("changed since")


def _act_on_the_missing_tie(page: Page) -> None:
    page.get_by_role("link", name="Record corrective action").click()
    page.get_by_label("What caused it").fill("A tie slipped off in the oven")
    page.get_by_label("What was done").fill("Found in the grease tray")
    page.get_by_label("search for the foreign body").check()
    page.get_by_label("How to stop it happening again").fill("Count at the table")
    press(page.get_by_role("button", name="Record corrective action"))


def _send_back_what_says_too_little(page: Page) -> None:
    """The cook's action does not say what became of the tray."""
    page.get_by_label("The cabinet door stood open").check()
    page.get_by_label("Remark").fill("To which temperature was it reheated?")
    press(page.get_by_role("button", name="Send back what is ticked"))
    expect(page.locator("#page")).to_contain_text("1 action sent back.")
    expect(page.locator("#page")).to_contain_text("To which temperature was it reheated?")


def _accept_the_rest(page: Page) -> None:
    """The mending, with both values before one's eyes, and one's own action about the tie: nobody else is in charge."""
    expect(page.get_by_label("It said 156 °F; it now says 165.6 °F.")).to_be_visible()
    for box in page.locator("input[name=findings]").all():
        box.check()
    press(page.get_by_role("button", name="Accept what is ticked"))
    expect(page.locator("#page")).to_contain_text("2 actions accepted.")


def _act_again(day: Database, page: Page) -> None:
    key = finding(day, "hold.temperature", as_of="21:10")
    keep(day, action(key, at="21:05", action="Reheated to 172 °F, then served", disposition="serve_now"), at="21:10")
    page.reload()
    page.get_by_label("Reheated to 172 °F, then served").check()
    press(page.get_by_role("button", name="Accept what is ticked"))


def _sign(page: Page, button: str) -> None:
    page.get_by_label("Your password").fill(cast.PASSWORD)
    press(page.get_by_role("button", name=button))


def test_a_wrong_password_and_a_day_that_moved_lose_nothing(day: Database, page: Page) -> None:
    for rule in ("hold.temperature", "ties.balance"):
        key = finding(day, rule, as_of="21:00")
        if rule == "ties.balance":
            keep(day, action(key, at="20:50", disposition="search_for_foreign_body"), at="20:55")
    sign_in(page, "pat")
    page.goto(DAY)
    for box in page.locator("input[name=findings]").all():
        box.check()
    press(page.get_by_role("button", name="Accept what is ticked"))
    keep(day, cast.draft("note", at="20:58", text="Written in between."), at="21:00")
    _sign(page, "Sign the day")
    expect(page.get_by_role("alert")).to_contain_text("New entries came in while you were reading.")
    expect(page.locator("#page")).to_contain_text("Written in between.")
    page.get_by_label("Your password").fill("wrong")
    press(page.get_by_role("button", name="Sign the day"))
    expect(page.get_by_role("alert")).to_contain_text("This is not your password. Try again.")
    _sign(page, "Sign the day")
    expect(page.locator("#page")).to_contain_text("The day is signed.")


def test_what_is_right_is_one_line_and_what_is_wrong_stands_open(day: Database, page: Page) -> None:
    sign_in(page, "pat")
    page.goto(DAY)
    titles = (page.locator("summary", has_text=title) for title in ("Tray A-T1", "Lot 0412-7"))
    wrong, right = (page.locator("details.block", has=title) for title in titles)
    expect(wrong).to_have_attribute("open", "")
    expect(wrong.locator(".gist")).to_have_text("5 birds, lowest 128 °F, 5 served")
    expect(right.locator("table")).to_be_hidden()
    right.locator("summary").click()
    expect(right.locator("table")).to_be_visible()


def test_the_page_is_printed_whole_and_without_what_is_tapped(day: Database, page: Page) -> None:
    sign_in(page, "pat")
    page.goto(DAY)
    printed = " ".join(sheet.extract_text() for sheet in PdfReader(BytesIO(page.pdf(format="Letter"))).pages)
    assert "whole chicken" in printed  # what is folded on the screen
    assert "Record fingerprint" in printed
    assert "Accept what is ticked" not in printed


def test_the_signature_is_printed_on_one_page(day: Database, page: Page) -> None:
    sign_in(page, "pat")
    page.goto(DAY)
    sheets = [sheet.extract_text() for sheet in PdfReader(BytesIO(page.pdf(format="Letter"))).pages]
    (signature,) = [sheet for sheet in sheets if "Record fingerprint" in sheet]
    assert "Signature" in signature
    assert "The day can be signed when nothing is owed any more" in " ".join(signature.split())


_PAGES = (
    "/days",
    DAY,
    f"{DAY}/entries",
    "/inspection",
    "/setup",
    "/setup/people",
    "/setup/people/robin",
    "/setup/equipment",
    "/setup/plan",
    "/setup/plan/new",
    "/setup/plan/change/hot_holding",
    "/setup/plan/change/start_checks",
    "/setup/plan/change/cook_table",
    "/setup/plan/text/validation",
    "/setup/plan/reassess",
    "/plan",
    "/setup/tablets",
    "/setup/tokens",
    "/account",
)


def test_every_page_can_be_read_and_hit_by_everybody(day: Database, page: Page) -> None:
    sign_in(page, "pat")
    for path in _PAGES:
        page.set_viewport_size(TABLET)
        page.goto(path)
        accessibility.check(page)
        page.set_viewport_size({"width": 768, "height": 1024})
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), f"{path} is wider than the screen"
