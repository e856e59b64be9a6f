"""One pad types every number of a page: a temperature below zero, whole birds, halves and quarters, ties."""

import pytest
from playwright.sync_api import expect

from app.db import Database
from tests.support import cast
from tests.support.drafts import keep, pulled
from tests.support.hand import Hand


def test_below_zero_is_typed_on_the_pad_of_what_is_cold(hand: Hand) -> None:
    hand.page.goto("/units/walk-in/check")
    hand.type("4")
    hand.tap("[data-key='-']")
    expect(hand.page.locator("#temperature")).to_have_value("-4")
    hand.tap("[data-key='-']")
    expect(hand.page.locator("#temperature")).to_have_value("4")


def test_the_pad_of_a_delivery_types_its_birds_too(hand: Hand) -> None:
    hand.page.goto("/deliveries/new")
    birds, temperature = hand.page.locator("#birds"), hand.page.locator("#temperature")
    hand.type("38")
    birds.click()
    for key in ("4", "-", ".", "0"):  # a number of birds is whole, and never below zero
        hand.page.locator(f"[data-pad] [data-key='{key}']").click()
    expect(birds).to_have_value("40")
    hand.page.locator("label:has([name=state][value=chilled])").click()
    hand.page.locator("[data-pad] [data-key='5']").click()
    expect(temperature).to_have_value("385")
    expect(birds).to_have_value("40")


@pytest.mark.parametrize(
    "path", ["/batches/A-B1/out", "/batches/A-B1/reheat", "/reheats/A-R1/done", "/trays/A-T1/out/served"]
)
def test_birds_are_typed_on_the_same_pad_everywhere(hand: Hand, database: Database, path: str) -> None:
    out = cast.draft("tray_out", at="11:40", to="chilled", birds="2", batch="A-B1", cold_unit="walk-in")
    keep(database, *pulled(), out, cast.draft("reheat_started", at="11:50"))
    hand.page.goto(path)
    for key in ("1", ".", "5"):
        hand.page.locator(f"[data-pad] [data-key='{key}']").first.click()
    expect(hand.page.locator("#birds")).to_have_value("1.5")


def test_counts_are_typed_on_a_pad(hand: Hand) -> None:
    hand.page.goto("/loads/new")
    birds, ties = hand.page.locator("#spits-0-birds"), hand.page.locator("#spits-0-ties")
    for field, digits in ((birds, "12"), (ties, "7")):
        field.click()
        for digit in digits:
            hand.page.locator(f"[data-pad] [data-key='{digit}']").click()
        expect(field).to_be_in_viewport(ratio=1)
    expect(birds).to_have_value("12")
    expect(ties).to_have_value("7")
    birds.click()
    hand.page.locator("[data-pad] [data-key='5']").click()
    expect(birds).to_have_value("5")
