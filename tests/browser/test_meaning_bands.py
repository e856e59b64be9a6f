"""The pad looks up in the rules' own table: the script and the rules find the same meaning at and beside every edge."""

from collections.abc import Callable, Iterable
from datetime import datetime
from decimal import Decimal

import pytest
from playwright.sync_api import Page, Route, expect

from app import ledger
from app.db import Database
from app.kinds import Temperature
from app.rules.day.shown import Assessment
from app.rules.meaning import asking, cooking, cooling, holding, storage
from app.rules.meaning.asking import Asking
from app.rules.meaning.bands import Bands, look_up
from tests.support import cast
from tests.support.drafts import keep, ordinary_day
from tests.support.screen import sign_in

TENTH = Decimal("0.1")
PADS: dict[str, Callable[[Assessment, str], Bands]] = {
    "/loads/A-L1/spits/1/probe": lambda day, unit: cooking.core_bands(day.loads[0], unit),
    "/trays/A-T1/check": lambda day, unit: holding.hold_bands(day.trays[0], unit),
    "/batches/A-B1/reading": lambda day, unit: cooling.cooling_bands(day.batches[0], unit),
    "/units/walk-in/check": lambda day, unit: storage.unit_bands("cold_unit", day.plan, unit),
    "/units/pass/check": lambda day, unit: storage.unit_bands("hot_unit", day.plan, unit),
    "/deliveries/new": lambda day, unit: storage.delivery_bands(day.plan, unit),
}
ASKING: dict[str, Callable[[Assessment], Asking]] = {
    "/loads/A-L1/spits/1/probe": lambda day: asking.of_bird(day.loads[0], day.loads[0].spits[0]),
    "/trays/A-T1/check": lambda _day: asking.of_tray(),
    "/batches/A-B1/reading": lambda _day: asking.of_batch(),
    "/units/walk-in/check": lambda _day: asking.of_unit("cold_unit"),
    "/units/pass/check": lambda _day: asking.of_unit("hot_unit"),
    "/deliveries/new": lambda _day: asking.of_delivery(),
}
ASKED = """([unit, scale, values]) => values.map((value) =>
  bandOf(document, `[data-ask="${unit}"][data-scale="${scale}"]`, Number(value)).dataset.asks)"""
FOUND = """([unit, values]) => {
  const table = [...document.querySelectorAll(`template[data-band="${unit}"]`)];
  const from = table.map((one) => Number(one.dataset.from));
  return values.map((value) => table[bandAt(from, Number(value))].dataset.means);
}"""
SCALES = (("dual", "F"), ("dual", "C"), ("F", "F"), ("C", "C"))
"""What a display shows, and the unit it was read in."""


@pytest.fixture
def day(database: Database, page: Page, set_clock: Callable[[datetime | str], None]) -> Assessment:
    """A day with a spit, a tray and a batch; the cook is signed in."""
    keep(database, *ordinary_day()[:-1])
    chilled = {"tray": "A-T1", "birds": "1", "to": "chilled", "batch": "A-B1", "cold_unit": "walk-in"}
    keep(database, cast.draft("tray_out", at="11:50", **chilled))
    set_clock("12:00")
    sign_in(page, "cook")
    with database.reading() as session:
        return ledger.assess_day(session, "S1", cast.DAY, as_of=cast.moment("12:00"))


@pytest.mark.parametrize("path", PADS)
def test_the_script_and_the_rules_find_the_same_at_every_edge(page: Page, day: Assessment, path: str) -> None:
    page.goto(path)
    for unit in ("F", "C"):
        table = PADS[path](day, unit)
        values = _around(band.low for band in table)
        found = page.evaluate(FOUND, [unit, [str(value) for value in values]])
        assert found == [look_up(table, value).code for value in values], unit


@pytest.mark.parametrize("path", ASKING)
def test_the_script_and_the_rules_ask_the_same_at_every_edge(page: Page, day: Assessment, path: str) -> None:
    page.goto(path)
    of = ASKING[path](day)
    for scale, unit in SCALES:
        is_dual = scale == "dual"
        values = _around(band.low for band in of.table(unit, is_dual=is_dual, at=day.as_of))
        found = page.evaluate(ASKED, [unit, scale, [str(value) for value in values]])
        asked = [of.about(Temperature(value, unit), is_dual=is_dual, at=day.as_of) for value in values]
        assert found == [" ".join(question.code for question in questions) for questions in asked], (scale, unit)


def _around(edges: Iterable[Decimal]) -> list[Decimal]:
    """Give every edge with what is a tenth and a hundredth beside it, in the range of readings."""
    lowest, *more = edges
    beside = [edge + step for edge in (lowest, *more) for step in (-TENTH, -TENTH / 10, Decimal(0), TENTH / 10, TENTH)]
    return sorted(value for value in beside if value >= lowest)


def test_what_is_unlikely_is_asked_before_the_server_answers(page: Page, day: Assessment) -> None:
    page.route("**/trays/A-T1/check", lambda route: route.abort() if _is_post(route) else route.continue_())
    page.goto("/trays/A-T1/check")
    now = page.locator(".meaning-now")
    page.check("[name=probe][value=blue]")
    page.check("[name=unit][value=F]")
    page.fill("#temperature", "74")
    expect(now).to_contain_text("74 °F, or 74 °C? Look at the display.")
    page.check("[name=probe][value=white]")  # it shows °F only
    expect(now).to_contain_text("74 °F: under 135 °F.")
    expect(now).not_to_contain_text("or 74 °C")
    page.fill("#temperature", "212")
    expect(now).to_contain_text("212 °F: over 210 °F is unlikely.")


def test_a_number_that_is_left_is_saved_by_nobody(page: Page, day: Assessment, database: Database) -> None:
    page.goto("/trays/A-T1/check")
    page.check("[name=probe][value=blue]")
    page.locator("#temperature").press_sequentially("150")
    expect(page.locator("[data-meaning] .says")).to_contain_text("150 °F: at or above 135 °F.")
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        page.locator("#temperature").blur()
    with database.reading() as session:
        after = ledger.assess_day(session, "S1", cast.DAY, as_of=cast.moment("12:00"))
    assert after.through_seq == day.through_seq
    expect(page.get_by_role("button", name="Save")).to_be_visible()


def _is_post(route: Route) -> bool:
    return route.request.method == "POST"


def test_what_is_typed_is_said_before_the_server_answers(page: Page, day: Assessment) -> None:
    page.route("**/trays/A-T1/check", lambda route: route.abort() if _is_post(route) else route.continue_())
    page.goto("/trays/A-T1/check")
    page.check("[name=probe][value=blue]")
    page.fill("#temperature", "134.9")
    expect(page.locator(".meaning-now")).to_contain_text("134.9 °F: under 135 °F.")
    page.fill("#temperature", "135")
    expect(page.locator(".meaning-now")).to_contain_text("135 °F: at or above 135 °F.")


def test_a_probe_check_saved_before_its_meaning_is_there_is_saved_all_the_same(page: Page, day: Assessment) -> None:
    """No table says what it means: the server is asked first, while the button says that it is saving."""
    page.goto("/probes/blue/check")
    page.locator("#temperature").press_sequentially("32")
    page.locator(".save").press("Enter")
    expect(page.locator("main > .message")).to_contain_text("Saved: probe blue, ice point.")
