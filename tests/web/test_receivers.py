"""Birds added to what holds some already: its findings and its time are on the page before anything is saved."""

import pytest

from app.db import Database
from tests.support import cast
from tests.support.browsing import Browser
from tests.support.drafts import assessed, chilled, keep, loaded

WHY = "set aside since 10:36: core temperature when pulled"


@pytest.fixture
def kitchen(database: Database) -> None:
    """Tray A-T1, pulled with one bird probed; tray A-T2 in order, under time as the control; spit 3 still cooks."""
    spit_2 = {"load": "A-L1", "spit": 2}
    drafts = [
        *loaded(spits=3),
        cast.draft("cook_reading", at="10:31"),
        cast.draft("spit_pulled", at="10:36"),
        *(cast.draft("cook_reading", at="10:31", bird=bird, temperature="170", **spit_2) for bird in (1, 4)),
        cast.draft("spit_pulled", at="10:40", tray="A-T2", **spit_2),
        cast.draft("hold_reading", at="10:50", tray="A-T2"),
        cast.draft("time_control_started", at="11:00", tray="A-T2"),
    ]
    keep(database, *drafts)


@pytest.mark.usefixtures("kitchen")
def test_the_list_of_trays_says_what_stands_against_each(cook: Browser) -> None:
    page = cook.get("/loads/A-L1/spits/3/pull")
    assert f"add to T1 5 birds · pass · {WHY}" in page.words
    assert "empty by 15:00" in page.words[page.words.index("add to T2") :]


@pytest.mark.usefixtures("kitchen")
def test_what_was_on_the_page_is_saved_at_once(cook: Browser, database: Database) -> None:
    cook.get("/loads/A-L1/spits/3/pull").send(tray="A-T1")
    assert [str(tray.birds_left) for tray in assessed(database).trays] == ["10", "5"]


@pytest.mark.usefixtures("kitchen")
@pytest.mark.parametrize(("name", "says"), [("A-T1", WHY), ("A-T2", "empty by 15:00")])
def test_a_tray_named_by_hand_is_told_before_it_is_saved(
    cook: Browser, database: Database, name: str, says: str
) -> None:
    page = cook.get("/loads/A-L1/spits/3/pull")
    form = page.form().with_typed({"tray_name": name, "birds": "4"}) | {"receivers_shown": [""]}
    told = cook.send(page.path, form)
    assert (told.status, f"{name} holds birds already: 5 birds" in told.words, says in told.words) == (422, True, True)
    assert dict(told.form().fields)["tray_name"] == name
    assert dict(told.form().fields)["birds"] == "4"
    assert [str(tray.birds_left) for tray in assessed(database).trays] == ["5", "5"]
    told.send()
    assert sorted(str(tray.birds_left) for tray in assessed(database).trays) == ["5", "9"]


@pytest.mark.usefixtures("kitchen")
def test_what_has_changed_since_the_page_was_opened_is_told(cook: Browser, database: Database) -> None:
    page = cook.get("/loads/A-L1/spits/3/pull")
    keep(database, cast.draft("hold_reading", at="11:50", temperature="120"))
    told = page.send(tray="A-T1")
    assert (told.status, "hot-holding temperature: not met" in told.words) == (422, True)
    told.send(tray="A-T1")
    assert assessed(database).trays[0].birds_left == 10


@pytest.mark.usefixtures("kitchen")
def test_topping_up_from_another_tray_says_so_too(cook: Browser, database: Database) -> None:
    page = cook.get("/trays/A-T2/out/other_tray")
    assert f"add to T1 5 birds · pass · {WHY}" in page.words
    page.send(into="A-T1", birds="2")
    assert [str(tray.birds_left) for tray in assessed(database).trays] == ["7", "3"]


@pytest.mark.usefixtures("kitchen")
def test_food_set_aside_takes_along_what_it_is_put_together_with(cook: Browser) -> None:
    page = cook.get("/trays/A-T1/out/other_tray")
    assert "All food that it is put with is set aside too." in page.words


@pytest.mark.usefixtures("kitchen")
def test_a_reheat_is_told_which_trays_hold_what(cook: Browser, database: Database) -> None:
    keep(database, cast.draft("tray_out", at="11:10", birds="2", to="reheated", reheat="A-R1"))
    assert f"add to T1 3 birds · pass · {WHY}" in cook.get("/reheats/A-R1/done").words


def test_what_is_prepared_may_go_into_a_batch_whose_clock_is_told(cook: Browser, database: Database) -> None:
    keep(database, *chilled())
    page = cook.get("/trays/A-T1/out/prepared")
    assert "add to B1 2 birds · walk-in · down to 70 °F / 21 °C by" in page.words
    page.send(birds="1", kept="cold", product="salad", batch_of="A-B1")
    assert [str(one.birds_left) for one in assessed(database).batches] == ["3"]


def test_a_batch_named_by_hand_is_told_before_it_is_saved(cook: Browser, database: Database) -> None:
    keep(database, *chilled())
    page = cook.get("/trays/A-T1/out/chilled")
    form = page.form().with_typed({"batch": "A-B1", "birds": "1"}) | {"receivers_shown": [""]}
    told = cook.send(page.path, form)
    assert (told.status, "A-B1 holds birds already" in told.words) == (422, True)
    told.send()
    assert [str(one.birds_left) for one in assessed(database).batches] == ["3"]


@pytest.mark.parametrize("typed", [{"batch": "A-B1"}, {"batch_of": "A-B1"}], ids=["by hand", "from an old list"])
def test_an_emptied_batch_takes_nothing_and_nothing_typed_is_lost(
    cook: Browser, database: Database, typed: dict[str, str]
) -> None:
    keep(database, *chilled(), cast.draft("batch_out", at="11:50", birds="2"))
    page = cook.get("/trays/A-T1/out/prepared").send(birds="1", kept="cold", product="salad", **typed)
    assert (page.status, "That batch is empty by then. Choose another." in page.words) == (422, True)
    fields = dict(page.form().fields)
    assert (fields["birds"], fields["product"], fields["kept"]) == ("1", "salad", "cold")
    assert [str(one.birds_left) for one in assessed(database).batches] == ["0"]


@pytest.mark.parametrize("typed", [{"into": "A-B2"}, {"into_of": "A-B2"}], ids=["by hand", "from an old list"])
def test_nor_does_one_that_a_batch_was_to_go_into(cook: Browser, database: Database, typed: dict[str, str]) -> None:
    other = cast.draft("tray_out", at="11:41", to="chilled", birds="1", batch="A-B2")
    keep(database, *chilled(), other, cast.draft("batch_out", at="11:50", batch="A-B2", birds="1"))
    page = cook.get("/batches/A-B1/out").send(to="prepared", birds="1", kept="cold", product="salad", **typed)
    assert page.status == 422
    assert dict(page.form().fields)["product"] == "salad"
    assert "is empty by then. Choose another." in page.words


def test_a_batch_goes_into_another_whose_findings_are_told(cook: Browser, database: Database) -> None:
    other = cast.draft("tray_out", at="11:41", to="chilled", birds="1", batch="A-B2")
    keep(database, *chilled(), other)
    page = cook.get("/batches/A-B1/out")
    assert "add to B2 1 bird" in page.words
    page.send(to="prepared", birds="1", kept="cold", into_of="A-B2")
    assert [str(one.birds_left) for one in assessed(database).batches] == ["1", "2"]


@pytest.mark.usefixtures("kitchen")
def test_what_was_told_stays_told_through_the_question_who_is_saving(browser: Browser, database: Database) -> None:
    page = browser.enrol().get("/loads/A-L1/spits/3/pull")
    asking = page.send(tray="A-T1")
    assert asking.status == 401
    asking.send(saver="cook", pin=cast.PIN)
    assert [str(tray.birds_left) for tray in assessed(database).trays] == ["10", "5"]
