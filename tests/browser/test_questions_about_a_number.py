"""What is asked about a number that is unlikely: once it has settled, or is to be saved, and never in between."""

import pytest
from playwright.sync_api import Page, expect

from app.db import Database
from tests.support import cast
from tests.support.drafts import keep
from tests.support.spit_pad import PAD, readings, save, type_number


def test_what_only_the_server_asks_is_answered_by_save_itself(pad: Page, database: Database) -> None:
    """A jump is in no table of the page. Saved before it was asked, the number stays, and one more tap says yes."""
    save(pad, "171")
    expect(pad.locator("main > .message")).to_contain_text("171 °F")
    pad.locator("label:has([name=bird][value='1'])").click()
    save(pad, "150")
    expect(pad.locator(".save")).to_have_text("Yes, 150 °F: save")
    expect(pad.locator(".meaning .ask")).to_contain_text("Check it again.")
    pad.locator(".save").click()
    expect(pad.locator("main > .message")).to_contain_text("bird 1, breast, 150 °F")
    assert readings(database) == [(1, "171"), (1, "150")]


SLOW_MS, SETTLED_MS = 1000, 1500
"""Between two digits of a hand in a glove, and after the last one."""


@pytest.fixture
def slow(pad: Page) -> Page:
    """The pad, whose time stands still until a test lets it run."""
    pad.clock.install(time=cast.moment("12:00"))
    pad.goto(PAD)
    pad.locator("label:has([name=probe][value=blue])").click()
    return pad


def is_quiet(pad: Page) -> None:
    expect(pad.locator(".save")).to_have_text("Save")
    expect(pad.locator(".ask:visible")).to_have_count(0)


def test_no_question_flashes_up_while_a_number_is_typed(slow: Page, database: Database) -> None:
    """15 on the way to 158 is far from the 150 that was read before: the server asks about it."""
    keep(database, cast.draft("cook_reading", at="11:59", temperature="150"))
    slow.locator("label:has([name=bird][value='1'])").click()
    slow.clock.pause_at(cast.moment("12:01"))  # an installed clock runs along with that of the machine
    for digit in "158":
        with slow.expect_response("**/probe"):  # what the server says of it stands there, too
            type_number(slow, digit)
            is_quiet(slow)
            slow.clock.run_for(SLOW_MS)
        expect(slow.locator(".meaning .says")).to_contain_text("158" if digit == "8" else "1")
        is_quiet(slow)
    slow.clock.run_for(SETTLED_MS)
    is_quiet(slow)


def test_a_question_comes_once_the_number_has_settled_and_stays(slow: Page, database: Database) -> None:
    type_number(slow, "60")
    slow.clock.run_for(SETTLED_MS)
    expect(slow.locator(".save")).to_have_text("Yes, 60 °F: save")
    expect(slow.locator(".ask:visible").first).to_be_visible()
    slow.locator("label:has([name=place][value=thigh])").click()
    expect(slow.locator(".save")).to_have_text("Yes, 60 °F: save")
    type_number(slow, "8")
    is_quiet(slow)


def test_saved_before_it_settled_the_question_is_asked_then_and_two_quick_taps_are_no_answer(
    slow: Page, database: Database
) -> None:
    type_number(slow, "60")
    slow.locator(".save").dblclick()
    expect(slow.locator(".save")).to_have_text("Yes, 60 °F: save")
    assert readings(database) == []
    slow.clock.run_for(SLOW_MS)
    slow.locator(".save").click()
    expect(slow.locator("main > .message")).to_contain_text("60 °F")
    assert readings(database) == [(1, "60")]
