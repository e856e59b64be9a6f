"""A spit pulled on the tablet: into trays, in part, thrown away, and what stayed behind in the birds."""

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, keep, loaded, pulled


def test_a_spit_is_pulled_into_a_new_tray(tablet: Browser, database: Database) -> None:
    keep(database, *pulled()[:-1])
    page = tablet.get("/loads/A-L1/spits/1/pull").send(hot_unit="pass")
    assert page.path == "/trays/A-T1"
    (tray,) = assessed(database).trays
    assert (tray.tray, str(tray.birds_left), tray.hot_unit) == ("A-T1", "5", "pass")


def test_half_a_spit_goes_into_each_of_two_trays(tablet: Browser, database: Database) -> None:
    keep(database, *pulled()[:-1])
    second = tablet.get("/loads/A-L1/spits/1/pull").send(birds="2", hot_unit="pass")
    assert (second.path, dict(second.form().fields)["birds"]) == ("/loads/A-L1/spits/1/pull", "3")
    assert "pulled in part. Still on the spit: 3 birds." in second.words
    assert second.send(tray_name="half-b").path == "/trays/half-b"
    assert [(tray.tray, int(tray.birds_left)) for tray in assessed(database).trays] == [("A-T1", 2), ("half-b", 3)]


def test_birds_that_stay_on_because_they_are_not_done_are_probed_next(tablet: Browser, database: Database) -> None:
    low = cast.draft("cook_reading", at="10:33", bird=3, temperature="150")
    keep(database, *pulled()[:-1], low, cast.draft("spit_pulled", at="10:36", birds=1, tray="A-T8"))
    page = tablet.get("/loads/A-L1/spits/1/pull").send(birds="1")  # that it is not done was found at the first one
    assert "pulled in part. Still on the spit: 3 birds." in page.words
    assert page.path == "/loads/A-L1/spits/1/probe"


def test_a_discarded_bird_does_not_go_into_the_tray(tablet: Browser, database: Database) -> None:
    keep(database, *pulled()[:-1])
    tablet.get("/loads/A-L1/spits/1/pull").send(birds="4", discarded_birds=["2"])
    assert assessed(database).trays[0].birds_left == 4
    assert assessed(database).birds.discarded == 1


def test_a_whole_spit_thrown_away_needs_no_tray(tablet: Browser, database: Database) -> None:
    keep(database, *pulled()[:-1])
    page = tablet.get("/loads/A-L1/spits/1/pull").send(birds="0", discarded_birds=["1", "2", "3", "4", "5"])
    assert page.status == 200
    assert assessed(database).trays == ()


def test_more_birds_than_there_are_cannot_come_off(tablet: Browser, database: Database) -> None:
    keep(database, *pulled()[:-1])
    page = tablet.get("/loads/A-L1/spits/1/pull").send(birds="6")
    assert page.status == 422
    assert "Only 5 left here." in page.words


def test_what_comes_off_too_soon_is_written_down_and_leads_to_its_corrective_action(
    tablet: Browser, database: Database
) -> None:
    keep(database, *loaded())
    tablet.get("/loads/A-L1/spits/1/probe").send(temperature="156", probe="blue", unit="F").send()
    pull = tablet.get("/loads/A-L1/spits/1/pull")
    assert "A probed bird is under 165 °F / 74 °C." in pull.words
    page = pull.send()
    assert page.asks_about("cook.core_temperature")
    assert "continue cooking" in page.words


def test_ties_that_stay_behind_are_looked_for(tablet: Browser, database: Database) -> None:
    drafts = [{**draft, "ties": 5} if draft["kind"] == "spit_loaded" else draft for draft in pulled()[:-1]]
    keep(database, *drafts)
    pull = tablet.get("/loads/A-L1/spits/1/pull")
    assert "5 went on: count them" in pull.words
    assert "search for the foreign body" in pull.send(ties_removed="4").words


def test_birds_probed_after_a_part_was_pulled_are_drawn_and_counted(cook: Browser, database: Database) -> None:
    keep(
        database,
        *loaded(),
        *(cast.draft("cook_reading", at="11:40", bird=bird) for bird in (1, 2)),
        cast.draft("spit_pulled", at="11:45", birds=2),
    )
    pad = "/loads/A-L1/spits/1/probe"
    typed = {"bird": "4", "place": "breast", "temperature": "171", "unit": "F", "probe": "blue"}
    page = cook.get(pad).send(**typed)
    assert "Spit 1 then: 3 of 2 birds probed." in page.words
    page.send()
    assert "bird 4: 171" in cook.get(pad).words
    (spit, *_others) = assessed(database).loads[0].spits
    assert (spit.probed_by_now, spit.birds_probed) == (3, 2)


def test_after_the_corrective_action_the_birds_that_stayed_on_are_probed(tablet: Browser, database: Database) -> None:
    low = cast.draft("cook_reading", at="10:33", bird=3, temperature="150")
    keep(database, *pulled()[:-1], low)
    asked = tablet.get("/loads/A-L1/spits/1/pull").send(birds="1")
    typed = {"cause": "In haste.", "action": "Kept apart.", "disposition": "discard", "prevention": "Wait."}
    page = asked.send(**typed)
    assert "The corrective action is recorded." in page.words
    assert page.path == "/loads/A-L1/spits/1/probe"


def test_a_spit_pulled_in_part_says_how_many_birds_are_still_on(cook: Browser, database: Database) -> None:
    keep(database, *pulled()[:-1], cast.draft("spit_pulled", at="10:36", birds=2))
    for path in ("/", "/loads/A-L1", "/loads/A-L1/spits/1/probe"):
        assert "3 birds still on" in cook.get(path).words


def test_the_second_half_says_how_many_ties_came_off_with_the_first(tablet: Browser, database: Database) -> None:
    on = cast.draft("spit_loaded", at="09:04", birds=1, ties=5, skewers=2)
    keep(database, *pulled()[:-1], on)
    page = tablet.get("/loads/A-L1/spits/1/pull")
    assert "5 went on: count them" in page.words
    second = page.send(birds="2", ties_removed="3", skewers_removed="0")
    assert "5 went on, 3 came off before: count them" in second.words
    assert "2 went on: count them" in second.words


def test_birds_of_an_oven_that_stood_still_too_long_are_set_aside_as_is_said_before(
    cook: Browser, database: Database
) -> None:
    keep(database, *pulled()[:-1], cast.draft("equipment_out", at="11:20", code="east"))
    why = "The oven was out of use for 40 min during this cook; the plan allows 30 min."
    home = cook.get("/").words
    assert why in home
    assert "set aside when pulled" in home
    page = cook.get("/loads/A-L1/spits/1/pull")
    assert "if pulled now: met" in page.words
    assert f"{why} Birds that come off now are set aside." in page.words


def test_a_rejected_lot_is_set_aside_as_is_said_before_it_is_pulled(cook: Browser, database: Database) -> None:
    rejected = cast.draft("receiving", at="06:40", lot="bad", decision="rejected", reason="warm")
    more = cast.draft("spit_loaded", at="09:05", spit=2, lot="bad")
    keep(database, rejected, *pulled()[:-1], more)
    assert "Birds that come off now are set aside." in cook.get("/loads/A-L1/spits/2/pull").words
    assert "set aside" not in cook.get("/loads/A-L1/spits/1/pull").words
