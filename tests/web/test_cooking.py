"""A load on the tablet: started, probed, pulled; what a number means is said before it is saved."""

from collections.abc import Callable, Mapping
from datetime import datetime

import pytest

from app import register
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import assessed, keep, loaded, pulled

SetClock = Callable[[datetime | str], None]
READING = {"probe": "blue", "unit": "F"}
CHECKS = {f"checks-{number}-answer": "yes" for number in range(4)}
SPITS = {"spits-0-birds": "5", "spits-0-lot": "0412-7", "spits-0-ties": "5", "spits-2-birds": "6"}


def probe(browser: Browser, temperature: str, **typed: str) -> Page:
    """Type a reading of spit 1 and look at what it means."""
    return browser.get("/loads/A-L1/spits/1/probe").send(temperature=temperature, **{**READING, **typed})


def test_a_load_and_its_spits_are_kept_together(tablet: Browser, database: Database) -> None:
    page = tablet.get("/loads/new").send(oven="east", **CHECKS, **SPITS)
    assert "Load L1 is started." in page.words
    (load,) = assessed(database).loads
    assert [(spit.spit, spit.birds, spit.lots) for spit in load.spits] == [(1, 5, ("0412-7",)), (3, 6, ())]
    assert load.opener.checks == {"water": True, "grease": True, "birds": True, "spits": True}


def test_the_start_says_why_and_what_to_be_careful_of(tablet: Browser) -> None:
    words = tablet.get("/loads/new").words
    assert "Hot grease that overflows can catch fire." in words
    assert "use a class K extinguisher, never water" in words
    assert "Hot spits, drippings, doors and steam burn; gas and hot grease can catch fire." in words


def test_the_next_load_is_filled_in_as_the_last_one_but_its_checks(tablet: Browser) -> None:
    tablet.get("/loads/new").send(oven="west", **CHECKS, **SPITS)
    page = tablet.get("/loads/new")
    assert "west" not in page.words.partition("Oven")[2]  # birds are in it
    fields = dict(page.form().fields)
    assert {name: fields[name] for name in ("load", "oven", "spits-0-birds", "spits-0-lot", "spits-2-birds")} == {
        "load": "A-L2",
        "oven": "east",
        "spits-0-birds": "5",
        "spits-0-lot": "0412-7",
        "spits-2-birds": "6",
    }
    assert not set(CHECKS) & set(fields)


def test_each_oven_is_filled_in_as_it_was_loaded_last(tablet: Browser, database: Database) -> None:
    east = [cast.draft("load_started", at="08:00"), cast.draft("spit_loaded", at="08:01", birds=4, lot="a", ties=4)]
    more = cast.draft("spit_loaded", at="08:02", birds=2, lot="b", ties=2, skewers=1)
    west = cast.draft("load_started", at="08:10", load="A-L2", oven="west")
    spits = [cast.draft("spit_loaded", at="08:11", load="A-L2", spit=spit, birds=7) for spit in (1, 2, 3, 4, 5, 6)]
    away = [
        cast.draft("spit_pulled", at="09:00", load=one["load"], spit=one["spit"], birds=one["birds"], tray="A-T9")
        for one in [{**east[1], "birds": 6}, *spits]
    ]
    keep(database, *east, more, west, *spits, *away)
    page = tablet.get("/loads/new")
    fields = dict(page.form().fields)
    assert (fields["oven"], fields["spits-5-birds"]) == ("west", "7")
    fields = dict(page.follow("east").form().fields)
    assert (fields["oven"], fields["spits-0-birds"], fields["spits-0-ties"], fields["spits-0-skewers"]) == (
        *("east", "6", "6", "1"),
    )
    assert (fields["spits-0-lot"], "spits-1-birds" in fields) == ("", False)  # two lots were on it: which is it now?


def test_where_no_oven_is_free_none_is_offered(tablet: Browser, database: Database) -> None:
    for load, oven in (("A-L1", "east"), ("A-L2", "west")):
        start = cast.draft("load_started", at="09:00", load=load, oven=oven)
        keep(database, start, cast.draft("spit_loaded", at="09:02", load=load))
    assert "Every oven has birds in it. Pull them first." in tablet.get("/loads/new").words


def test_yesterdays_load_fills_in_the_first_of_today(tablet: Browser, set_clock: SetClock) -> None:
    tablet.get("/loads/new").send(oven="west", **CHECKS, **SPITS)
    set_clock(cast.moment("12:00") + cast.minutes(3 * 24 * 60))
    tablet.choose("cook")
    assert dict(tablet.get("/loads/new").form().fields)["spits-0-lot"] == "0412-7"


def test_a_check_left_open_is_kept_open(tablet: Browser, database: Database) -> None:
    tablet.get("/loads/new").send(oven="east", **{"checks-0-answer": "no", "checks-1-answer": "none"}, **SPITS)
    (load,) = assessed(database).loads
    assert load.opener.checks == {"water": False, "grease": None}


def test_one_tap_says_that_all_is_right_but_what_was_answered_otherwise(tablet: Browser, database: Database) -> None:
    page = tablet.get("/loads/new").send(oven="east", all_right="y", **{"checks-2-answer": "none"}, **SPITS)
    (load,) = assessed(database).loads
    assert load.opener.checks == {"water": True, "grease": True, "birds": None, "spits": True}
    assert page.path == "/"


def test_a_check_answered_no_asks_at_once_what_was_done(tablet: Browser, database: Database) -> None:
    page = tablet.get("/loads/new").send(oven="east", all_right="y", **{"checks-1-answer": "no"}, **SPITS)
    assert page.path.startswith("/findings/act?finding=start.checks")
    assert assessed(database).loads[0].opener.checks["grease"] is False
    assert "Put right before the oven was started." in page.words


def test_one_spit_more_keeps_what_was_typed_and_saves_nothing(tablet: Browser, database: Database) -> None:
    page = tablet.get("/loads/new").send(more="1", oven="east", **SPITS)
    fields = dict(page.form().fields)
    assert (page.status, fields["spits-2-birds"], fields["spits-4-birds"]) == (200, "6", "")
    assert assessed(database).loads == ()
    page.send(all_right="y", **{"spits-4-birds": "3"})
    assert [spit.spit for spit in assessed(database).loads[0].spits] == [1, 3, 5]


def test_all_spits_of_the_oven_are_there_though_fewer_were_used_last(tablet: Browser, database: Database) -> None:
    first = [cast.draft("load_started", at="08:00")]
    first += [cast.draft("spit_loaded", at="08:01", spit=spit) for spit in range(1, 8)]
    first += [cast.draft("spit_pulled", at="09:00", spit=spit) for spit in range(1, 8)]
    then = [cast.draft(kind, at="09:30", load="A-L2") for kind in ("load_started", "spit_loaded")]
    keep(database, *first, *then, cast.draft("spit_pulled", at="10:30", load="A-L2"))
    fields = dict(tablet.get("/loads/new").form().fields)
    assert (fields["spits-0-birds"], fields["spits-6-birds"], "spits-7-birds" in fields) == ("5", "", False)


def test_one_bad_spit_keeps_nothing_and_loses_nothing(tablet: Browser, database: Database) -> None:
    page = tablet.get("/loads/new").send(oven="east", **CHECKS, **SPITS | {"spits-2-birds": "six"})
    assert page.status == 422
    assert "Nothing was saved yet" in page.words
    assert page.html.count("spits-2-birds") >= 2
    fields = dict(page.form().fields)
    assert (fields["spits-2-birds"], fields["spits-0-lot"], fields["checks-3-answer"]) == ("six", "0412-7", "yes")
    assert assessed(database).loads == ()


def test_a_name_is_used_once_for_ever(tablet: Browser) -> None:
    tablet.get("/loads/new").send(oven="east", **CHECKS, **SPITS)
    page = tablet.get("/loads/new").send(oven="east", load="A-L1", **CHECKS)
    assert page.status == 422
    assert "This name is taken." in page.words


def test_a_second_tap_makes_one_load(tablet: Browser, database: Database, set_clock: SetClock) -> None:
    form = tablet.get("/loads/new")
    form.send(oven="east", **CHECKS, **SPITS)
    set_clock("12:00:03")
    assert form.send(oven="east", **CHECKS, **SPITS).status == 200
    (load,) = assessed(database, "12:05").loads
    assert len(load.spits) == 2


def test_another_spit_is_loaded_later(tablet: Browser, database: Database) -> None:
    keep(database, *loaded(spits=1))
    page = tablet.get("/loads/A-L1/spits/new").send(birds="4", lot="0412-8")
    assert "Spit 2 is loaded." in page.words
    assert [spit.birds for spit in assessed(database).loads[0].spits] == [5, 4]


@pytest.mark.parametrize(
    ("temperature", "says"),
    [
        ("165", "165 °F: at or above 165 °F."),
        ("164.9", "164.9 °F: under 165 °F. Keep it cooking"),
        ("164,9", "164.9 °F: under 165 °F."),
    ],
)
def test_what_a_number_means_is_said_before_it_is_saved(
    cook: Browser, database: Database, temperature: str, says: str
) -> None:
    # FDA Food Code 2022, 3-401.11(A)(3): 165 °F (74 °C); 164.9 °F is not 165 °F.
    keep(database, *loaded())
    page = probe(cook, temperature)
    assert page.status == 200
    assert says in page.words
    assert assessed(database).loads[0].spits[0].birds_probed == 0
    assert "Saved: bird 1" in page.send().words
    assert assessed(database).loads[0].spits[0].birds_probed == 1


def test_a_number_changed_after_its_meaning_is_asked_again(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    page = probe(cook, "170").send(temperature="120")
    assert "120 °F: under 165 °F." in page.words
    assert assessed(database).loads[0].spits[0].birds_probed == 0


def test_the_meaning_comes_as_a_part_of_the_page(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    form = cook.get("/loads/A-L1/spits/1/probe").form()
    sent = form.with_typed({"temperature": "150", **READING})
    answer = cook.client.post(form.action, data=sent, headers={"X-Fragment": "meaning"})
    assert "under 165" in answer.text
    assert "<html" not in answer.text


def test_a_very_low_reading_is_kept_like_any_other(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    probe(cook, "118").send()
    assert assessed(database).loads[0].spits[0].verdict == "pending"
    assert str(assessed(database).loads[0].spits[0].lowest.value) == "118"  # type: ignore[union-attr]  # it was read


def test_the_next_bird_is_up_at_once(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    after_first = probe(cook, "170").send()
    assert dict(after_first.form().fields)["bird"] == "2"
    after_low = after_first.send(temperature="150").send()
    assert after_low.path == "/loads/A-L1/spits/2/probe"  # two are probed: the next spit is up
    low = cook.get("/loads/A-L1/spits/1/probe")
    assert dict(low.form().fields)["bird"] == "2"  # the low one is read again
    assert "if pulled now: not met" in low.words


def test_a_spit_is_probed_before_the_next_one_is_up(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    assert probe(cook, "170").send().path == "/loads/A-L1/spits/1/probe"


def test_what_the_page_looked_up_is_saved_at_once(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    page = cook.get("/loads/A-L1/spits/1/probe")
    wrong = page.send(temperature="156", probe="blue", looked_up="at_or_above")
    assert "156 °F: under 165 °F." in wrong.words
    assert not assessed(database).loads[0].spits[0].readings
    page.send(temperature="156", probe="blue", looked_up="keep_cooking")
    assert len(assessed(database).loads[0].spits[0].readings) == 1


def test_what_is_unlikely_is_asked_though_it_was_looked_up(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    page = cook.get("/loads/A-L1/spits/1/probe").send(temperature="212", probe="blue", looked_up="at_or_above")
    assert "Yes, 212 °F: save" in page.words
    assert not assessed(database).loads[0].spits[0].readings


def test_pull_takes_the_number_that_is_typed(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    page = cook.get("/loads/A-L1/spits/1/probe")
    assert page.send(then="pull").path == "/loads/A-L1/spits/1/pull"
    taken = page.send(temperature="171", probe="blue", looked_up="at_or_above", then="pull")
    assert taken.path == "/loads/A-L1/spits/1/pull"
    assert len(assessed(database).loads[0].spits[0].readings) == 1


def test_two_readings_are_a_few_taps(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    second = probe(cook, "170").send()
    second.send(temperature="171").send()
    done = cook.get("/loads/A-L1/spits/1/probe")
    assert "2 of 2 birds probed if pulled now: met" in done.words


def test_the_probe_is_remembered_until_the_person_changes(tablet: Browser, database: Database) -> None:
    keep(database, *loaded())
    assert dict(probe(tablet, "170").send().form().fields)["probe"] == "blue"
    tablet.choose("robin")
    page = tablet.get("/loads/A-L1/spits/1/probe")
    assert "probe" not in dict(page.form().fields)
    assert "Last used here: blue. Tap the one in your hand." in page.words
    refused = page.send(temperature="170")
    assert refused.status == 422
    assert "Probe: this is needed." in refused.words


@pytest.mark.parametrize(("probe_code", "unit"), [("white", "F"), ("green", "C"), ("blue", "C")])
def test_the_unit_is_the_probes(cook: Browser, database: Database, probe_code: str, unit: str) -> None:
    keep(database, *loaded())
    probe(cook, "76", probe=probe_code, unit="C").send()
    (spit, _) = assessed(database).loads[0].spits
    assert spit.readings[0].reading.unit == unit


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"temperature": ""}, "Type the temperature that the display shows"),
        ({"temperature": "hot"}, "write it like this: a number"),
        ({"temperature": "700"}, "from −60 to 600"),
        ({"temperature": "170", "bird": "9"}, "from 1 to 5"),
        ({"temperature": "170", "probe": "red"}, "There is no probe called red here."),
        ({"temperature": "170", "place": "wing"}, "choose one of"),
        ({"temperature": "170", "observed_at": "2026-04-14T12:30"}, "This time has not come yet."),
        ({"temperature": "170", "observed_at": "2026-04-14T08:30"}, "earlier than the start"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    cook: Browser, database: Database, typed: Mapping[str, str], says: str
) -> None:
    keep(database, *loaded())
    page = cook.get("/loads/A-L1/spits/1/probe").send(**{**READING, **typed})
    assert page.status == 422
    assert says in page.words
    assert dict(page.form().fields)["temperature"] == typed["temperature"]
    assert assessed(database).loads[0].spits[0].readings == ()


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
    probe(tablet, "156").send()
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


def test_a_load_shows_its_spits_and_entries(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    words = cook.get("/loads/A-L1").words
    assert "2 of 5 birds probed, lowest 166 °F · 0412-7" in words
    assert "pulled into A-T1" in words
    assert "Cook reading" in words


def test_a_place_that_was_not_probed_is_named(cook: Browser, database: Database) -> None:
    with database.writing() as session:
        cast.add_plan(session, register.get_site(session, "S1"), 2, settings={"places_per_bird": "breast,thigh"})
    keep(database, *loaded(spits=1), *(cast.draft("cook_reading", at="10:31", bird=bird) for bird in (1, 4)))
    pull = cook.get("/loads/A-L1/spits/1/pull")
    assert "Not probed: bird 1, thigh and bird 4, thigh." in pull.words
    page = probe(cook, "170", bird="1", place="thigh")
    assert "Not probed: bird 4, thigh." in page.words
