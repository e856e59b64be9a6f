"""A tray on the tablet: checked, moved, emptied; birds out by the ways that the plan allows, and by others."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import assessed, keep, pulled

SetClock = Callable[[datetime | str], None]
READING = {"probe": "blue", "unit": "F"}


@pytest.fixture
def kept(database: Database) -> None:
    """One spit probed from 10:31 and pulled into tray A-T1 at 10:36."""
    keep(database, *pulled())


pytestmark = pytest.mark.usefixtures("kept")


def out(browser: Browser, to: str, **typed: str) -> Page:
    """Write down that birds of tray A-T1 went out."""
    return browser.get(f"/trays/A-T1/out/{to}").send(**typed)


@pytest.mark.parametrize(
    ("temperature", "says"), [("135", "135 °F: at or above 135 °F."), ("134.9", "134.9 °F: under 135 °F.")]
)
def test_a_check_says_what_the_number_means_and_is_saved(
    cook: Browser, database: Database, temperature: str, says: str
) -> None:
    # FDA Food Code 2022, 3-501.16(A)(1): 135 °F (57 °C) or above.
    page = cook.get("/trays/A-T1/check").send(temperature=temperature, **READING)
    assert says in page.words
    page.send()
    assert str(assessed(database).trays[0].history[-1].reading.value) == temperature


def test_a_low_check_leads_to_its_corrective_action(cook: Browser) -> None:
    page = cook.get("/trays/A-T1/check").send(temperature="131", **READING).send()
    assert page.asks_about("hold.temperature")
    assert "131 °F at 12:00; the limit is 135 °F." in page.words


def test_a_good_check_says_when_the_next_is_due(cook: Browser) -> None:
    page = cook.get("/trays/A-T1/check").send(temperature="150", **READING)
    assert "Next check at 13:30." in page.words  # 90 min later, a house interval
    assert page.send().path == "/"


def test_a_tray_is_emptied_in_one_tap(tablet: Browser, database: Database) -> None:
    page = tablet.get("/trays/A-T1").send("/emptied")
    assert "Tray T1: all served, nothing left." in page.words
    assert assessed(database).trays[0].birds_left == 0


def test_all_served_is_undone_for_ten_seconds(tablet: Browser, database: Database, set_clock: SetClock) -> None:
    page = tablet.get("/trays/A-T1").send("/emptied")
    set_clock("12:00:10")
    undone = page.send("/undo")
    assert "Undone. The entry stays to be read, withdrawn." in undone.words
    assert assessed(database, "12:01").trays[0].birds_left == 5
    assert page.send("/undo").status == 200  # a second tap withdraws nothing twice
    withdrawal = assessed(database, "12:01").trays[0].history
    assert [entry.kind for entry in withdrawal].count("tray_out") == 0
    assert "Undone on the screen within ten seconds of saving" in tablet.get("/entries").words


def test_later_its_withdrawal_asks_for_the_reason(tablet: Browser, database: Database, set_clock: SetClock) -> None:
    page = tablet.get("/trays/A-T1").send("/emptied")
    set_clock("12:00:16")
    asked = page.send("/undo")
    assert "The ten seconds for undoing are over. Withdraw it here, and say why." in asked.words
    assert assessed(database, "12:01").trays[0].birds_left == 0
    asked.send(amend_reason="Three are still here.")
    assert assessed(database, "12:01").trays[0].birds_left == 5


def test_what_another_kitchen_wrote_is_not_undone(browser: Browser, database: Database) -> None:
    (entry,) = keep(database, cast.draft("tray_out", at="11:59", birds="5"))
    form = browser.sign_in("other-cook").get("/loads/new").form()
    assert browser.send(f"/entries/{entry}/undo", form.with_typed({})).status == 404


def test_a_second_tap_empties_nothing_twice(tablet: Browser, database: Database, set_clock: SetClock) -> None:
    tray = tablet.get("/trays/A-T1")
    tray.send("/emptied")
    set_clock("12:00:02")
    assert tray.send("/emptied").status == 200
    assert assessed(database).birds.served == 5


def test_somebody_else_may_have_been_quicker(tablet: Browser, database: Database) -> None:
    tray = tablet.get("/trays/A-T1")
    out(tablet, "served", birds="3")
    page = tray.send("/emptied")
    assert page.path == "/trays/A-T1"
    assert "Only 2 left here." in page.words
    assert assessed(database).trays[0].birds_left == 2


def test_a_tray_that_is_not_there_any_more_is_told_on_the_first_page(tablet: Browser) -> None:
    form = tablet.get("/trays/A-T1").form("/emptied")
    page = tablet.send("/trays/A-T9/emptied", form.with_typed({}))
    assert (page.status, "What needs doing now" in page.words) == (200, True)
    assert "There is no tray of that name yet at that time." in page.words


def test_a_tray_moves(tablet: Browser, database: Database) -> None:
    page = tablet.get("/trays/A-T1/move").send(hot_unit="cabinet")
    assert "Tray T1 is in cabinet now." in page.words
    assert assessed(database).trays[0].hot_unit == "cabinet"


@pytest.mark.parametrize(
    ("to", "typed", "left"),
    [
        ("served", {"birds": "1"}, "4"),
        ("served", {"birds": "½"}, "4.5"),
        ("prepared", {"birds": "2¼"}, "2.75"),
        ("donated", {"birds": "1,5"}, "3.5"),
        ("discarded", {"birds": "5", "reason": "dropped"}, "0"),
        ("chilled", {"cold_unit": "walk-in", "method": "cut_up"}, "0"),
        ("chilled", {"cold_unit": "blast", "temperature": "150", **READING}, "0"),
        ("reheated", {"birds": "1"}, "4"),
        ("other_tray", {"birds": "2", "into": "A-T2"}, "3"),
    ],
)
def test_birds_go_out(tablet: Browser, database: Database, to: str, typed: dict[str, str], left: str) -> None:
    page = out(tablet, to, **typed)
    assert page.path == "/", page.words
    assert str(assessed(database).trays[0].birds_left) == left


def test_prepared_and_kept_cold_becomes_a_batch(tablet: Browser, database: Database) -> None:
    page = out(tablet, "prepared", birds="2", kept="cold", product="salad", cold_unit="walk-in")
    assert page.path == "/", page.words
    batch = assessed(database).batches[0]
    assert (batch.product, batch.cold_unit, str(batch.birds_left)) == ("salad", "walk-in", "2")


def test_prepared_and_used_at_once_is_gone(tablet: Browser, database: Database) -> None:
    out(tablet, "prepared", birds="2", kept="at_once", product="soup")
    assert (assessed(database).batches, assessed(database).birds.prepared) == ((), 2)


def test_chilled_birds_become_a_batch(tablet: Browser, database: Database) -> None:
    out(tablet, "chilled", cold_unit="walk-in", method="shallow_pan", temperature="150", **READING)
    (batch,) = assessed(database).batches
    assert (batch.batch, batch.cold_unit, str(batch.birds_left)) == ("A-B1", "walk-in", "5")


def test_two_trays_become_one(tablet: Browser, database: Database) -> None:
    keep(database, cast.draft("spit_loaded", at="09:03", spit=2), by="cook")
    tablet.get("/loads/A-L1/spits/2/pull").send(tray="A-T1")
    assert assessed(database).trays[0].birds_left == 10


def test_birds_go_back_to_an_unused_spit_of_a_load_that_cooks(tablet: Browser, database: Database) -> None:
    keep(
        database,
        cast.draft("load_started", at="11:00", load="A-L2", oven="west"),
        cast.draft("spit_loaded", at="11:02", load="A-L2"),
    )
    page = out(tablet, "returned_to_oven", birds="2", spit="7")
    assert page.path == "/", page.words
    assert [spit.spit for spit in assessed(database).loads[1].spits] == [1, 7]


def test_birds_that_go_back_are_offered_the_free_spits_of_the_ovens_in_use(tablet: Browser, database: Database) -> None:
    loads = [("A-L2", "west", "09:01"), ("A-L3", "west", "11:00")]
    keep(database, *(cast.draft("load_started", at=at, load=load, oven=oven) for load, oven, at in loads))
    spits = [("A-L2", 4), ("A-L3", 1), ("A-L3", 3)]
    keep(database, *(cast.draft("spit_loaded", at="11:02", load=load, spit=spit) for load, spit in spits))
    keep(database, cast.draft("spit_pulled", at="11:30", load="A-L2", spit=4, birds=5, tray="A-T8"))
    page = tablet.get("/trays/A-T1/out/returned_to_oven")
    assert "spit 2 of load L3, west oven spit 4 of load L3, west oven Another spit" in page.words
    page.send(birds="2", free_spit="A-L3/4")
    assert [spit.spit for spit in assessed(database).loads[2].spits] == [1, 3, 4]


@pytest.mark.parametrize(
    ("to", "typed", "says"),
    [
        ("served", {"birds": "6"}, "Only 5 left here."),
        ("served", {"birds": "0"}, "Birds: from"),
        ("served", {"birds": "0.3"}, "Birds: from"),
        ("served", {"birds": "some"}, "write it like this: a number"),
        ("served", {"birds": ""}, "Birds: this is needed."),
        ("discarded", {"reason": "tired"}, "choose one of"),
        ("chilled", {"batch_of": ""}, "Batch: this is needed."),
        ("chilled", {"batch": "no spaces"}, "letters, digits"),
        ("other_tray", {"birds": "1"}, "Into tray: this is needed."),
        ("other_tray", {"into": "A-T1"}, "A tray cannot be moved into itself."),
        ("returned_to_oven", {}, "this is needed"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    tablet: Browser, database: Database, to: str, typed: dict[str, str], says: str
) -> None:
    page = tablet.get(f"/trays/A-T1/out/{to}")
    page.form().names |= set(typed)
    page = page.send(**typed)
    assert page.status == 422
    assert says in page.words
    assert assessed(database).trays[0].birds_left == 5


def test_only_what_the_plan_allows_is_offered_plainly(cook: Browser, database: Database, set_clock: SetClock) -> None:
    # Out of temperature for 2 h and over: discard or hold for evaluation (house, after the USDA model procedures).
    keep(database, cast.draft("hold_reading", at="11:00", temperature="120"))
    set_clock("12:40")
    page = cook.get("/trays/A-T1")
    plain, _, rest = page.words.partition("Something else happened")
    assert "Throw away Check" in plain  # the one main button
    assert "Served" not in plain
    assert "All served" not in plain
    assert "Served" in rest


def test_what_happened_anyway_is_written_down_with_a_warning(
    cook: Browser, database: Database, set_clock: SetClock
) -> None:
    keep(database, cast.draft("hold_reading", at="11:00", temperature="120"))
    set_clock("12:40")
    page = cook.get("/trays/A-T1/out/served")
    assert "The plan does not allow this now." in page.words
    assert "Record what happened anyway" in page.words
    after = page.send(birds="1")
    assert after.asks_about("hold.disposition")


@pytest.mark.parametrize("path", ["/trays/A-T9", "/trays/A-T9/check", "/trays/A-T1/out/eaten", "/trays/<b>/out/served"])
def test_a_tray_or_way_that_is_not_there_is_said_to_be_so(cook: Browser, path: str) -> None:
    page = cook.get(path)
    assert page.status == 404
    assert "Nothing here has that name." in page.words
