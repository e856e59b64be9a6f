"""Entries of the day, mended or withdrawn with a reason, and entries of any kind."""

from collections.abc import Callable
from datetime import datetime

import pytest

from app import ledger
from app.db import Database
from app.kinds import REGISTER_KINDS, Entry
from app.kinds.reading import fields_of
from app.ledger import KINDS
from tests.support import cast
from tests.support.browsing import Browser, Page
from tests.support.drafts import assessed, keep, pulled
from tests.support.ordinary import FIELDS

SetClock = Callable[[datetime | str], None]


@pytest.fixture
def drafts(database: Database) -> list[dict[str, object]]:
    """One spit probed and pulled into tray A-T1."""
    written = pulled()
    keep(database, *written)
    return written


def newest(database: Database, kind: str) -> Entry:
    """Give the newest entry of a kind."""
    return max((one for one in assessed(database).entries if one.kind == kind), key=lambda one: one.seq)


def amend(browser: Browser, draft: dict[str, object], **typed: str) -> Page:
    """Correct an entry on its page."""
    return browser.get(f"/entries/{draft['id']}").send(**typed)


def test_a_reading_is_mended_with_a_reason(cook: Browser, database: Database, drafts: list[dict[str, object]]) -> None:
    page = amend(cook, drafts[5], temperature="176.2", amend_reason="Read it upside down.")
    assert "Corrected. The entry as it was stays to be read." in page.words
    entry = newest(database, "cook_reading")
    assert (str(entry.reading.value), entry.amends) == ("176.2", drafts[5]["id"])
    assert entry.observed_at == cast.moment("10:32")
    assert "Why: Read it upside down." in page.words


def test_the_time_is_mended_too(cook: Browser, database: Database, drafts: list[dict[str, object]]) -> None:
    amend(cook, drafts[5], observed_at="2026-04-14T10:33", amend_reason="A minute later.")
    assert newest(database, "cook_reading").observed_at == cast.moment("10:33")


def test_a_reason_is_a_phrase_or_typed_and_the_typed_one_counts(
    cook: Browser, database: Database, drafts: list[dict[str, object]]
) -> None:
    amend(cook, drafts[5], temperature="176.2", reason_phrase="Typed wrong.")
    assert newest(database, "cook_reading").amend_reason == "Typed wrong."
    again = newest(database, "cook_reading").id
    cook.get(f"/entries/{again}").send(temperature="176", reason_phrase="Typed wrong.", amend_reason="No decimals.")
    assert newest(database, "cook_reading").amend_reason == "No decimals."


def test_the_pad_of_a_correction_says_what_a_number_means(cook: Browser, drafts: list[dict[str, object]]) -> None:
    page = cook.get(f"/entries/{drafts[5]['id']}")
    assert 'data-band="F"' in page.html
    assert "Keep it cooking" in page.html
    assert 'data-band="F"' not in cook.get(f"/entries/{drafts[2]['id']}").html  # the start of a load is no reading


def test_without_a_reason_nothing_is_mended(cook: Browser, database: Database, drafts: list[dict[str, object]]) -> None:
    page = amend(cook, drafts[5], temperature="176.2")
    assert page.status == 422
    assert "Say why the earlier entry is corrected." in page.words
    assert newest(database, "cook_reading").amends is None


def test_an_entry_is_withdrawn(cook: Browser, database: Database, drafts: list[dict[str, object]]) -> None:
    page = cook.get(f"/entries/{drafts[5]['id']}").follow("It never happened")
    page = page.send(amend_reason="Wrong spit.")
    assert "Withdrawn." in page.words
    assert assessed(database).loads[0].spits[0].birds_probed == 1
    assert cook.get(f"/entries/{newest(database, 'cook_reading').id}").status == 404


def test_what_builds_on_an_entry_is_named(cook: Browser, drafts: list[dict[str, object]]) -> None:
    page = cook.get(f"/entries/{drafts[3]['id']}/withdraw").send(amend_reason="Never loaded.")
    assert page.status == 422
    assert "Other entries build on this one." in page.words
    assert "Spit pulled, load L1: 5 birds, 10:36" in page.words


def test_an_entry_mended_meanwhile_is_not_mended_twice(cook: Browser, drafts: list[dict[str, object]]) -> None:
    page = cook.get(f"/entries/{drafts[5]['id']}")
    page.send(temperature="176.2", amend_reason="first")
    again = amend(cook, drafts[5], temperature="166.2", amend_reason="second")
    assert again.status == 422
    assert "This entry was corrected already." in again.words


def test_every_row_of_the_day_leads_to_its_mending(cook: Browser, drafts: list[dict[str, object]]) -> None:
    page = cook.get("/entries")
    assert sum(href.startswith("/entries/") for href, said in page.links if said == "Correct") == len(drafts)


def test_an_entry_of_another_kitchen_is_not_there(browser: Browser, drafts: list[dict[str, object]]) -> None:
    assert browser.sign_in("other-cook").get(f"/entries/{drafts[5]['id']}").status == 404


_TYPED: dict[str, dict[str, str]] = {
    "receiving": {"product": "whole chicken", "lot": "0412-7", "supplier": "Prairie Poultry", "birds": "40"}
    | {"state": "chilled", "temperature": "38", "unit": "F", "probe": "blue", "decision": "accepted"},
    "thawing": {"lot": "0412-7", "birds": "4", "how": "cold_unit", "cold_unit": "walk-in"},
    "raw_out": {"lot": "0412-7", "birds": "2", "to": "discarded", "reason": "Torn packing."},
    "unit_check": {"unit_code": "walk-in", "of": "air", "temperature": "38.5"},
    "spit_loaded": {"load": "A-L1", "spit": "2", "birds": "5", "mean_weight": "3.2", "weight_unit": "lb"},
    "oven_setting": {"oven": "east", "rotation": "60"},
    "cook_reading": {"load": "A-L1", "spit": "1", "bird": "2", "place": "thigh", "temperature": "170", "probe": "blue"},
    "spit_pulled": {"load": "A-L1", "spit": "2", "tray": "A-T7", "birds": "4", "discarded_birds": "2"},
    "hold_reading": {"tray": "A-T1", "temperature": "150", "probe": "white"},
    "tray_moved": {"tray": "A-T1", "hot_unit": "cabinet"},
    "tray_out": {"tray": "A-T1", "birds": "1.25", "to": "chilled", "batch": "A-B1"},
    "time_control_started": {"tray": "A-T1", "marked_discard_by": "2026-04-14T16:00"},
    "cooling_reading": {"batch": "A-B1", "temperature": "65", "probe": "blue"},
    "batch_moved": {"batch": "A-B1", "cold_unit": "walk-in"},
    "reheat_started": {"batch": "A-B1", "birds": "1", "reheat": "A-R1"},
    "reheat_reading": {"reheat": "A-R1", "temperature": "168", "probe": "blue", "held_s": "15"},
    "reheat_done": {"reheat": "A-R1", "tray": "A-T8", "birds": "1"},
    "batch_out": {"batch": "A-B1", "birds": "0.25", "to": "served_cold"},
    "probe_check": {"probe": "blue", "method": "ice_point", "temperature": "32.4", "adjusted": "no"},
    "equipment_out": {"code": "west", "cause": "No flame."},
    "equipment_back": {"code": "west"},
    "checklist": {"list": "opening", "item-opening-hand_sink": "yes", "item-opening-probe_wipes": "no"},
    "note": {"text": "Quiet morning."},
}
"""What is typed where that is more than an ordinary entry, or another."""
_OWN_PAGES = {"load_started", "corrective_action", "action_verified", "release", "sign_off", "in_charge_from"}
_OWN_PAGES |= {"alarm_silenced", "sound_test", "week_sign_off", "training", "work_observed", "plan_reassessed"}


def typed(kind: str) -> dict[str, str]:
    """Give what is typed into the form of a kind."""
    answers = {True: "yes", False: "no"}
    ordinary = {name: answers.get(value, str(value)) for name, value in FIELDS[kind].items()}
    return _TYPED.get(kind, ordinary)


def test_every_kind_can_be_written_down_and_mended(
    cook: Browser, database: Database, drafts: list[dict[str, object]]
) -> None:
    kinds = [*_TYPED, *KINDS.keys() - _TYPED.keys() - _OWN_PAGES]
    for kind in kinds:
        page = cook.get(f"/write/{kind}").send(**typed(kind))
        assert (page.path, page.status) == ("/", 200), (kind, page.words)
    for kind in kinds:
        if kind not in ("spit_loaded", "tray_out", "reheat_started"):  # others build on these here
            entry = newest(database, kind)
            page = cook.get(f"/entries/{entry.id}").send(amend_reason="Looked again.", note="Looked again.")
            assert page.status == 200, (kind, page.words)
            assert fields_of(newest(database, kind)) == {
                **fields_of(entry),
                "amend_reason": "Looked again.",
                "note": "Looked again.",
            }


@pytest.mark.parametrize("kind", REGISTER_KINDS)
def test_no_page_writes_a_kind_of_the_register(browser: Browser, database: Database, kind: str) -> None:
    pat, before = browser.sign_in("pat"), heads(database)
    assert pat.get(f"/write/{kind}").status == 404
    assert pat.send(f"/write/{kind}", {"reason": ["mine"]}).status in (400, 404)
    assert f"/write/{kind}" not in pat.get("/write").html
    assert heads(database) == before


def heads(database: Database) -> tuple[int, str]:
    with database.reading() as session:
        return ledger.head(session, "S1")


def test_the_kinds_are_all_there(cook: Browser) -> None:
    offered = {href.removeprefix("/write/") for href, _ in cook.get("/write").links if href.startswith("/write/")}
    assert offered == set(KINDS) - _OWN_PAGES


def test_taking_charge_is_for_the_person_in_charge(browser: Browser, database: Database) -> None:
    page = browser.sign_in("pat").get("/write/in_charge_from").send()
    assert page.status == 200
    with database.reading() as session:
        assert ledger.head(session, "S1")[0] == cast.nth(1)


@pytest.mark.parametrize("path", ["/write/sign_off", "/write/unheard_of", "/entries/none", "/entries/none/withdraw"])
def test_what_is_not_there_is_said_to_be_so(cook: Browser, path: str) -> None:
    assert cook.get(path).status == 404


def test_the_setting_of_a_loads_oven_has_its_oven_chosen(cook: Browser) -> None:
    assert dict(cook.get("/write/oven_setting?oven=east").form().fields)["oven"] == "east"
    assert "oven" not in dict(cook.get("/write/oven_setting?oven=moon").form().fields)
