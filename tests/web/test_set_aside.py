"""Food set aside on the pages: what must not be served, which ways are right, and who releases it."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, finding, keep

SetClock = Callable[[datetime | str], None]


@pytest.fixture
def unprobed(database: Database) -> str:
    """A spit pulled with one bird probed: its tray is set aside, and may be released."""
    keep(
        database,
        cast.draft("probe_check", at="06:10"),
        cast.draft("receiving", at="06:30"),
        cast.draft("load_started", at="09:00"),
        cast.draft("spit_loaded", at="09:02"),
        cast.draft("cook_reading", at="10:31"),
        cast.draft("spit_pulled", at="10:36"),
        at="10:40",
    )
    return finding(database, "cook.core_temperature")


def test_the_first_page_says_what_is_set_aside_above_the_answers_that_are_owed(cook: Browser, unprobed: str) -> None:
    page = cook.get("/")
    why = "Pulled at 10:36 with 1 bird probed; the plan asks for 2 birds at 165 °F / 74 °C or more."
    assert f"10:36 set aside since Tray T1 {why}" in page.words
    assert page.words.index("Set aside: do not serve") < page.words.index("1 answer owed")
    assert "Release it" not in page.words
    assert "Somebody in charge may release it." in page.words


RIGHT = ["Throw away", "Chill", "Into another tray", "Back into the oven"]


@pytest.mark.parametrize("path", ["/", "/trays/A-T1"])
def test_only_the_right_ways_are_buttons_and_each_leads_to_its_page(cook: Browser, unprobed: str, path: str) -> None:
    page = cook.get(path)
    before, _after = page.words.split("Something else happened", 1)
    assert all(way in before for way in RIGHT)
    assert not any(way in before for way in ("Serve", "Reheat", "Donate", "All served"))
    assert page.follow("Throw away").path == "/trays/A-T1/out/discarded"


def test_the_tray_has_the_other_ways_under_one_line(cook: Browser, unprobed: str) -> None:
    page = cook.get("/trays/A-T1")
    assert "Time as the control" not in page.words
    _right, others = page.words.split("Something else happened", 1)
    assert "It was sold, served or given away" in others
    assert page.follow("Prepared").path == "/trays/A-T1/out/prepared"


def test_what_is_about_to_run_out_of_time_stands_above_it(
    cook: Browser, database: Database, set_clock: SetClock, unprobed: str
) -> None:
    drafts = [
        cast.draft("spit_loaded", at="09:03", spit=2),
        cast.draft("cook_reading", at="10:31", spit=2, temperature="171"),
        cast.draft("cook_reading", at="10:32", spit=2, bird=4, temperature="170"),
        cast.draft("spit_pulled", at="10:40", spit=2, tray="A-T2"),
        cast.draft("hold_reading", at="10:45", tray="A-T2"),
        cast.draft("time_control_started", at="10:50", tray="A-T2"),
    ]
    keep(database, *drafts)
    set_clock("14:40")
    words = cook.sign_in("cook").get("/").words
    assert words.index("10 min then throw away") < words.index("Set aside: do not serve")


def test_a_batch_has_its_right_ways_and_the_others_under_one_line(
    cook: Browser, database: Database, unprobed: str
) -> None:
    keep(database, cast.draft("tray_out", at="11:00", to="chilled", birds="5", batch="A-B1"))
    page = cook.get("/batches/A-B1")
    right, others = page.words.split("Something else happened", 1)
    assert ("Throw away" in right, "Birds out" in right, "Reheat for hot holding" in right) == (True, False, False)
    assert "It was sold, served or given away" in others
    assert page.follow("Throw away").path == "/batches/A-B1/out?to=discarded"


def test_a_reheat_of_such_food_is_thrown_away_whole(cook: Browser, database: Database, unprobed: str) -> None:
    keep(database, cast.draft("tray_out", at="11:00", to="reheated", birds="2.5", reheat="A-R1"))
    page = cook.get("/reheats/A-R1")
    right, others = page.words.split("Something else happened", 1)
    assert ("Into a tray" in right, "Into a tray" in others) == (False, True)
    done = page.follow("Throw away").send()
    assert "Reheat R1: thrown away." in done.words
    (reheat,) = assessed(database).reheats
    assert (reheat.birds_left, reheat.set_aside) == (0, None)


def test_what_went_back_into_the_oven_is_cooked_on_or_thrown_away(
    cook: Browser, database: Database, unprobed: str
) -> None:
    keep(database, cast.draft("tray_out", at="11:00", to="returned_to_oven", birds=5, load="A-L1", spit=2))
    page = cook.get("/loads/A-L1")
    assert "Spit 2 of load L1" in page.words
    assert page.follow("Probe").path == "/loads/A-L1/spits/2/probe"
    pull = page.follow("Throw away")
    assert "This food is set aside. A pull at the limit makes it good again." in pull.words
    assert (dict(pull.form().fields)["birds"], pull.form().fields.count(("discarded_birds", "5"))) == ("0", 1)
    pull.send()
    assert [spit.birds_on for spit in assessed(database).loads[0].spits] == [0, 0]


def test_somebody_in_charge_releases_it(browser: Browser, database: Database, unprobed: str) -> None:
    pat = browser.sign_in("pat")
    page = pat.get("/").follow("Release it")
    assert "Tray A-T1: 5 birds" in page.words
    done = page.send(basis="Both birds were read with the other probe: 170 °F.")
    assert "The food is released." in done.words
    assert assessed(database).trays[0].set_aside is None


def test_a_release_wants_a_basis(browser: Browser, unprobed: str) -> None:
    page = browser.sign_in("pat").get(f"/release?finding={unprobed}").send(basis="")
    assert page.status == 422
    assert "this is needed" in page.words


def test_a_cook_does_not_release(cook: Browser, unprobed: str) -> None:
    assert cook.get(f"/release?finding={unprobed}").status == 403


@pytest.mark.parametrize("query", ["", "?finding=cook.core_temperature:spit:A-L1/1:none"])
def test_a_release_of_nothing_is_not_there(browser: Browser, unprobed: str, query: str) -> None:
    assert browser.sign_in("pat").get(f"/release{query}").status == 404


def test_the_way_out_of_a_batch_says_what_is_allowed(cook: Browser, database: Database, unprobed: str) -> None:
    keep(database, cast.draft("tray_out", at="11:00", to="chilled", birds="5", batch="A-B1"))
    assert "This food is set aside. Allowed: thrown away." in cook.get("/batches/A-B1/out").words


def test_who_releases_it_sees_what_was_read_since_and_what_was_answered(
    browser: Browser, database: Database, unprobed: str
) -> None:
    page = browser.sign_in("pat").get(f"/release?finding={unprobed}")
    assert "since then no reading of it" in page.words
    keep(database, cast.draft("hold_reading", at="10:45", temperature="171.5"))
    kept_apart = {"disposition": "hold_for_evaluation", "action": "Kept apart in the cabinet"}
    keep(database, cast.draft("corrective_action", at="10:50", findings=[unprobed], **kept_apart))
    page = browser.get(f"/release?finding={unprobed}")
    assert "since then, 10:45 tray A-T1: reading · 171.5 °F · blue" in page.words
    assert "10:50 hold for evaluation: Kept apart in the cabinet" in page.words
    assert "The food is released. It is in tray A-T1." in page.send(basis="Read again").words
