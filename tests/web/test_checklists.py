"""Checks of the day on one page; opening and closing lists, time as the control, in charge, out of use."""

import pytest
from flask import Flask

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, chilled, keep, ordinary_day


def test_the_page_of_checks_says_what_is_owed(cook: Browser, database: Database) -> None:
    keep(database, *ordinary_day())
    page = cook.get("/checks")
    assert "check due: white and green" in page.words
    assert "checks owed today: walk-in and blast" in page.words
    assert "Opening checks not yet done today" in page.words
    assert "1 received today" in page.words


@pytest.mark.parametrize(("name", "item"), [("opening", "hand_sink"), ("closing", "gas_off")])
def test_a_checklist_gives_reasons_and_cautions_and_is_kept(
    cook: Browser, database: Database, name: str, item: str
) -> None:
    page = cook.get(f"/checklists/{name}")
    items = [value for key, value in page.form().fields if key.endswith("-item")]
    page = page.send(**{f"checks-{index}-answer": "yes" for index in range(len(items))})
    assert page.path == "/checks", page.words
    (entry,) = assessed(database).entries
    assert entry.items == dict.fromkeys(items, True)
    assert item in items


def test_a_no_asks_what_was_done_and_keeps_it(cook: Browser, database: Database) -> None:
    page = cook.get("/checklists/opening").send(all_right="y", **{"checks-1-answer": "no"})
    assert page.status == 422
    assert "A check is answered no. Choose what was done about it." in page.words
    assert dict(page.form().fields)["checks-1-answer"] == "no"
    assert assessed(database).entries == ()
    page = page.send(done_phrase="Corrected as soon as it was seen.")
    assert page.path == "/checks", page.words
    (entry,) = assessed(database).entries
    assert entry.note == "Corrected as soon as it was seen."
    assert list(entry.items.values()).count(False) == 1


def test_what_was_done_is_kept_with_a_remark(cook: Browser, database: Database) -> None:
    page = cook.get("/checklists/closing")
    page.send(all_right="y", **{"checks-1-answer": "no"}, done="Shut off by the fitter.", note="He comes again.")
    (entry,) = assessed(database).entries
    assert entry.note == "Shut off by the fitter.\nHe comes again."


def test_closing_says_what_to_do_when_gas_smells(cook: Browser) -> None:
    assert "If you smell gas" in cook.get("/checklists/closing").words


def test_nothing_is_preset_in_a_checklist(cook: Browser) -> None:
    fields = cook.get("/checklists/opening").form().fields
    assert [name for name, _ in fields if name.endswith("-answer")] == []


def test_another_list_is_not_there(cook: Browser) -> None:
    assert cook.get("/checklists/lunch").status == 404


def test_somebody_in_charge_takes_charge_in_one_tap(browser: Browser, database: Database) -> None:
    page = browser.sign_in("pat").get("/checks").send("/in-charge")
    assert "You are in charge from now on." in page.words
    assert "In charge Pat Porter" in page.words
    assert assessed(database).in_charge == "pat"


def test_whoever_is_in_charge_is_not_asked_to_take_charge_again(
    browser: Browser, app: Flask, database: Database
) -> None:
    keep(database, cast.draft("note", at="11:00"))
    pat, sam = browser.sign_in("pat"), Browser(app.test_client()).sign_in("sam")
    places = ("/checks", f"/day/{cast.DAY}")
    assert all("I take charge now" in pat.get(path).words for path in places)
    pat.get("/checks").send("/in-charge")
    assert not any("I take charge now" in pat.get(path).words for path in places)
    assert all("I take charge now" in sam.get(path).words for path in places)


def test_a_cook_is_not_asked_to_take_charge(cook: Browser) -> None:
    assert "I take charge now" not in cook.get("/checks").words


def test_an_oven_goes_out_of_use_and_comes_back(cook: Browser, database: Database) -> None:
    page = cook.get("/out-of-use/east").send(cause="no flame")
    assert "east is out of use." in page.words
    assert "east oven · no flame out since 12:00" in page.words
    page = cook.get("/out-of-use/east").send(cause="relit by the fitter")
    assert "east is back in use." in page.words
    assert [entry.kind for entry in assessed(database).entries] == ["equipment_out", "equipment_back"]


def test_a_second_tap_turns_nothing_back(cook: Browser, database: Database) -> None:
    page = cook.get("/out-of-use/east")
    page.send(cause="no flame")
    page.send(cause="no flame")
    assert [entry.kind for entry in assessed(database).entries] == ["equipment_out"]


def test_what_is_not_listed_cannot_go_out(cook: Browser) -> None:
    assert cook.get("/out-of-use/north").status == 404


def test_time_as_the_control_fills_in_the_label(cook: Browser, database: Database) -> None:
    # FDA Food Code 2022, 3-501.19(B): 4 h from the point in time when it leaves temperature control.
    keep(database, *ordinary_day()[:-1], cast.draft("hold_reading", at="11:55"))
    page = cook.get("/trays/A-T1").follow("Time as the control")
    assert dict(page.form().fields)["marked_discard_by"] == "2026-04-14T16:00"
    page.send()
    (tray,) = assessed(database).trays
    assert tray.discard_at == cast.moment("16:00")
    assert [one.rule for one in assessed(database).findings if one.rule == "time_control.mark"] == []


def test_the_label_counts_the_time_out_of_temperature(cook: Browser, database: Database) -> None:
    # Low from the last good reading at 11:15 to the next at 11:55: 40 min of the 4 h (FDA Food Code 2022, 3-501.19(B))
    # are over already.
    low = cast.draft("hold_reading", at="11:30", temperature="130")
    keep(database, *ordinary_day()[:-1], low, cast.draft("hold_reading", at="11:55"))
    page = cook.get("/trays/A-T1/time-control")
    assert dict(page.form().fields)["marked_discard_by"] == "2026-04-14T15:20"
    assert "Check the temperature" not in page.words


def test_a_tray_not_read_lately_is_to_be_read_first(cook: Browser, database: Database) -> None:
    keep(database, *ordinary_day()[:-1])
    page = cook.get("/trays/A-T1/time-control")
    assert "It was not checked in the last 15 minutes. Check the temperature first." in page.words
    assert page.follow("Check the temperature").path == "/trays/A-T1/check"


def test_the_label_goes_with_the_moment_it_started(cook: Browser, database: Database) -> None:
    """Started 10 minutes ago, the 4 hours of FDA Food Code 2022, 3-501.19(B), end 10 minutes sooner."""
    keep(database, *ordinary_day()[:-1], cast.draft("hold_reading", at="11:45"))
    page = cook.get("/trays/A-T1/time-control").send(observed_at="2026-04-14T11:50")
    assert "Started now, it is 15:50" in page.words
    assert assessed(database).trays[0].discard_at is None
    page.send()
    tray = assessed(database).trays[0]
    assert tray.discard_at == cast.moment("15:50")
    assert not [one for one in assessed(database).findings if one.rule == "time_control.mark"]


def test_a_label_with_a_later_time_leads_to_its_corrective_action(cook: Browser, database: Database) -> None:
    keep(database, *ordinary_day()[:-1], cast.draft("hold_reading", at="11:55"))
    page = cook.get("/trays/A-T1/time-control").send(marked_discard_by="2026-04-14T16:01")
    assert page.asks_about("time_control.mark")


def test_a_label_time_that_is_none_is_refused_at_its_field(cook: Browser, database: Database) -> None:
    keep(database, *ordinary_day()[:-1])
    page = cook.get("/trays/A-T1/time-control?started=yes").send(marked_discard_by="at four")
    assert page.status == 422
    assert "at four" in dict(page.form().fields)["marked_discard_by"]
    assert assessed(database).trays[0].discard_at is None


AWAY = {"all_right": "y"}
"""All of the closing list answered yes in one tap."""


def test_the_closing_list_says_what_still_holds_birds(cook: Browser, database: Database) -> None:
    keep(database, *ordinary_day()[:-1])
    page = cook.get("/checklists/closing")
    assert "Birds are still in: Tray T1" in page.words
    assert page.follow("Tray T1").path == "/trays/A-T1"


def test_food_put_away_while_a_tray_holds_birds_is_asked_about_and_stays_recordable(
    cook: Browser, database: Database
) -> None:
    keep(database, *ordinary_day()[:-1])
    before = len(assessed(database).entries)
    page = cook.get("/checklists/closing").send(**AWAY)
    assert page.status == 422
    assert "Birds are still in tray T1. Answer no, or tick this." in page.words
    assert len(assessed(database).entries) == before
    page = page.send(put_away_anyway="y", note="Sold at the door.")
    assert page.path == "/checks", page.words
    entry = assessed(database).entries[-1]
    assert entry.items["food_put_away"] is True
    assert entry.note == "By the records birds were still in tray T1.\nSold at the door."


def test_food_not_put_away_is_not_asked_about_again(cook: Browser, database: Database) -> None:
    keep(database, *ordinary_day()[:-1])
    no = {"checks-0-answer": "no", "done_phrase": "The person in charge was told."}
    page = cook.get("/checklists/closing").send(**AWAY, **no)
    assert page.path == "/checks", page.words
    assert assessed(database).entries[-1].note == "The person in charge was told."


def test_nothing_is_asked_once_the_trays_are_empty(cook: Browser, database: Database) -> None:
    keep(database, *ordinary_day()[:-1], cast.draft("tray_out", at="11:59", birds="5"))
    page = cook.get("/checklists/closing")
    assert "Birds are still in" not in page.words
    page.send(**AWAY)
    assert assessed(database).entries[-1].note is None


def test_birds_on_a_spit_and_in_a_reheat_are_not_put_away_either(cook: Browser, database: Database) -> None:
    keep(
        database,
        *chilled(("11:50", "40")),
        cast.draft("reheat_started", at="11:55", batch="A-B1", reheat="A-R1", birds="2"),
    )
    keep(database, cast.draft("load_started", at="11:56", load="A-L2"))
    keep(database, cast.draft("spit_loaded", at="11:57", load="A-L2"))
    assert "Birds are still in: Load L2 Tray T1 Reheat R1" in cook.get("/checklists/closing").words


def test_the_list_of_checks_says_what_was_answered_no(cook: Browser, database: Database) -> None:
    items = {"food_put_away": False, "grease_emptied": True, "gas_off": True, "probes_cleaned": True}
    keep(database, cast.draft("checklist", at="11:50", list="closing", items=items, note="Put away by the cook"))
    assert "done 11:50; answered no: All food put away, covered and dated" in cook.get("/checks").words
