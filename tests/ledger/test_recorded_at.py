"""When an entry is recorded: never before the one that it follows, until somebody accepts that the clock went back."""

import json
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from app import ledger, register
from app.ledger import ClockBehind
from app.ledger.appending import context
from tests.support import cast
from tests.support.ledger_kitchen import COOK, PAT, Kitchen

NOON = cast.moment("12:00")
BACK = cast.moment("10:00")
"""What the clock says after it went back by two hours."""


@pytest.fixture
def noted(kitchen: Kitchen) -> Kitchen:
    """A kitchen whose newest entry was recorded at noon."""
    kitchen.accept(cast.draft("note", at="11:59"), at=NOON)
    return kitchen


def newest(kitchen: Kitchen) -> dict[str, Any]:
    body: dict[str, Any] = json.loads(kitchen.lines()[-1])
    return body


def accept_clock(kitchen: Kitchen, *, at: datetime = BACK, reason: str = "set two hours ahead by mistake") -> None:
    with kitchen.database.writing() as session:
        register.accept_clock(session, register.get_site(session, "S1"), reason, at=at)


@pytest.mark.parametrize("behind_s", [0, 0.001, 2.5, 5])
def test_up_to_five_seconds_behind_an_entry_takes_the_time_of_the_newest(noted: Kitchen, behind_s: float) -> None:
    noted.accept(cast.draft("note", at="11:58"), at=NOON - timedelta(seconds=behind_s))
    assert newest(noted)["recorded_at"] == "2026-04-14T17:00:00.000Z"
    assert noted.verify() is None


def test_ahead_an_entry_has_its_own_time(noted: Kitchen) -> None:
    noted.accept(cast.draft("note", at="11:58"), at=NOON + timedelta(milliseconds=1))
    assert newest(noted)["recorded_at"] == "2026-04-14T17:00:00.001Z"


TOO_LATE = NOON - timedelta(seconds=5, milliseconds=1)


def post(kitchen: Kitchen) -> None:
    kitchen.post(cast.draft("note", at="11:00"), at=TOO_LATE)


def post_together(kitchen: Kitchen) -> None:
    kitchen.post(cast.draft("note", at="11:00"), cast.draft("note", at="11:00"), at=TOO_LATE, together=True)


def sign(kitchen: Kitchen) -> None:
    with kitchen.database.writing() as session:
        ledger.sign(session, "S1", cast.DAY, by=PAT, at=TOO_LATE, shown=ledger.head(session, "S1"))


def add_person(kitchen: Kitchen) -> None:
    with kitchen.database.writing() as session:
        told = {"name": "New Cook", "role": "cook", "password": register.Hashed("x")}
        register.add_person(session, register.get_site(session, "S1"), "new", **told, at=TOO_LATE)


def retire_equipment(kitchen: Kitchen) -> None:
    with kitchen.database.writing() as session:
        register.retire_equipment(session, register.get_site(session, "S1"), "east", at=TOO_LATE)


def rename(kitchen: Kitchen) -> None:
    with kitchen.database.writing() as session:
        register.change_site(session, register.get_site(session, "S1"), name="Kitchen Two", at=TOO_LATE)


def adopt(kitchen: Kitchen) -> None:
    with kitchen.database.writing() as session:
        site = register.get_site(session, "S1")
        pat = register.get_person(session, site, "pat")
        register.adopt_plan(session, site, None, {"grace_min": "10"}, by=pat, at=TOO_LATE)


def issue_token(kitchen: Kitchen) -> None:
    with kitchen.database.writing() as session:
        pat = register.get_person(session, register.get_site(session, "S1"), "pat")
        register.issue_token(session, pat, days=9, at=TOO_LATE)


@pytest.mark.parametrize(
    "append", [post, post_together, sign, add_person, retire_equipment, rename, adopt, issue_token]
)
def test_further_behind_nothing_at_all_is_kept(noted: Kitchen, append: Callable[[Kitchen], None]) -> None:
    before = (noted.whole_ledger(), noted.tables())
    with pytest.raises(ClockBehind) as refused:
        append(noted)
    assert (refused.value.site, refused.value.was, refused.value.is_) == ("S1", NOON, TOO_LATE)
    assert refused.value.behind == timedelta(seconds=5, milliseconds=1)
    assert (noted.whole_ledger(), noted.tables()) == before
    with noted.database.reading() as session:
        assert list(ledger.compare_register(session, "S1")) == []


def test_one_kitchens_records_stop_no_other(noted: Kitchen) -> None:
    with noted.database.writing() as session:
        cast.make_other_site(session)
    stranger = ledger.Caller("other-cook", "Olu Other", "cook", "token:9")
    with noted.database.writing() as session:
        results = ledger.append(session, "S2", [cast.draft("note", at=BACK)], by=stranger, at=BACK)
    assert [result.status for result in results] == ["accepted"]


def test_nothing_is_foreseen_of_an_entry_that_could_not_be_kept(noted: Kitchen) -> None:
    with noted.database.reading() as session, pytest.raises(ClockBehind):
        ledger.preview(session, "S1", cast.draft("note", at=BACK), by=COOK, at=BACK)


def test_an_index_is_made_anew_whatever_the_clock_says(noted: Kitchen) -> None:
    before = noted.tables()
    with noted.database.writing() as session:
        ledger.rebuild(session, "S1", at=BACK)
    assert noted.tables() == before


# ---- accepting the clock -------------------------------------------------------------------------------------------


def test_an_accepted_clock_is_an_entry_with_both_times_and_the_reason(noted: Kitchen) -> None:
    accept_clock(noted)
    entry = newest(noted)
    assert (entry["kind"], entry["via"], "person" in entry) == ("clock_set", "command", False)
    assert (entry["was"], entry["is"]) == ("2026-04-14T17:00:00.000Z", "2026-04-14T15:00:00.000Z")
    assert entry["observed_at"] == entry["recorded_at"] == entry["is"]
    assert entry["reason"] == "set two hours ahead by mistake"


def test_once_the_clock_is_accepted_entries_follow_it(noted: Kitchen) -> None:
    accept_clock(noted)
    noted.accept(cast.draft("note", at=BACK), at=BACK + timedelta(seconds=1))
    assert newest(noted)["recorded_at"] == "2026-04-14T15:00:01.000Z"
    assert noted.verify() is None
    with noted.database.reading() as session:
        assert [(one.seq, one.was, one.is_) for one in ledger.accepted_clocks(session, "S1")] == [
            (cast.nth(2), NOON, BACK)
        ]


@pytest.mark.parametrize("behind_s", [-60, 0, 5])
def test_a_clock_that_is_not_behind_is_not_accepted(noted: Kitchen, behind_s: int) -> None:
    before = noted.whole_ledger()
    with pytest.raises(register.Refused) as refused:
        accept_clock(noted, at=NOON - timedelta(seconds=behind_s))
    assert (refused.value.field, refused.value.code) == ("clock", "not_behind")
    assert noted.whole_ledger() == before


@pytest.mark.parametrize(
    ("reason", "code"), [("", "missing"), (" \t", "missing"), ("a\nb", "type"), ("x" * 1001, "range")]
)
def test_a_clock_is_accepted_for_a_reason(noted: Kitchen, reason: str, code: str) -> None:
    with pytest.raises(register.Refused) as refused:
        accept_clock(noted, reason=reason)
    assert (refused.value.field, refused.value.code) == ("reason", code)


def test_everybody_signs_in_anew_also_whose_password_was_changed_while_the_clock_ran_ahead(noted: Kitchen) -> None:
    with noted.database.writing() as session:
        site = register.get_site(session, "S1")
        pat, sam = (register.get_person(session, site, login) for login in ("pat", "sam"))
        keys = [register.begin_sign_in(session, person, at=NOON) for person in (pat, sam)]
        register.set_password(session, pat, register.Hashed("new"), at=NOON)
    accept_clock(noted)
    with noted.database.reading() as session:
        site = register.get_site(session, "S1")
        pat, sam = (register.get_person(session, site, login) for login in ("pat", "sam"))
        signed_in = [register.is_signed_in(session, *pair) for pair in zip((pat, sam), keys, strict=True)]
        assert (pat.credentials_at, signed_in) == (BACK, [False, False])


# ---- verifying -----------------------------------------------------------------------------------------------------


@pytest.fixture
def any_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Entries are recorded at whatever the clock says, as by somebody who writes into the database by other means."""
    monkeypatch.setattr(context, "recorded_at", lambda site, at, newest: at)


@pytest.mark.usefixtures("any_time")
def test_time_that_runs_back_without_an_accepted_clock_is_named(noted: Kitchen) -> None:
    noted.accept(cast.draft("note", at="09:00"), at=NOON - timedelta(milliseconds=1))
    noted.accept(cast.draft("note", at="09:00"), at=NOON)
    assert noted.verify() == ledger.Broken(cast.nth(2), "time")


@pytest.mark.usefixtures("any_time")
def test_an_accepted_clock_excuses_no_later_entry(noted: Kitchen) -> None:
    accept_clock(noted)
    noted.accept(cast.draft("note", at="09:00"), at=BACK - timedelta(seconds=1))
    assert noted.verify() == ledger.Broken(cast.nth(3), "time")


# ---- is anything in the way? ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("behind_s", "is_behind"), [(0, False), (5, False), (5.001, True)])
def test_whether_an_entry_could_be_kept_now(noted: Kitchen, behind_s: float, is_behind: bool) -> None:
    with noted.database.reading() as session:
        found = ledger.clock_behind(session, NOON - timedelta(seconds=behind_s))
    assert (found is not None) == is_behind


# ---- what the register says once the clock was put back --------------------------------------------------------------


@pytest.fixture
def put_back(noted: Kitchen) -> Kitchen:
    """Sam was demoted and a plan adopted while the clock ran ahead; it was put back; then both were set again."""
    ahead, after = cast.moment("12:10"), cast.moment("10:05")
    _set_role_and_adopt(noted, "cook", {"grace_min": "10"}, at=ahead)
    noted.accept(cast.draft("note", at="12:10"), by=SAM, at=ahead)
    accept_clock(noted)
    _set_role_and_adopt(noted, "in_charge", {"grace_min": "5"}, at=after)
    noted.accept(cast.draft("note", at="10:05"), by=SAM, at=after)
    return noted


SAM = ledger.Caller("sam", "Sam Silva", "in_charge", "session")


def _set_role_and_adopt(kitchen: Kitchen, role: str, settings: dict[str, str], *, at: datetime) -> None:
    with kitchen.database.writing() as session:
        site = register.get_site(session, "S1")
        register.set_role(session, site, "sam", role, at=at)
        register.adopt_plan(session, site, None, settings, by=register.get_person(session, site, "pat"), at=at)


def test_what_was_set_last_holds_though_the_clock_says_it_was_first(put_back: Kitchen) -> None:
    with put_back.database.reading() as session:
        calendar = ledger.calendar_of(session, "S1")
    assert calendar.site.people["sam"].role == "in_charge"
    moments = ("09:59", "10:00", "10:04", "10:05", "12:09", "12:11", "20:00")
    assert [calendar.plan_at(cast.moment(at)).version for at in moments] == [1, 2, 2, 3, 3, 3, 3]


def test_an_author_has_the_role_of_when_the_entry_was_written(put_back: Kitchen) -> None:
    lines = [json.loads(line) for line in put_back.lines()]
    ids = [line["id"] for line in lines if (line["kind"], line.get("person")) == ("note", "sam")]
    with put_back.database.reading() as session:
        site = ledger.calendar_of(session, "S1").site
        entries = [ledger.find_entry(session, "S1", id) for id in ids]
    roles = [author.role for entry in entries if entry and (author := site.author_of(entry))]
    assert roles == ["cook", "in_charge"]


def test_tables_say_what_was_set_last(put_back: Kitchen) -> None:
    assert put_back.verify() is None
    with put_back.database.reading() as session:
        assert list(ledger.compare(session, "S1", at=cast.moment("20:00"))) == []


def test_each_day_from_the_old_time_to_the_new_tells_that_the_clock_went_back(kitchen: Kitchen) -> None:
    days = [cast.DAY + timedelta(days=number) for number in range(-1, 4)]
    kitchen.accept(cast.draft("note", at="11:59"), at=NOON)
    kitchen.accept(cast.draft("note", at="11:59"), at=NOON + timedelta(days=2))
    accept_clock(kitchen, at=NOON)
    told = [[one.kind for one in kitchen.assess(day=day, as_of=NOON + timedelta(days=4)).set_up] for day in days]
    assert told == [[], ["clock_set"], ["clock_set"], ["clock_set"], []]
