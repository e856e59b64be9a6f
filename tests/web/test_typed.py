"""What is typed into a form: times in the night of a clock change, numbers as cooks write them, hostile text."""

from collections.abc import Callable
from datetime import UTC, date, datetime

import pytest

from app import ledger
from app.db import Database
from app.web.parts.forms import count, measured, quarters
from tests.support import cast
from tests.support.browsing import Browser, Page

SetClock = Callable[[datetime | str], None]
AUTUMN, SPRING = date(2026, 11, 1), date(2026, 3, 8)
"""Chicago's clocks go back at 2:00 on the first Sunday of November, forward on the second of March (15 USC 260a)."""


def write(browser: Browser, **typed: str) -> Page:
    """Write a note that was seen at another time."""
    return browser.get("/write/note").send(**{"text": "Quiet night.", **typed})


def seen(database: Database) -> list[datetime]:
    """When everything was seen that is kept, in the order that it was kept."""
    with database.reading() as session:
        lines = [line.decode() for line in ledger.ledger_lines(session, "S1", cast.SET_UP)]
        ids = [line.split('"id":"')[1][:36] for line in lines]
        found = [ledger.find_entry(session, "S1", id) for id in ids]
    return [entry.observed_at for entry in found if entry is not None]


def test_left_empty_it_is_now(cook: Browser, database: Database) -> None:
    write(cook)
    assert seen(database) == [cast.moment("12:00")]


def test_another_time_is_the_kitchens_own(cook: Browser, database: Database) -> None:
    page = write(cook, observed_at="2026-04-14T11:30")
    assert seen(database) == [datetime(2026, 4, 14, 16, 30, tzinfo=UTC)]
    assert "The record shows both times." in page.words


def test_a_quarter_of_an_hour_is_not_late(cook: Browser) -> None:
    assert "late" not in write(cook, observed_at="2026-04-14T11:45").words


@pytest.mark.parametrize(("fold", "utc_hour"), [("0", 6), ("1", 7)])
def test_a_time_that_came_twice_is_asked_about(
    cook: Browser, database: Database, set_clock: SetClock, fold: str, utc_hour: int
) -> None:
    set_clock(cast.moment("08:00", day=AUTUMN))
    cook.sign_in("cook")
    page = write(cook, observed_at="2026-11-01T01:30")
    assert page.status == 422
    assert "this time came twice. Say which." in page.words
    assert seen(database) == []
    assert page.send(observed_fold=fold).status == 200
    assert seen(database) == [datetime(2026, 11, 1, utc_hour, 30, tzinfo=UTC)]


def test_a_time_that_never_came_is_refused(cook: Browser, database: Database, set_clock: SetClock) -> None:
    set_clock(cast.moment("08:00", day=SPRING))
    cook.sign_in("cook")
    page = write(cook, observed_at="2026-03-08T02:30")
    assert page.status == 422
    assert "The clocks went forward that night" in page.words
    assert seen(database) == []


@pytest.mark.parametrize(
    "time",
    ["yesterday", "2026-04-14", "0001-01-01T00:00", "9999-12-31T23:59", "2026-04-14T25:00", "2026-04-14T10:31Z", "1e9"],
)
def test_what_is_no_time_is_refused_and_stays(cook: Browser, database: Database, time: str) -> None:
    page = write(cook, observed_at=time)
    assert page.status == 422
    assert dict(page.form().fields)["observed_at"] == time
    assert seen(database) == []


@pytest.mark.parametrize("at", ["never", "0001-01-01T00:00:00Z", "2026-04-14T10:31"])
def test_a_made_up_hidden_time_is_now(cook: Browser, database: Database, at: str) -> None:
    write(cook, seen_at=at)
    assert seen(database) == [cast.moment("12:00")]


def test_a_time_to_come_is_refused(cook: Browser) -> None:
    page = write(cook, observed_at="2026-04-14T12:03")
    assert page.status == 422
    assert "This time has not come yet." in page.words


def test_a_second_tap_makes_one_record(cook: Browser, database: Database, set_clock: SetClock) -> None:
    form = cook.get("/write/note")
    for second in range(3):
        set_clock(f"12:00:0{second}")
        assert form.send(text="Once.").status == 200
    assert len(seen(database)) == 1


def test_a_used_key_with_other_content_is_refused(cook: Browser, database: Database) -> None:
    form = cook.get("/write/note")
    form.send(text="Once.")
    page = form.send(text="Twice.")
    assert page.status == 422
    assert "Another entry with this id was kept before." in page.words
    assert len(seen(database)) == 1


@pytest.mark.parametrize("key", ["", "1", "00000000-0000-4000-8000-00000000000g"])
def test_a_broken_key_is_refused(cook: Browser, database: Database, key: str) -> None:
    assert write(cook, entry_id=key).status == 422
    assert cook.get("/loads/new").send(entry_id=key, oven="east", **{"spits-0-birds": "5"}).status == 422
    assert seen(database) == []


@pytest.mark.parametrize("text", ["\x00", "a\x1bb", "\u202eevil", "\ud800", "x" * 1001, "<script>alert(1)</script>"])
def test_hostile_text_breaks_nothing(cook: Browser, text: str) -> None:
    page = write(cook, text=text.encode("utf-8", "replace").decode())
    assert page.status in (200, 422)
    assert "<script>alert" not in cook.get("/entries").html


def test_a_load_without_a_name_is_refused_at_its_field(cook: Browser) -> None:
    page = cook.get("/loads/new").send(load="", oven="east")
    assert page.status == 422
    assert "Nothing was saved yet" in page.words


@pytest.mark.parametrize("path", ["/write/note", "/write/receiving", "/write/checklist", "/write/probe_check"])
def test_an_empty_form_is_refused_at_its_fields(cook: Browser, path: str) -> None:
    page = cook.get(path)
    form = page.form()
    keep = {"csrf_token", "entry_id"}
    answer = cook.send(path, {name: [value] for name, value in form.fields if name in keep})
    assert answer.status == 422
    assert "Nothing was saved yet" in answer.words


@pytest.mark.parametrize(
    ("typed", "read"),
    [("164.9", "164.9"), (" 164,9 ", "164.9"), ("−3", "-3"), ("+5", "5"), (".5", "0.5"), ("5.", "5"), ("", None)],
)
def test_numbers_as_cooks_write_them(typed: str, read: str | None) -> None:
    assert measured(typed) == read


@pytest.mark.parametrize(
    ("typed", "read"), [("5", 5), (" 5 ", 5), ("", None), ("five", "five"), ("5.0", "5.0"), ("٥", "٥")]
)
def test_counts_as_cooks_write_them(typed: str, read: int | str | None) -> None:
    assert count(typed) == read


@pytest.mark.parametrize(("typed", "read"), [("2½", "2.5"), ("¼", "0.25"), ("3", 3), ("1,75", "1.75"), ("½½", "½.5")])
def test_quarters_as_cooks_write_them(typed: str, read: int | str) -> None:
    assert quarters(typed) == read


def test_every_part_stands_on_the_page_of_patterns(cook: Browser) -> None:
    words = cook.get("/patterns").words
    assert all(word in words for word in ("met", "not met", "not recorded", "pending"))
    states = (
        "Not updated since",
        "Not saved. Trying again.",
        "clock is off",
        "then it can be signed",
        "then throw away",
    )
    assert [state for state in states if state not in words] == []


def test_a_page_that_is_not_there_says_so(cook: Browser) -> None:
    page = cook.get("/nowhere")
    assert page.status == 404
    assert "There is no such page" in page.words


def test_too_much_at_once_is_refused(cook: Browser) -> None:
    form = cook.get("/write/note").form()
    answer = cook.send("/write/note", form.with_typed({"text": "x" * 5_000_000}))
    assert answer.status == 413
