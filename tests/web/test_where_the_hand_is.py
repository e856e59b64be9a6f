"""What the pages say where it is done: how to probe, when not to use a probe, and the cautions.

Where a bird is probed: USDA consumer advice (read in a secondary text); wiping the probe between birds: the model
procedures' "clean, sanitized" probe (USDA and National Food Service Management Institute, HACCP-Based Standard
Operating Procedures, 2005, Reheating, monitoring 1: read as a kitchen reprints it). The cautions: docs/rules.md.
"""

import pytest

from app import register, words
from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import chilled, keep, loaded

REHEATING = [
    *chilled(("11:50", "40")),
    cast.draft("reheat_started", at="11:55", batch="A-B1", reheat="A-R1", birds="2"),
]


@pytest.mark.parametrize(
    ("path", "where"),
    [
        ("/loads/A-L1/spits/1/probe", "In the thickest part, off the bone. Wipe the probe between birds."),
        ("/trays/A-T1/check", "In the thickest part, off the bone. Wipe the probe before and after."),
        (
            "/batches/A-B1/reading",
            "In the middle of the thickest piece, off the bone. Wipe the probe before and after.",
        ),
        ("/reheats/A-R1/reading", "In the coldest part of the thickest piece, off the bone. Wipe the probe before and"),
    ],
    ids=["bird", "tray", "batch", "reheat"],
)
def test_each_page_that_takes_a_reading_says_how_to_probe(
    cook: Browser, database: Database, path: str, where: str
) -> None:
    keep(database, *REHEATING)
    assert where in cook.get(path).words


@pytest.mark.parametrize(("places", "named"), [("breast", "breast"), ("breast,thigh", "breast and thigh")])
def test_the_places_are_those_that_this_plan_asks_for(
    cook: Browser, database: Database, places: str, named: str
) -> None:
    with database.writing() as session:
        cast.add_plan(session, register.get_site(session, "S1"), 2, settings={"places_per_bird": places})
    keep(database, *loaded())
    assert f"The plan asks for: {named}." in cook.get("/loads/A-L1/spits/1/probe").words


@pytest.mark.parametrize(("temperature", "is_said"), [("33.8", False), ("33.9", True)], ids=["passes", "fails"])
def test_a_probe_that_fails_its_check_is_not_to_be_used(cook: Browser, temperature: str, is_said: bool) -> None:
    page = cook.get("/probes/blue/check?method=ice_point").send(temperature=temperature, unit="F")
    assert ("Do not use this probe until it has passed a check." in page.words) is is_said


def test_the_page_that_takes_birds_off_says_what_burns_cuts_and_slips(cook: Browser, database: Database) -> None:
    keep(database, *loaded())
    said = cook.get("/loads/A-L1/spits/1/pull").words
    assert "gloves and long sleeves" in said
    assert "Keep the floor dry" in said
    assert "lift it with two people" in said


def test_in_a_grease_fire_the_hood_comes_first_water_never_and_leaving_last() -> None:
    """NFPA 10 and 96, as the placard beside a class K extinguisher repeats them (read in secondary texts)."""
    said = words.check_words("grease").caution
    steps = ("the hood's own system first", "extinguisher", "never water", "leave")
    assert [said.find(step) for step in steps] == sorted(said.find(step) for step in steps)
    assert all(step in said for step in steps)
