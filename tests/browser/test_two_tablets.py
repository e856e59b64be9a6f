"""Two tablets on one thing: each says by itself what the other saved, and what is typed on it stays."""

import uuid
from collections.abc import Callable, Iterator
from datetime import datetime

import pytest
from playwright.sync_api import Browser, FloatRect, Page, ViewportSize, expect

from app import register
from app.db import Database
from tests.support import accessibility, cast
from tests.support.drafts import Draft, assessed, chilled, keep, loaded, pulled
from tests.support.screen import TABLET, cook_at_tablet, press

SetClock = Callable[[datetime | str], None]
SIZES = [TABLET, {"width": 768, "height": 1024}]
SPIT, TRAY = "/loads/A-L1/spits/1/probe", "/trays/A-T1/check"


HURRIED = "{ const every = setInterval; window.setInterval = (act, ms) => every(act, ms / 20); }"
"""What a page does every few seconds it does twenty times as often: no test waits for it."""


@pytest.fixture(params=SIZES, ids=["landscape", "portrait"])
def size(request: pytest.FixtureRequest) -> ViewportSize:
    """The size of the tablet that is told."""
    shown: ViewportSize = request.param
    return shown


@pytest.fixture
def casey(browser: Browser, server: str, database: Database, set_clock: SetClock, size: ViewportSize) -> Iterator[Page]:
    """Tablet A, Casey at it."""
    set_clock("12:00")
    with cook_at_tablet(browser, server, size) as page:
        page.add_init_script(HURRIED)
        yield page


@pytest.fixture
def robin(browser: Browser, server: str, database: Database, casey: Page) -> Iterator[Page]:
    """Tablet B in a browser of its own, Robin at it."""
    with database.writing() as session:
        _row, credential = register.issue_tablet(
            session, register.get_site(session, "S1"), "B", at=cast.moment("12:00")
        )
    with cook_at_tablet(browser, server, TABLET, credential=credential, name="Robin Reyes") as page:
        yield page


def type_number(pad: Page, number: str) -> None:
    for digit in number:
        pad.locator(f"[data-pad] [data-key='{digit}']").click()


def read(pad: Page, address: str, number: str) -> None:
    """Open a pad, type a number, save it."""
    pad.goto(address)
    pad.locator("label:has([name=probe][value=blue])").click()
    type_number(pad, number)
    pad.locator(".save").click()
    expect(pad.locator("main > .message")).to_contain_text(f"{number} °F")


def open_pad(pad: Page, address: str, number: str = "") -> FloatRect:
    """Open a pad and type a number on it; give where its Save stands."""
    pad.goto(address)
    pad.locator("label:has([name=probe][value=blue])").click()
    type_number(pad, number)
    return place_of_save(pad)


def place_of_save(pad: Page) -> FloatRect:
    box = pad.locator(".save").bounding_box()
    assert box
    return box


def test_a_reading_of_the_other_tablet_is_drawn_and_told_while_a_number_is_typed(
    casey: Page, robin: Page, database: Database
) -> None:
    keep(database, *loaded())
    save = open_pad(casey, SPIT, "16")
    assert casey.evaluate("ASK_MEANWHILE_MS") <= 5_000
    expect(casey.locator(".meanwhile")).to_be_empty()
    read(robin, f"{SPIT}?bird=2", "166")
    expect(casey.locator(".meanwhile")).to_have_text("Bird 2 was read at 12:00 by Robin Reyes: 166 °F.")
    expect(casey.locator("label.bird.good:has([name=bird][value='2']) b")).to_have_text("166")
    expect(casey.locator("[data-probed]")).to_have_text("1 of 2 birds probed")
    expect(casey.locator("[name=bird][value='1']")).to_be_checked()
    expect(casey.locator("#temperature")).to_have_value("16")
    expect(casey.locator(".meanwhile")).to_be_in_viewport(ratio=1)
    assert place_of_save(casey) == save
    accessibility.check(casey)
    type_number(casey, "9")
    casey.locator(".save").click()
    expect(casey.locator("main > .message")).to_contain_text("Saved: spit 1, bird 1, breast, 169 °F.")
    assert {(one.bird, str(one.reading.value)) for one in assessed(database).loads[0].spits[0].readings} == {
        (1, "169"),
        (2, "166"),
    }


def test_the_next_bird_is_the_one_that_nobody_has_read(casey: Page, robin: Page, database: Database) -> None:
    keep(database, *loaded(spits=1))
    open_pad(casey, SPIT, "150")
    read(robin, f"{SPIT}?bird=2", "150")
    expect(casey.locator(".meanwhile")).to_contain_text("Bird 2 was read")
    casey.locator(".save").click()
    expect(casey.locator("main > .message")).to_contain_text("Saved: spit 1, bird 1")
    expect(casey.locator("[name=bird][value='1']")).to_be_checked()  # both were too low: it begins again


def test_a_pull_on_the_other_tablet_is_said_before_saving(casey: Page, robin: Page, database: Database) -> None:
    keep(database, *pulled()[:-1])
    save = open_pad(casey, SPIT, "171")
    robin.goto(SPIT.replace("probe", "pull"))
    press(robin.get_by_role("button", name="Pull", exact=True))
    gone = casey.locator(".meanwhile .gone")
    expect(gone).to_have_text("No bird is left on this spit. Pulled at 12:00 by Robin Reyes into tray T1.")
    expect(gone).to_be_in_viewport(ratio=1)
    expect(casey.locator("[data-unknown]")).to_have_text("Pulled: no bird is left on it.")
    expect(casey.locator("#temperature")).to_have_value("171")
    assert place_of_save(casey) == save
    accessibility.check(casey)


def test_what_is_saved_here_is_not_told_as_of_somebody_else(casey: Page, robin: Page, database: Database) -> None:
    keep(database, *loaded())
    read(casey, SPIT, "171")
    with casey.expect_response("**/meanwhile?*"):
        read(robin, f"{SPIT}?bird=5", "150")
    expect(casey.locator(".meanwhile p")).to_have_text(["Bird 5 was read at 12:00 by Robin Reyes: 150 °F."])


def test_a_check_of_the_other_tablet_is_told_on_the_pad_of_a_tray(casey: Page, robin: Page, database: Database) -> None:
    keep(database, *pulled())
    save = open_pad(casey, TRAY, "14")
    read_tray(robin, "128")
    expect(casey.locator(".meanwhile")).to_have_text("This tray was checked at 12:00 by Robin Reyes: 128 °F.")
    expect(casey.locator("[data-standing]")).to_contain_text("out of temperature")
    expect(casey.locator("#temperature")).to_have_value("14")
    assert place_of_save(casey) == save


def test_that_the_other_tablet_emptied_the_tray_is_said_before_saving(
    casey: Page, robin: Page, database: Database
) -> None:
    keep(database, *pulled())
    save = open_pad(casey, TRAY, "150")
    robin.goto("/trays/A-T1")
    press(robin.get_by_role("button", name="All served"))
    expect(casey.locator(".meanwhile .gone")).to_have_text(
        "The tray is empty. Served: 5 birds at 12:00 by Robin Reyes."
    )
    expect(casey.locator("#temperature")).to_have_value("150")
    assert place_of_save(casey) == save
    accessibility.check(casey)


def test_no_key_moves_when_what_a_late_check_means_is_over(
    casey: Page, database: Database, set_clock: SetClock
) -> None:
    keep(database, *pulled())
    set_clock("12:30")
    casey.clock.set_fixed_time(cast.moment("12:30"))
    open_pad(casey, TRAY, "150")
    expect(casey.locator("[data-late]")).to_contain_text("Temperature unknown since 12:06")
    key = casey.locator("[data-key='5']").bounding_box()
    keep(database, cast.draft("tray_out", at="12:30", birds="5"), by="robin", at="12:30")
    expect(casey.locator(".meanwhile .gone")).to_contain_text("The tray is empty.")
    expect(casey.locator("[data-late]")).to_be_empty()
    assert casey.locator("[data-key='5']").bounding_box() == key


PADS = [
    (
        "/batches/A-B1/reading",
        cast.draft("cooling_reading", at="12:00", temperature="52"),
        "This batch was checked at 12:00 by Robin Reyes: 52 °F.",
        "52 °F",
    ),
    (
        "/batches/A-B1/reading",
        cast.draft("batch_out", at="12:00"),
        "The batch is finished. Served cold: 1 bird at 12:00 by Robin Reyes.",
        "0 birds",
    ),
    (
        "/reheats/A-R1/reading",
        cast.draft("reheat_reading", at="12:00", temperature="121"),
        "This reheat was checked at 12:00 by Robin Reyes: 121 °F.",
        "121 °F",
    ),
    (
        "/reheats/A-R1/reading",
        cast.draft("reheat_done", at="12:00"),
        "The reheat has ended. Put into tray T2 at 12:00 by Robin Reyes.",
        "0 birds",
    ),
    (
        "/units/walk-in/check",
        cast.draft("unit_check", at="12:00", temperature="44"),
        "This unit was checked at 12:00 by Robin Reyes: 44 °F.",
        "2 of 2 checks today",
    ),
    (
        "/units/pass/check",
        cast.draft("unit_check", at="12:00", temperature="150", unit_code="pass"),
        "This unit was checked at 12:00 by Robin Reyes: 150 °F.",
        "",
    ),
    (
        "/probes/blue/check",
        cast.draft("probe_check", at="12:00"),
        "This probe was checked at 12:00 by Robin Reyes: 32.4 °F.",
        "",
    ),
]


@pytest.mark.parametrize(("address", "other", "says", "stands"), PADS, ids=lambda one: one if "/" in str(one) else "")
def test_every_pad_tells_what_was_saved_elsewhere_and_keeps_the_number(
    casey: Page, database: Database, address: str, other: Draft, says: str, stands: str
) -> None:
    keep(database, *chilled(), cast.draft("reheat_started", at="11:50"))
    casey.goto(address)
    type_number(casey, "16")
    save = place_of_save(casey)
    keep(database, {**other, "id": str(uuid.uuid4())}, by="robin")
    expect(casey.locator(".meanwhile")).to_have_text(says)
    expect(casey.locator(".meanwhile")).to_be_in_viewport(ratio=1)
    if stands:
        expect(casey.locator("[data-standing]")).to_contain_text(stands)
    expect(casey.locator("#temperature")).to_have_value("16")
    assert place_of_save(casey) == save
    accessibility.check(casey)


def read_tray(pad: Page, number: str) -> None:
    """Check the tray; where it is too low, the page that follows asks what was done."""
    pad.goto(TRAY)
    pad.locator("label:has([name=probe][value=blue])").click()
    type_number(pad, number)
    with pad.expect_response("**/check"):
        pad.locator(".save").click()
