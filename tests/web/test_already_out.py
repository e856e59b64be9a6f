"""Food that was set aside and went another way: how many and who was told, in one form, with its answer."""

import pytest

from app.db import Database
from app.rules.facts import Finding
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, keep, loaded, pulled

SAID = {"cause": "busy", "action": "called them back", "prevention": "a sign on the tray", "told": "two guests and Pat"}


@pytest.fixture
def undercooked(database: Database) -> None:
    """A spit pulled at 149 °F into tray A-T1: five birds that nobody may release."""
    low = cast.draft("cook_reading", at="10:31", temperature="149")
    keep(database, *loaded(spits=1), low, cast.draft("spit_pulled", at="10:36"))


def findings(database: Database) -> dict[str, Finding]:
    return {one.rule: one for one in assessed(database, "12:30").findings}


@pytest.mark.usefixtures("undercooked")
def test_all_of_it_was_served_one_form_answers_for_everything(cook: Browser, database: Database) -> None:
    page = cook.get("/").follow("Something else happened")
    assert page.path == "/trays/A-T1/already-out"
    assert "Pulled at 10:36 with bird 1 at 149 °F in the breast" in page.words
    assert dict(page.form().fields)["birds"] == "5"
    done = page.send(to="served", **SAID)
    assert "It is recorded. Somebody in charge reviews it." in done.words
    after = assessed(database)
    assert after.trays[0].birds_left == 0
    statuses = {one.rule: str(one.status) for one in after.findings}
    assert (statuses["cook.core_temperature"], statuses["aside.left"]) == ("acted", "acted")
    actions = {action.root: action for one in after.findings for action in after.answers[one.key].actions}
    assert [(one.disposition, one.told) for one in actions.values()] == [("already_out", SAID["told"])]


@pytest.mark.usefixtures("undercooked")
def test_what_is_still_here_keeps_its_own_finding_open(cook: Browser, database: Database) -> None:
    cook.get("/trays/A-T1/already-out").send(to="served", birds="2", **SAID)
    statuses = {rule: str(one.status) for rule, one in findings(database).items()}
    assert (statuses["cook.core_temperature"], statuses["aside.left"]) == ("open", "acted")
    assert "Tray T1" in cook.get("/").words


@pytest.mark.usefixtures("undercooked")
@pytest.mark.parametrize("missing", ["cause", "action", "prevention", "to", "birds"])
def test_each_part_is_needed_and_nothing_is_lost_or_half_kept(cook: Browser, database: Database, missing: str) -> None:
    typed = {"to": "served", "birds": "5", **SAID} | {missing: ""}
    page = cook.get("/trays/A-T1/already-out").send(**typed)
    assert (page.status, "this is needed" in page.words) == (422, True)
    fields = dict(page.form().fields)
    assert all(fields[name] == text for name, text in typed.items() if name not in (missing, "to"))
    assert assessed(database).trays[0].birds_left == 5
    assert "aside.left" not in findings(database)


@pytest.mark.usefixtures("undercooked")
def test_more_than_there_were_is_refused_at_its_field(cook: Browser) -> None:
    page = cook.get("/trays/A-T1/already-out").send(to="served", **SAID | {"birds": "6"})
    assert (page.status, "Only 5 left here." in page.words) == (422, True)


@pytest.mark.usefixtures("undercooked")
def test_a_form_that_is_sent_twice_is_kept_once(cook: Browser, database: Database) -> None:
    page = cook.get("/trays/A-T1/already-out")
    page.send(to="served", birds="2", **SAID)
    page.send(to="served", birds="2", **SAID)
    assert assessed(database).trays[0].birds_left == 3


@pytest.mark.usefixtures("undercooked")
def test_a_batch_has_the_same_form(cook: Browser, database: Database) -> None:
    keep(database, cast.draft("tray_out", at="11:00", to="chilled", birds="5", batch="A-B1"))
    page = cook.get("/batches/A-B1").follow("It was sold, served or given away")
    page.send(to="served_cold", **SAID)
    assert assessed(database).batches[0].birds_left == 0
    assert str(findings(database)["aside.left"].status) == "acted"


def test_where_nothing_is_set_aside_only_the_way_out_is_kept(cook: Browser, database: Database) -> None:
    keep(database, *pulled())
    cook.get("/trays/A-T1/already-out").send(to="served", birds="2")
    assert (assessed(database).trays[0].birds_left, set(findings(database))) == (3, {"hold.check_interval"})


@pytest.mark.usefixtures("undercooked")
def test_food_that_is_here_is_not_said_to_be_out(cook: Browser, database: Database) -> None:
    key = findings(database)["cook.core_temperature"].key
    typed = {name: SAID[name] for name in ("cause", "action", "prevention", "told")}
    page = cook.get(f"/findings/act?finding={key}").send(disposition="already_out", **typed)
    assert page.status == 422
    assert "Some of this food is still here. Choose what to do with it." in page.words
    fields = dict(page.form().fields)
    assert all(fields[name] == text for name, text in typed.items())


@pytest.mark.usefixtures("undercooked")
def test_at_a_tablet_both_entries_are_kept_by_whoever_says_that_it_is_them(
    browser: Browser, database: Database
) -> None:
    asking = browser.enrol().get("/trays/A-T1/already-out").send(to="served", **SAID)
    assert (asking.status, assessed(database).trays[0].birds_left) == (401, 5)
    asking.send(saver="robin", pin=cast.PIN)
    left = findings(database)["aside.left"]
    assert [one.person for one in assessed(database, "12:30").answers[left.key].actions] == ["robin"]
