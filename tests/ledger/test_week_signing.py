"""Signing a week: over the head that was shown, once the week is over; stale once something in it reads otherwise."""

import json
from datetime import date, datetime, timedelta

import pytest

from app import ledger
from app.ledger.checks.callers import Caller
from app.rules.figures.week import Week
from tests.support import cast
from tests.support.ledger_kitchen import COOK, EVENING, PAT, Kitchen, tray_filled, why

MONDAY = date(2026, 4, 13)
"""The example day, a Tuesday, lies in this week."""
AFTER = cast.moment("12:00", day=MONDAY + timedelta(days=7))


@pytest.fixture
def kitchen(sqlite_kitchen: Kitchen) -> Kitchen:
    """What may be signed does not depend on the database."""
    return sqlite_kitchen


def sign(
    kitchen: Kitchen,
    *,
    shown: tuple[int, str] | None = None,
    by: Caller = PAT,
    at: datetime = AFTER,
    week: date = MONDAY,
    note: str | None = None,
) -> ledger.Result:
    shown = shown or kitchen.head()
    with kitchen.database.writing() as session:
        return ledger.sign_week(session, "S1", week, by=by, at=at, shown=shown, note=note)


def read(kitchen: Kitchen, *, at: datetime = AFTER) -> Week:
    with kitchen.database.reading() as session:
        return ledger.read_week(session, "S1", MONDAY, as_of=at)


def is_stale(kitchen: Kitchen, *, at: datetime) -> bool:
    signed = read(kitchen, at=at).signed
    assert signed is not None
    return signed.stale


def test_a_week_is_signed_over_the_head_that_was_shown(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled())
    shown = kitchen.head()
    result = sign(kitchen, note=" Looked at with Casey. ")
    entry = json.loads(kitchen.lines(after_seq=len(tray_filled()))[0])
    assert (result.status, entry["kind"], entry["week"]) == ("accepted", "week_sign_off", "2026-04-13")
    assert (entry["covers_seq"], entry["covers_hash"], entry["signer_name"]) == (*shown, "Pat Porter")
    assert (entry["meaning"], entry["note"]) == ("verified", "Looked at with Casey.")
    assert not is_stale(kitchen, at=AFTER)
    with kitchen.database.reading() as session:
        assert ledger.verify(session, "S1") is None


@pytest.mark.parametrize("at", [AFTER - timedelta(days=1), cast.moment("03:59", day=MONDAY + timedelta(days=7))])
def test_a_week_that_is_not_over_is_not_signed(kitchen: Kitchen, at: datetime) -> None:
    kitchen.accept(*tray_filled())
    assert why(sign(kitchen, at=at)) == ("week", "order", "week_not_over")


def test_a_week_is_over_when_its_sundays_business_day_is(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled())
    assert sign(kitchen, at=cast.moment("04:00", day=MONDAY + timedelta(days=7))).status == "accepted"


def test_a_week_without_entries_is_not_signed(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled())
    assert why(sign(kitchen, week=MONDAY - timedelta(days=7))) == ("week", "order", "week_empty")


def test_a_day_that_is_no_monday_begins_no_week(kitchen: Kitchen) -> None:
    assert why(sign(kitchen, week=cast.DAY)) == ("week", "range", None)


@pytest.mark.parametrize("by", [COOK, Caller("pat", "Pat Porter", "in_charge", "session")])
def test_only_somebody_in_charge_signs_who_just_gave_the_password(kitchen: Kitchen, by: Caller) -> None:
    kitchen.accept(*tray_filled())
    assert why(sign(kitchen, by=by)) == ("kind", "forbidden", None)


def test_no_client_posts_a_week_sign_off(kitchen: Kitchen) -> None:
    assert kitchen.refuse(cast.draft("week_sign_off", at="12:00"), by=PAT) == [("kind", "forbidden")]


def test_a_week_that_moved_since_it_was_shown_is_not_signed(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled())
    shown = kitchen.head()
    kitchen.accept(cast.draft("note", at="13:00"), at=AFTER)
    assert why(sign(kitchen, shown=shown, at=AFTER + timedelta(minutes=1))) == ("week", "order", "week_moved")


def test_a_head_of_another_ledger_is_not_signed(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled())
    assert why(sign(kitchen, shown=(kitchen.head()[0], "0" * 64))) == ("week", "order", "week_moved")


def test_what_is_written_later_about_another_week_leaves_the_signature_as_it_is(kitchen: Kitchen) -> None:
    kitchen.accept(*tray_filled())
    sign(kitchen)
    later = AFTER + timedelta(hours=1)
    kitchen.accept(cast.draft("note", at=AFTER), at=later)
    assert not is_stale(kitchen, at=later)


@pytest.mark.parametrize(
    "drafts",
    [
        [cast.draft("note", at="13:00")],
        [cast.draft("work_observed", at="13:00")],
        [cast.draft("tray_out", at="13:00", birds="1")],
    ],
    ids=["a note", "work observed", "birds out"],
)
def test_what_is_written_later_about_the_week_makes_the_signature_stale(
    kitchen: Kitchen, drafts: list[dict[str, object]]
) -> None:
    kitchen.accept(*tray_filled())
    sign(kitchen)
    kitchen.accept(*drafts, by=PAT, at=AFTER + timedelta(hours=1))
    assert is_stale(kitchen, at=AFTER + timedelta(hours=1))
    assert sign(kitchen, at=AFTER + timedelta(hours=2)).status == "accepted"
    assert not is_stale(kitchen, at=AFTER + timedelta(hours=2))
    assert [one.stale for one in read(kitchen, at=AFTER + timedelta(hours=2)).signings] == [True, False]


def test_food_that_was_released_before_the_week_was_signed_leaves_the_signature_as_it_is(kitchen: Kitchen) -> None:
    drafts = [
        cast.draft("load_started", at="09:00"),
        cast.draft("spit_loaded", at="09:01", birds=4),
        cast.draft("cook_reading", at="10:30"),
        cast.draft("spit_pulled", at="10:36", birds=4),
    ]
    kitchen.accept(*drafts, at="10:37")
    (key,) = [one.key for one in kitchen.assess(as_of=EVENING).findings if one.rule == "cook.core_temperature"]
    kitchen.accept(cast.draft("release", at="12:00", findings=[key], basis="read again: 170 °F"), by=PAT, at="12:00")
    sign(kitchen)
    kitchen.accept(cast.draft("note", at=AFTER), at=AFTER + timedelta(minutes=1))
    assert not is_stale(kitchen, at=AFTER + timedelta(hours=1))


def test_a_day_that_is_signed_later_makes_the_weeks_signature_stale(kitchen: Kitchen) -> None:
    kitchen.accept(cast.draft("note", at="12:00"))
    sign(kitchen)
    shown, later = kitchen.head(), AFTER + timedelta(hours=1)
    with kitchen.database.writing() as session:
        assert ledger.sign(session, "S1", cast.DAY, by=PAT, at=later, shown=shown).status == "accepted"
    assert is_stale(kitchen, at=later)


def test_signing_a_week_leaves_the_signature_of_that_day_as_it_is(kitchen: Kitchen) -> None:
    kitchen.accept(cast.draft("note", at="12:00"))
    monday = MONDAY + timedelta(days=7)
    with kitchen.database.writing() as session:
        ledger.sign(session, "S1", monday, by=PAT, at=AFTER, shown=ledger.head(session, "S1"))
    sign(kitchen, at=AFTER + timedelta(minutes=1))
    signed = kitchen.assess(day=monday, as_of=AFTER + timedelta(hours=1)).signed
    assert signed is not None
    assert not signed.stale


@pytest.mark.parametrize(
    ("trainings", "lacking"),
    [
        ([], [("cook", None)]),
        ([{"until": "2026-04-18"}], [("cook", date(2026, 4, 18))]),
        ([{"until": "2026-04-19"}], []),
        ([{"until": ...}], []),
        ([{"until": "2026-01-01"}, {"until": "2026-04-19"}], []),
        ([{"whom": "robin"}], [("cook", None)]),
    ],
    ids=["none", "ran out on Saturday", "holds on Sunday", "without an end", "a newer one", "somebody else's"],
)
def test_who_worked_without_a_training_that_holds_is_seen(
    kitchen: Kitchen, trainings: list[dict[str, object]], lacking: list[tuple[str, date | None]]
) -> None:
    told = [cast.draft("training", at="06:00", **training) for training in trainings]
    kitchen.accept(*told, by=PAT, at="06:30") if told else None
    kitchen.accept(*tray_filled())
    assert [(one.person.login, one.until) for one in read(kitchen).untrained] == lacking


def test_a_training_is_never_in_the_way_of_a_reading(kitchen: Kitchen) -> None:
    kitchen.accept(cast.draft("training", at="06:00", until="2026-01-01"), by=PAT, at="06:30")
    kitchen.accept(*tray_filled(), cast.draft("hold_reading", at="13:00"))
