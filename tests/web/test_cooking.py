"""Birds probed on the tablet: what a number means is said before it is saved."""

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


def probe(browser: Browser, temperature: str, **typed: str) -> Page:
    """Type a reading of spit 1 and look at what it means."""
    return browser.get("/loads/A-L1/spits/1/probe").send(temperature=temperature, **{**READING, **typed})


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
    assert "Saved: spit 1, bird 1" in page.send().words
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
    assert str(assessed(database).loads[0].spits[0].lowest.value) == "118"


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


def test_a_load_shows_its_spits_and_entries(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    words = cook.get("/loads/A-L1").words
    assert "2 of 5 birds probed, lowest 166 °F · lot 0412-7" in words
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
