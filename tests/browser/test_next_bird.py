"""The next bird is there at once: a reading is on its way while the next one is typed, and none is lost."""

import pytest
from flask import Flask
from playwright.sync_api import Page, Request, Route, expect

from app import register
from app.db import Database
from tests.support import browsing, cast
from tests.support.drafts import keep
from tests.support.spit_pad import PAD, readings, save, shows, type_number


class Way:
    """The way to the server: readings that are saved wait on it while it is closed."""

    def __init__(self, page: Page) -> None:
        self._waiting: list[Route] = []
        self._is_closed = False
        page.route("**/probe", self._take)

    def _take(self, route: Route, request: Request) -> None:
        if self._is_closed and "x-exchange" in request.headers:
            self._waiting.append(route)
        else:
            route.continue_()

    def close(self) -> None:
        self._is_closed = True

    def lose(self) -> None:
        """What waits never comes to the server."""
        while self._waiting:
            self._waiting.pop(0).abort()

    def open(self) -> None:
        self._is_closed = False
        while self._waiting:
            self._waiting.pop(0).continue_()


@pytest.fixture
def way(pad: Page) -> Way:
    """The way from that tablet to the server, open at first."""
    return Way(pad)


def test_the_next_bird_is_typed_while_a_reading_is_on_its_way(pad: Page, way: Way, database: Database) -> None:
    way.close()
    save(pad, "171")
    shows(pad, bird=2, number="")
    expect(pad.locator("[data-saving]")).to_have_text("Saving spit 1, bird 1, breast, 171 °F…")
    expect(pad.locator("label.bird.good b")).to_have_text("171")
    type_number(pad, "16")
    way.open()
    expect(pad.locator("main > .message")).to_have_text("Saved: spit 1, bird 1, breast, 171 °F.")
    shows(pad, bird=2, number="16")
    save(pad, "8")
    expect(pad.locator("main > .message")).to_have_text("Saved: spit 1, bird 2, breast, 168 °F.")
    assert readings(database) == [(1, "171"), (2, "168")]


def test_the_next_bird_comes_where_the_pad_stands(pad: Page, way: Way) -> None:
    """A pad that is made anew takes the browser twice as long to paint."""
    pad.evaluate("document.querySelector('main').stands = document.querySelector('main form').stands = true")
    way.close()
    save(pad, "171")
    shows(pad, bird=2, number="")
    assert pad.evaluate("document.querySelector('main').stands && document.querySelector('main form').stands")
    expect(pad.locator(".save")).to_have_text("Save")
    expect(pad.locator(".meaning .says, .meaning-now .says")).to_have_count(0)


def test_what_is_on_its_way_counts_and_is_marked(pad: Page, way: Way) -> None:
    counted, pulled = pad.locator("[data-probed]"), pad.locator("[data-unknown]")
    expect(counted).to_have_text("0 of 2 birds probed")
    way.close()
    save(pad, "171")
    shows(pad, bird=2, number="")
    expect(counted).to_have_text("1 of 2 birds probed, being sent")
    expect(pulled).to_have_text("if pulled now: known once it is sent")
    way.open()
    expect(counted).to_have_text("1 of 2 birds probed")
    expect(pulled).to_contain_text("if pulled now: not recorded")


def test_a_bird_that_is_read_again_counts_once(pad: Page, way: Way) -> None:
    save(pad, "150")
    expect(pad.locator("main > .message")).to_contain_text("150 °F")
    pad.locator("label:has([name=bird][value='1'])").click()
    way.close()
    save(pad, "171")
    expect(pad.locator("[data-probed]")).to_have_text("1 of 2 birds probed, being sent")
    way.open()
    expect(pad.locator("[data-probed]")).to_have_text("1 of 2 birds probed")


def test_the_next_spit_is_there_before_the_server_has_answered(pad: Page, way: Way, database: Database) -> None:
    save(pad, "171")
    expect(pad.locator("main > .message")).to_contain_text("171 °F")
    with pad.expect_response("**/spits/2/probe"):
        type_number(pad, "158")
    way.close()
    pad.locator(".save").click()
    shows(pad, spit=2, bird=1, number="")
    assert pad.url.endswith("/spits/2/probe")
    way.open()
    expect(pad.locator("main > .message")).to_have_text("Saved: spit 1, bird 2, breast, 158 °F.")
    shows(pad, spit=2, bird=1, number="")
    assert readings(database) == [(1, "171"), (2, "158")]


def test_the_last_low_bird_is_read_again(pad: Page, way: Way, database: Database) -> None:
    keep(database, *(cast.draft("cook_reading", at="11:50", spit=2, bird=bird) for bird in (1, 2)))
    pad.reload()
    pad.locator("label:has([name=probe][value=blue])").click()
    save(pad, "171")
    expect(pad.locator("main > .message")).to_contain_text("171 °F")
    way.close()
    save(pad, "150")
    shows(pad, bird=2, number="")
    way.open()
    expect(pad.locator("main > .message")).to_contain_text("150 °F")
    shows(pad, bird=2, number="")


def test_two_quick_taps_save_one_reading_and_ask_for_none(pad: Page, way: Way, database: Database) -> None:
    way.close()
    type_number(pad, "171")
    pad.locator(".save").dblclick()
    way.open()
    expect(pad.locator("main > .message")).to_have_text("Saved: spit 1, bird 1, breast, 171 °F.")
    expect(pad.locator(".errors")).to_have_count(0)
    assert readings(database) == [(1, "171")]


def test_a_second_reading_waits_for_the_first(pad: Page, way: Way, database: Database) -> None:
    way.close()
    save(pad, "171")
    save(pad, "168")
    shows(pad, bird=2, number="168")
    assert readings(database) == []
    way.open()
    expect(pad.locator("main > .message")).to_have_text("Saved: spit 1, bird 2, breast, 168 °F.")
    assert readings(database) == [(1, "171"), (2, "168")]


def test_the_server_gone_names_what_is_not_saved_and_sends_it_again(pad: Page, database: Database) -> None:
    pad.context.set_offline(True)
    save(pad, "171")
    expect(pad.locator("#temperature")).to_have_value("171")  # put back, as nothing else was typed yet
    expect(pad.locator("[data-saving]")).to_have_text("Not saved. Trying again.")
    pad.context.set_offline(False)
    expect(pad.locator("main > .message")).to_have_text("Saved: spit 1, bird 1, breast, 171 °F.")
    assert readings(database) == [(1, "171")]


def test_the_server_gone_keeps_what_is_typed_for_the_next_bird(pad: Page, way: Way, database: Database) -> None:
    way.close()
    save(pad, "171")
    type_number(pad, "16")
    way.lose()
    expect(pad.locator("[data-saving]")).to_have_text("Not saved: spit 1, bird 1, breast, 171 °F. Trying again.")
    shows(pad, bird=2, number="16")
    way.open()
    expect(pad.locator("main > .message")).to_have_text("Saved: spit 1, bird 1, breast, 171 °F.")
    shows(pad, bird=2, number="16")
    assert readings(database) == [(1, "171")]


def test_leaving_before_the_server_has_it_asks(pad: Page, way: Way, database: Database) -> None:
    way.close()
    save(pad, "171")
    asked: list[str] = []
    pad.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    pad.get_by_role("link", name="Checks").click()
    way.open()
    expect(pad.locator("main > .message")).to_have_text("Saved: spit 1, bird 1, breast, 171 °F.")
    assert asked == ["beforeunload"]


def test_what_is_refused_comes_back_and_so_does_what_was_typed_since(pad: Page, way: Way, database: Database) -> None:
    way.close()
    save(pad, "171")
    type_number(pad, "16")
    with database.writing() as session:  # the probe is taken out of use at the office
        register.retire_equipment(session, register.get_site(session, "S1"), "blue", at=cast.moment("12:00"))
    way.open()
    expect(pad.get_by_role("alert")).to_contain_text("Nothing was saved yet")
    shows(pad, bird=1, number="171")
    expect(pad.locator("[data-saving]")).to_have_text("Typed for spit 1, bird 2: 16. It comes back.")
    pad.locator("label:has([name=probe][value=white])").click()
    pad.locator(".save").click()
    expect(pad.locator("main > .message")).to_have_text("Saved: spit 1, bird 1, breast, 171 °F.")
    shows(pad, bird=2, number="16")
    assert readings(database) == [(1, "171")]


def test_the_bird_in_hand_stays_though_another_device_read_it_meanwhile(
    pad: Page, way: Way, app: Flask, database: Database
) -> None:
    way.close()
    save(pad, "171")
    phone = browsing.Browser(app.test_client()).sign_in("robin")
    phone.get(f"{PAD}?bird=2").send(temperature="166", probe="blue", unit="F").send()
    way.open()
    expect(pad.locator("main > .message")).to_have_text("Saved: spit 1, bird 1, breast, 171 °F.")
    save(pad, "169")
    expect(pad.locator("main > .message")).to_have_text("Saved: spit 1, bird 2, breast, 169 °F.")
    assert sorted(readings(database)) == [(1, "171"), (2, "166"), (2, "169")]


def test_a_key_that_is_pressed_when_the_answer_comes_is_typed(pad: Page, way: Way, database: Database) -> None:
    way.close()
    save(pad, "171")
    key = pad.locator("[data-pad] [data-key='1']").bounding_box()
    assert key
    pad.mouse.move(key["x"] + 20, key["y"] + 20)
    pad.mouse.down()
    with pad.expect_response("**/probe"):
        way.open()
    pad.mouse.up()
    expect(pad.locator("main > .message")).to_have_text("Saved: spit 1, bird 1, breast, 171 °F.")
    shows(pad, bird=2, number="1")


def test_with_nobody_at_the_tablet_it_is_asked_who_saves(pad: Page, way: Way) -> None:
    pad.goto("/person")
    with pad.expect_navigation():
        pad.get_by_role("button", name="Nobody: ask on saving").click()
    pad.goto(PAD)
    pad.locator("label:has([name=probe][value=blue])").click()
    save(pad, "171")
    expect(pad.get_by_role("heading", level=1)).to_have_text("Who is saving this?")


def test_the_button_says_save_before_the_scripts_have_bound_it(pad: Page) -> None:
    pad.route("**/pad.js", lambda route: route.abort())
    pad.goto(PAD)
    expect(pad.locator(".save")).to_have_text("Save", use_inner_text=True)


def test_the_bird_in_hand_is_named_in_the_colour_of_paper_on_ink(pad: Page) -> None:
    chosen = pad.locator("label.bird:has(input:checked)")
    paper = chosen.evaluate("() => getComputedStyle(document.body).backgroundColor")
    expect(chosen.locator(".in-hand")).to_have_text("bird 1")
    expect(chosen.locator(".in-hand")).to_have_css("color", paper)
