"""Every form of the kitchen and of the set-up, by the keyboard alone: whoever sends it is taken to what it says.

Sent empty, a form has the focus on its message, or at the field that the browser does not let pass. Once it was saved,
the message that says so has it: the keyboard and a reading machine go on from there.
"""

from collections.abc import Callable, Iterator, Mapping
from datetime import datetime

import pytest
from flask import Flask
from playwright.sync_api import Locator, Page, expect

from app.db import Database
from app.kinds.permissions import Permission
from docs.list_access import permission_of
from tests.support import cast
from tests.support.routes import path_of, things, walk
from tests.support.screen import sign_in

SetClock = Callable[[datetime | str], None]

_KITCHEN = {
    *(Permission.RECORD_KITCHEN_ENTRY, Permission.MEND_ENTRY, Permission.ANSWER_FINDING, Permission.TAKE_CHARGE),
}
_SETUP = {one for one in Permission if one.name.startswith("KEEP_")} | {
    *(Permission.READ_SETUP, Permission.ADOPT_PLAN, Permission.SET_BIRD_COST),
}


@pytest.fixture
def ids(database: Database, set_clock: SetClock) -> Mapping[str, object]:
    """What the places of a route are filled with: the things of a day at noon."""
    set_clock("12:00")
    return things(database)


@pytest.fixture
def keyboard(page: Page, ids: Mapping[str, object]) -> Page:
    """The person in charge, who may open every page, with a keyboard and no pointer."""
    page.clock.set_fixed_time(cast.moment("12:00"))
    sign_in(page, "pat")
    return page


def _paths(app: Flask, ids: Mapping[str, object], permissions: set[Permission]) -> Iterator[str]:
    for (method, route), rule in walk(app):
        if method == "GET" and (route == "/" or permission_of(app, rule) in permissions):
            yield path_of(app, rule, ids)


def _forms(page: Page) -> Locator:
    """Give the forms of a page that save something."""
    return page.locator("#page form[method=post]")


def _not_sent_yet(page: Page, path: str, sent: set[tuple[str, str]]) -> tuple[int, tuple[str, str]] | None:
    """Open a page and give its first form of a kind that was not sent yet: its number, where it goes, what it says."""
    page.goto(path)
    found = _forms(page).evaluate_all("""(forms) => forms.map((form) => [
        new URL(form.getAttribute("action") || "", location).pathname,
        [...form.querySelectorAll("button")].at(-1).textContent,
    ])""")
    kinds = [(path if where == path else where.rpartition("/")[2], said) for where, said in found]
    return next(((number, kind) for number, kind in enumerate(kinds) if kind not in sent), None)


def _main_button(part: Locator) -> Locator:
    """Give the button that saves, else the last one."""
    named = part.locator("button.save, button.main")
    return named.last if named.count() else part.locator("button:not([type=button])").last


def _send_empty(form: Locator) -> None:
    """Empty what is typed in a form and press its main button by the enter key."""
    form.evaluate("""(form) => {
        for (const part of document.querySelectorAll("details")) part.open = true;
        const typed = "textarea, input:not([type]), input[type=text], input[type=email], input[type=password]";
        for (const field of form.querySelectorAll(typed)) field.value = "";
    }""")
    _main_button(form).press("Enter")


_TAKEN_THERE = "#page :is(.message, [role=alert], :invalid):focus"


@pytest.mark.parametrize("permissions", [_KITCHEN, _SETUP], ids=["kitchen", "set-up"])
def test_a_form_that_is_sent_empty_takes_the_keyboard_to_what_it_says(
    keyboard: Page, app: Flask, ids: Mapping[str, object], permissions: set[Permission]
) -> None:
    lost, sent = [], set[tuple[str, str]]()
    for path in _paths(app, ids, permissions):
        while new := _not_sent_yet(keyboard, path, sent):
            number, kind = new
            sent.add(kind)
            _send_empty(_forms(keyboard).nth(number))
            try:
                expect(keyboard.locator(_TAKEN_THERE)).to_be_attached(timeout=5000)
            except AssertionError:
                lost.append(
                    (path, kind, keyboard.evaluate("[location.href,document.activeElement.outerHTML.slice(0, 90)]"))
                )
    assert lost == []
    assert len(sent) > 20, "are they all of them?"


_RED = {"[name=probe][value=red]": "", "#temperature": "171", "[name=unit][value=F]": ""}
SAVED: list[tuple[str, dict[str, str]]] = [
    ("/checks", {}),
    ("/probes/red/check", {"#temperature": "32", "[name=unit][value=F]": ""}),
    ("/units/larder/check", {"[name=of][value=air]": "", "#temperature": "38", "[name=unit][value=F]": ""}),
    ("/loads/A-L1/spits/new", {"#spit": "3", "#birds": "4", "#lot": "0412-7"}),
    ("/loads/A-L1/spits/3/probe", _RED),
    ("/loads/A-L1/spits/3/pull", {"#birds": "4", "[name=hot_unit]": ""}),
    ("/trays/A-T1/check", _RED),
    ("/batches/A-B1/reading", _RED | {"#temperature": "40"}),
    ("/batches/A-B1/move", {"[name=cold_unit]": ""}),
    ("/reheats/A-R1/reading", _RED),
    ("/trays/A-T9/move", {"[name=hot_unit]": ""}),
    ("/trays/A-T9/out/served", {"#birds": "1"}),
    ("/checklists/closing", {"[name=all_right]": "", "[name=put_away_anyway]": ""}),
    ("/out-of-use/white", {"#cause": "It shows nothing."}),
    ("/write/note", {"#text": "A fuse blew."}),
    ("/setup/people", {"#name": "Sam Samson", "#pin": "2580"}),
    ("/setup/equipment", {"[name=kind][value=oven]": "", "#code": "north"}),
    ("/setup/cost", {"#bird_cost": "4.80", "#bird_currency": "USD"}),
    ("/setup/mail", {"#mail_address": "sam@example.org", "[type=checkbox]": ""}),
    ("/setup/plan/text/flow", {"#text": "Birds are roasted, held hot and sold."}),
    ("/setup/phrases/hold.temperature", {"textarea": "The lamp was off."}),
]
"""What is typed or chosen in a form, with the keyboard, before it is sent."""


def _type(page: Page, typed: Mapping[str, str]) -> None:
    for selector, text in typed.items():
        field = page.locator(f"#page {selector}").first
        if not text and not field.is_checked():
            field.press("Space")
        elif text:
            field.press("Control+a")
            field.press_sequentially(text)
    expect(page.locator(".typing")).to_have_count(0)  # what is asked about a number stands in the button by then


@pytest.mark.parametrize("part", ["kitchen", "set-up"])
def test_what_was_saved_has_the_focus(keyboard: Page, part: str) -> None:
    for path, typed in SAVED:
        if path.startswith("/setup") == (part == "kitchen"):
            continue
        keyboard.goto(path)
        _type(keyboard, typed)
        forms = keyboard.locator("#page form[method=post]")
        form = forms.filter(has=keyboard.locator(next(iter(typed)))) if typed else forms
        expect(keyboard.locator("#page form.typing")).to_have_count(0)  # Save says now what is asked
        _main_button(form.last).press("Enter")
        expect(keyboard.locator("#page .message.done:focus"), path).to_be_attached()
