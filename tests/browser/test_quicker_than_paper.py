"""Saving without leaving the pad: taps, page loads and scrolls are counted, and nothing typed is lost.

docs/quicker-than-paper.md tells the counts. Digits are not counted: they are written on paper too.
"""

from playwright.sync_api import expect

from app.db import Database
from tests.support import cast
from tests.support.drafts import assessed, finding, keep, low_reading, pulled
from tests.support.hand import Hand

SPITS = 6


def six_spits(database: Database) -> None:
    """A load with six spits that nobody has probed."""
    keep(
        database,
        cast.draft("load_started", at="09:00"),
        *(cast.draft("spit_loaded", at="09:02", spit=spit) for spit in range(1, SPITS + 1)),
    )


def test_two_readings_on_each_of_six_spits(hand: Hand, database: Database) -> None:
    six_spits(database)
    hand.page.goto("/")
    hand.tap("a[href='/loads/A-L1/spits/1/probe']")
    expect(hand.page.get_by_role("heading", name="Spit 1")).to_be_visible()
    hand.page.wait_for_load_state("load")
    hand.loads = 0
    hand.tap("label:has([name=probe][value=blue])")
    for number in range(2 * SPITS):
        hand.type(f"{166 + number}")
        hand.tap(".save")
        expect(hand.page.locator("main > .message")).to_contain_text(f"{166 + number} °F")
    (load,) = assessed(database).loads
    assert [spit.birds_probed for spit in load.spits] == [2] * SPITS
    assert hand.taps <= 24, hand.taps
    assert (hand.loads, hand.scrolled) == (0, 0)


def test_a_tray_is_checked(hand: Hand, database: Database) -> None:
    keep(database, *pulled())
    hand.page.goto("/")
    hand.tap("a[href='/trays/A-T1/check']")
    expect(hand.page.get_by_role("heading", name="Check tray T1")).to_be_visible()
    hand.tap("label:has([name=probe][value=blue])")
    hand.type("150")
    hand.tap(".save")
    expect(hand.page.locator("main > .message")).to_contain_text("150 °F")
    assert hand.taps <= 4


def test_save_stays_where_it_is(hand: Hand, database: Database) -> None:
    six_spits(database)
    hand.page.goto("/loads/A-L1/spits/1/probe")
    hand.tap("label:has([name=probe][value=blue])")
    places = []
    for reading in ("150", "171", "212", "212"):
        places.append(hand.page.locator(".save").bounding_box())
        hand.type(reading)
        expect(hand.page.locator("[data-now], .meaning").first).not_to_be_empty()
        places.append(hand.page.locator(".save").bounding_box())
        expect(hand.page.locator(".save")).to_have_text("Yes, 212 °F: save" if reading == "212" else "Save")
        places.append(hand.page.locator(".save").bounding_box())
        hand.tap(".save")
        expect(hand.page.locator("main > .message")).to_contain_text(f"{reading} °F")
    assert all(place == places[0] for place in places)


def test_what_is_unlikely_is_one_tap_more_in_sight_of_what_it_asks(hand: Hand, database: Database) -> None:
    six_spits(database)
    hand.page.goto("/loads/A-L1/spits/1/probe")
    hand.tap("label:has([name=probe][value=blue])")
    hand.type("212")
    expect(hand.page.locator(".save")).to_have_text("Yes, 212 °F: save")
    hand.tap(".save")
    expect(hand.page.locator("main > .message")).to_contain_text("212 °F")
    (reading,) = assessed(database).loads[0].spits[0].readings
    assert reading.confirmed is True


def test_a_number_is_kept_and_sent_again_while_the_server_is_gone(hand: Hand, database: Database) -> None:
    six_spits(database)
    hand.page.goto("/loads/A-L1/spits/1/probe")
    hand.tap("label:has([name=probe][value=blue])")
    hand.type("171")
    hand.page.context.set_offline(True)
    hand.tap(".save")
    expect(hand.page.locator("[data-saving]")).to_have_text("Not saved. Trying again.")
    assert hand.page.locator("#temperature").input_value() == "171"
    hand.page.context.set_offline(False)
    expect(hand.page.locator("main > .message")).to_contain_text("171 °F")
    assert len(assessed(database).loads[0].spits[0].readings) == 1


def test_a_double_tap_saves_once(hand: Hand, database: Database) -> None:
    six_spits(database)
    hand.page.goto("/loads/A-L1/spits/1/probe")
    hand.tap("label:has([name=probe][value=blue])")
    hand.type("171")
    hand.page.locator(".save").dblclick()
    expect(hand.page.locator("main > .message")).to_contain_text("171 °F")
    assert len(assessed(database).loads[0].spits[0].readings) == 1


def test_leaving_with_a_number_typed_asks(hand: Hand, database: Database) -> None:
    six_spits(database)
    hand.page.goto("/loads/A-L1/spits/1/probe")
    hand.type("171")
    asked = []
    hand.page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    hand.page.get_by_role("link", name="Checks").click()
    expect(hand.page.locator("#temperature")).to_have_value("171")
    assert asked == ["beforeunload"]


def test_pull_takes_the_number_that_is_typed(hand: Hand, database: Database) -> None:
    six_spits(database)
    hand.page.goto("/loads/A-L1/spits/1/probe")
    hand.tap("label:has([name=probe][value=blue])")
    hand.type("171")
    hand.tap("[name=then]")
    expect(hand.page.get_by_role("heading", name="Pull spit 1")).to_be_visible()
    assert len(assessed(database).loads[0].spits[0].readings) == 1


def test_a_corrective_action_without_typing(hand: Hand, database: Database) -> None:
    keep(database, *low_reading()[:-1])
    key = finding(database, "hold.temperature")
    hand.page.goto(f"/findings/act?finding={key}")
    hand.page.wait_for_load_state("load")
    hand.loads = 0
    hand.tap("label:has([name=disposition][value=reheat])")
    for part in ("cause", "action", "prevention"):
        hand.tap(f"label:has([name={part}_phrase])")
    assert hand.page.locator("#cause").input_value() == "The door of the unit stood open."
    assert hand.scrolled == 0
    hand.tap(".save")
    expect(hand.page.locator("main > .message").first).to_contain_text("The corrective action is recorded.")
    assert assessed(database).answers[key].actions[0].prevention == "Heat the unit before the first tray."
    hand.page.wait_for_load_state("load")
    assert (hand.taps, hand.loads) == (5, 1)


def test_others_are_ticked_without_losing_what_was_typed(hand: Hand, database: Database) -> None:
    load = cast.draft("load_started", at="09:00", checks={"water": False, "grease": True})
    keep(database, load, cast.draft("spit_loaded", at="09:02", lot="unknown"))
    key = finding(database, "start.checks")
    hand.page.goto(f"/findings/act?finding={key}")
    hand.page.wait_for_load_state("load")
    hand.loads = 0
    hand.page.locator("#cause").type("The tap was broken.")
    hand.page.locator("label:has([name=also])").click()
    hand.page.locator("label:has([name=action_phrase])").first.click()
    expect(hand.page.locator("#cause")).to_have_value("The tap was broken.")
    expect(hand.page.locator("[name=also]:checked")).to_have_count(1)
    assert hand.loads == 0


def test_a_phrase_goes_after_what_was_typed_and_gives_way_to_it(hand: Hand, database: Database) -> None:
    keep(database, *low_reading()[:-1])
    hand.page.goto(f"/findings/act?finding={finding(database, 'hold.temperature')}")
    cause = hand.page.locator("#cause")
    cause.type("Shelf 2.")
    hand.tap("label:has([name=cause_phrase])")
    expect(cause).to_have_value("Shelf 2. The door of the unit stood open.")
    hand.tap("label:has([name=cause_phrase]):nth-of-type(2)")
    expect(cause).to_have_value("Shelf 2. The unit was too cool.")
    cause.fill("A fuse blew.")
    expect(hand.page.locator("[name=cause_phrase]:checked")).to_have_count(0)


def test_all_served_is_undone_while_it_is_offered(hand: Hand, database: Database) -> None:
    keep(database, *pulled())
    hand.page.clock.install()
    hand.page.goto("/trays/A-T1")
    hand.tap("button:has-text('All served')")
    hand.tap("button:has-text('Undo')")
    expect(hand.page.locator("main > .message")).to_contain_text("Undone.")
    assert assessed(database).trays[0].birds_left == 5
    hand.page.goto("/trays/A-T1")
    hand.tap("button:has-text('All served')")
    expect(hand.page.get_by_role("button", name="Undo")).to_be_visible()
    hand.page.clock.run_for(10_000)
    expect(hand.page.get_by_role("button", name="Undo")).to_have_count(0)


def load_before(database: Database) -> None:
    """The east oven was loaded with six spits, and all of them were pulled."""
    six_spits(database)
    pulls = [cast.draft("spit_pulled", at="10:30", spit=spit, birds=5, tray="A-T1") for spit in range(1, SPITS + 1)]
    keep(database, *pulls)


def test_a_load_as_last_time(hand: Hand, database: Database) -> None:
    load_before(database)
    hand.page.goto("/")
    hand.tap("a[href='/loads/new']")
    expect(hand.page.locator("[data-checks] :checked")).to_have_count(0)
    hand.tap("label:has([data-all-right])")
    expect(hand.page.locator("[data-checks] [value=yes]:checked")).to_have_count(4)
    assert hand.scrolled == 0
    hand.tap(".save")
    expect(hand.page.locator("main > .message").first).to_contain_text("Load L2 is started.")
    load = assessed(database).loads[-1]
    assert (load.oven, [spit.birds for spit in load.spits]) == ("east", [5] * SPITS)
    assert load.opener.checks == {"water": True, "grease": True, "birds": True, "spits": True}
    assert hand.taps <= 4


def test_a_check_answered_no_stays_no_and_asks_what_was_done(hand: Hand, database: Database) -> None:
    load_before(database)
    hand.page.goto("/loads/new")
    hand.tap("label:has([name=checks-1-answer][value=no])")
    hand.tap("label:has([data-all-right])")
    hand.tap(".save")
    expect(hand.page.get_by_role("heading", name="Corrective action")).to_be_visible()
    assert assessed(database).loads[-1].opener.checks["grease"] is False
    expect(hand.page.locator("main > .message").first).to_contain_text("Load L2 is started.")


def test_all_right_taken_back_takes_back_what_it_said_alone(hand: Hand, database: Database) -> None:
    load_before(database)
    hand.page.goto("/loads/new")
    hand.tap("label:has([name=checks-0-answer][value=yes])")
    for _tap in range(2):
        hand.tap("label:has([data-all-right])")
    expect(hand.page.locator("[data-checks] fieldset :checked")).to_have_count(1)


def test_a_reading_is_corrected_on_the_same_pad(hand: Hand, database: Database) -> None:
    keep(database, *pulled(), cast.draft("hold_reading", at="11:15", temperature="105"))
    hand.page.goto("/entries")
    hand.page.get_by_role("row", name="105 °F").get_by_role("link", name="Correct").click()
    expect(hand.page.locator("#temperature")).to_have_value("105")
    hand.type("150")  # over what stood there
    expect(hand.page.locator(".meaning-now")).to_contain_text("150 °F: at or above 135 °F")
    hand.tap("label:has([name=reason_phrase][value='Typed wrong.'])")
    assert hand.scrolled == 0
    hand.tap(".save")
    expect(hand.page.locator("main > .message")).to_contain_text("Corrected.")
    reading = assessed(database).trays[0].held[-1].entry
    assert (str(reading.reading.value), reading.amend_reason) == ("150", "Typed wrong.")
    assert hand.taps == 2
