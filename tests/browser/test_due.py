"""What is due changes the screen by itself, on whatever page the tablet stands; one thing sounds once."""

from collections.abc import Callable
from datetime import datetime

from playwright.sync_api import Page, expect

from app.db import Database
from tests.support import accessibility, cast
from tests.support.drafts import assessed, keep, ordinary_day, pulled
from tests.support.screen import sign_in

SetClock = Callable[[datetime | str], None]
DUE = "Tray T1: check the temperature"
_TONES = """
window.tones = 0;
window.AudioContext = class {
  state = "running"; currentTime = 0; destination = {};
  resume() { return Promise.resolve(); }
  close() {}
  createOscillator() { return { frequency: {}, connect: (to) => to, start: () => { tones += 1; }, stop: () => {} }; }
  createGain() {
    return { gain: { setValueAtTime: () => {}, exponentialRampToValueAtTime: () => {} }, connect: (to) => to };
  }
};
"""
"""A sound device that counts the tones it would play."""


def _until(page: Page, expression: str) -> None:
    """Wait until an expression is true. Playwright's own way polls by `eval`, which the page's policy forbids."""
    for _ in range(300):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"{expression} did not come true within 15 s")


def quiet_page(page: Page, database: Database, set_clock: SetClock) -> None:
    """A page of a kitchen in which the tray was read at 11:15: nothing is due before 12:45."""
    keep(database, *ordinary_day()[:-1])
    set_clock("12:00")
    page.add_init_script(_TONES)
    page.clock.install(time=cast.moment("12:00"))
    sign_in(page, "cook")
    page.goto("/checks")
    expect(page.locator("main")).to_be_visible()
    expect(page.locator(".alarm")).to_be_empty()
    _until(page, "sessionStorage.getItem('told') !== null")


def test_a_check_that_falls_due_comes_over_the_page(page: Page, database: Database, set_clock: SetClock) -> None:
    quiet_page(page, database, set_clock)
    set_clock("12:46")
    page.clock.run_for(31_000)
    expect(page.locator(".alarm")).to_contain_text(DUE)
    expect(page).to_have_title("(1) Checks · Kitchen S1")
    accessibility.check(page)
    page.locator(".alarm a").click()
    expect(page.get_by_role("link", name=DUE, exact=True)).to_be_visible()


def test_one_thing_sounds_once(page: Page, database: Database, set_clock: SetClock) -> None:
    quiet_page(page, database, set_clock)
    set_clock("12:46")
    page.clock.run_for(31_000)
    expect(page.locator(".alarm")).to_contain_text(DUE)
    page.clock.run_for(300_000)
    assert page.evaluate("tones") == 1


def test_what_falls_due_from_page_to_page_sounds_there(page: Page, database: Database, set_clock: SetClock) -> None:
    quiet_page(page, database, set_clock)
    set_clock("12:46")
    page.goto("/entries")
    expect(page.locator(".alarm")).to_contain_text(DUE)
    _until(page, "tones === 1")
    page.goto("/checks")
    expect(page.locator(".alarm")).to_contain_text(DUE)
    assert page.evaluate("tones") == 0  # it sounded on the page before


def test_what_is_silenced_leaves_every_page_and_sounds_no_more(
    page: Page, database: Database, set_clock: SetClock
) -> None:
    quiet_page(page, database, set_clock)
    set_clock("12:50")
    page.goto("/")
    page.get_by_role("link", name=f"Silence the alarm: {DUE}").click()
    page.get_by_label("I am doing it now.").check()
    accessibility.check(page)
    page.get_by_role("button", name="Silence it").click()
    expect(page.locator(".silenced")).to_have_text("Silenced by Casey Cook at 12:50: I am doing it now.")
    accessibility.check(page)
    page.goto("/checks")
    page.clock.run_for(31_000)
    expect(page.locator(".alarm")).to_be_empty()
    expect(page).to_have_title("Checks · Kitchen S1")
    assert page.evaluate("tones") == 0


def test_a_lost_network_only_puts_it_off(page: Page, database: Database, set_clock: SetClock) -> None:
    quiet_page(page, database, set_clock)
    page.context.set_offline(True)
    set_clock("12:46")
    page.context.set_offline(False)  # the browser says that it is online again: nothing has to be waited for
    expect(page.locator(".alarm a")).to_contain_text(DUE)


def test_what_falls_due_without_a_network_is_told_all_the_same(
    page: Page, database: Database, set_clock: SetClock
) -> None:
    quiet_page(page, database, set_clock)
    page.context.set_offline(True)
    page.clock.run_for(29 * 60_000)
    expect(page.locator(".alarm")).to_be_empty()
    page.clock.run_for(2 * 60_000)  # 12:31: from a quarter of an hour before the check is due at 12:45
    said = "No connection. As far as this tablet knows: Tray T1: check due (12:45)"
    expect(page.locator(".alarm .foreseen")).to_have_text(said)
    assert page.evaluate("tones") == 1
    page.clock.run_for(10 * 60_000)
    assert page.evaluate("tones") == 1
    accessibility.check(page)
    set_clock("12:41")
    page.context.set_offline(False)
    expect(page.locator(".alarm a")).to_contain_text(DUE)
    expect(page.locator(".foreseen")).to_have_count(0)


def test_a_tablet_that_wakes_asks_at_once(page: Page, database: Database, set_clock: SetClock) -> None:
    quiet_page(page, database, set_clock)
    set_clock("12:46")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(page.locator(".alarm")).to_contain_text(DUE)


def test_the_count_stays_in_the_title_when_the_pad_has_saved(
    page: Page, database: Database, set_clock: SetClock
) -> None:
    spits = [cast.draft("spit_loaded", at="10:40", load="A-L2", spit=spit) for spit in (1, 2)]
    keep(database, *pulled(), cast.draft("load_started", at="10:38", load="A-L2", oven="west"), *spits)
    set_clock("12:00")
    sign_in(page, "cook")
    page.clock.set_fixed_time(cast.moment("12:00"))
    page.goto("/loads/A-L2/spits/1/probe")
    expect(page).to_have_title("(1) Spit 1 of load L2 · Kitchen S1")
    page.locator("label:has([name=probe][value=blue])").click()
    page.locator("#temperature").fill("171")
    page.locator(".save").click()
    expect(page.locator("main > .message")).to_contain_text("171 °F")
    expect(page).to_have_title("(1) Spit 1 of load L2 · Kitchen S1")


def test_opening_plays_the_tone_and_keeps_whether_it_was_heard(
    page: Page, database: Database, set_clock: SetClock
) -> None:
    set_clock("12:00")
    page.add_init_script(_TONES)
    sign_in(page, "cook")
    page.clock.set_fixed_time(cast.moment("12:00"))
    page.goto("/checklists/opening")
    page.get_by_role("button", name="Play the tone").click()
    _until(page, "tones === 1")
    page.locator("label:has([data-all-right])").click()
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("alert")).to_contain_text("Play the tone, then say whether you heard it.")
    page.get_by_label("yes, heard").check()
    accessibility.check(page)
    page.get_by_role("button", name="Save").click()
    expect(page.locator("main > .message").first).to_contain_text("The sound works.")
    assert [one.kind for one in assessed(database).entries] == ["checklist", "sound_test"]


def test_what_was_just_saved_is_due_no_more(page: Page, database: Database, set_clock: SetClock) -> None:
    quiet_page(page, database, set_clock)
    set_clock("12:46")
    page.goto("/trays/A-T1/check")
    expect(page.locator(".alarm a")).to_contain_text(DUE)
    page.check("[name=probe][value=blue]")
    page.fill("#temperature", "128")
    page.locator(".save").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Corrective action")
    expect(page.locator(".alarm")).not_to_contain_text(DUE)
