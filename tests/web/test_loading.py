"""A load started on the tablet: its checks, its spits, and what was loaded last."""

from collections.abc import Callable
from datetime import datetime

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, keep, loaded

SetClock = Callable[[datetime | str], None]
CHECKS = {f"checks-{number}-answer": "yes" for number in range(4)}
SPITS = {"spits-0-birds": "5", "spits-0-lot": "0412-7", "spits-0-ties": "5", "spits-2-birds": "6"}


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
    assert "Corrected before the oven was started." in page.words


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


def test_a_lot_typed_in_another_case_is_the_lot_that_was_delivered(tablet: Browser, database: Database) -> None:
    keep(database, cast.draft("receiving", at="08:00", lot="L-77"))
    tablet.get("/loads/new").send(oven="east", **CHECKS, **{"spits-0-birds": "5", "spits-0-lot": " l-77 "})
    day = assessed(database)
    assert [spit.lots for load in day.loads for spit in load.spits] == [("L-77",)]
    assert "lot.known" not in {finding.rule for finding in day.findings}
    tablet.get("/loads/A-L1/spits/new").send(spit="2", birds="5", lot="l-77")
    assert [spit.lots for load in assessed(database).loads for spit in load.spits] == [("L-77",), ("L-77",)]


def test_of_two_lots_that_differ_only_in_case_the_typed_one_is_taken(tablet: Browser, database: Database) -> None:
    keep(database, *(cast.draft("receiving", at="08:00", lot=lot) for lot in ("L-77", "l-77")))
    tablet.get("/loads/new").send(oven="east", **CHECKS, **{"spits-0-birds": "5", "spits-0-lot": "l-77"})
    assert [spit.lots for load in assessed(database).loads for spit in load.spits] == [("l-77",)]


def test_a_load_that_was_refused_does_not_say_that_it_is_filled_in_as_another(tablet: Browser) -> None:
    tablet.get("/loads/new").send(oven="west", **CHECKS, **SPITS)
    page = tablet.get("/loads/new")
    assert "Filled in as load L1 was" in page.words
    assert "Filled in as" not in page.send(oven="east", **CHECKS, **{**SPITS, "spits-0-birds": "many"}).words
