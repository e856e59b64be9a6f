"""Guessing ends: growing waits, and a stop for a password (NIST SP 800-63B (2017), 5.2.2: at most 100 in a row)."""

from datetime import timedelta

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app import models, register
from app.register import throttle
from tests.support import cast

NOW = cast.OPENED
LOGIN, SENDER = register.throttle_key("login", 1, "pat"), register.throttle_key("token", "192.0.2.7")


def _fail(session: Session, key: str, times: int) -> None:
    for _ in range(times):
        register.record_failure(session, key, NOW)


@pytest.mark.parametrize(
    ("failures", "wait_s"), [(0, 0), (4, 0), (5, 2), (6, 4), (7, 8), (13, 512), (14, 900), (49, 900)]
)
def test_the_wait_grows_with_the_failures_of_a_login(session: Session, failures: int, wait_s: int) -> None:
    _fail(session, LOGIN, failures)
    assert register.wait_s(session, LOGIN, NOW) == wait_s
    assert not register.is_blocked(session, LOGIN, NOW + timedelta(seconds=wait_s))


def test_fifty_wrong_passwords_in_a_row_are_the_last(session: Session) -> None:
    _fail(session, LOGIN, 50)
    assert register.wait_s(session, LOGIN, NOW + timedelta(days=80)) == register.NEVER_S


def test_a_new_password_lifts_the_stop(session: Session, site: models.Site) -> None:
    key = register.throttle_key("login", site.id, "pat")
    _fail(session, key, 50)
    register.set_password(session, register.get_person(session, site, "pat"), register.Hashed("new"), at=NOW)
    assert not register.is_blocked(session, key, NOW)


def test_a_success_forgets_the_failures(session: Session) -> None:
    _fail(session, LOGIN, 4)
    register.record_success(session, LOGIN)
    _fail(session, LOGIN, 1)
    assert not register.is_blocked(session, LOGIN, NOW)


def test_a_sender_is_never_stopped_for_ever(session: Session) -> None:
    _fail(session, SENDER, 500)
    assert register.wait_s(session, SENDER, NOW) == 900
    assert not register.is_blocked(session, SENDER, NOW + timedelta(minutes=15))


def test_a_senders_failures_are_forgotten_after_a_day(session: Session) -> None:
    _fail(session, SENDER, 30)
    later = NOW + timedelta(days=1)
    register.record_failure(session, SENDER, later)
    assert not register.is_blocked(session, SENDER, later)


def test_old_failures_are_removed(session: Session) -> None:
    _fail(session, LOGIN, 1)
    register.record_failure(session, SENDER, NOW + timedelta(days=91))
    assert session.scalar(select(func.count()).select_from(models.Throttle)) == 1


@pytest.mark.parametrize("part", ["x" * 5000, "\ud800", "a\x00b", "ü"])
def test_any_text_makes_a_key_that_fits(session: Session, part: str) -> None:
    key = register.throttle_key("login", 1, part)
    register.record_failure(session, key, NOW)
    assert len(key) <= 128


def test_an_allowance_is_for_each_minute(session: Session) -> None:
    key = register.throttle_key("use", 3)
    assert [register.spend(session, key, NOW, a_minute=2) for _ in range(3)] == [True, True, False]
    assert register.spend(session, key, NOW + timedelta(minutes=1), a_minute=2)


def test_a_login_stops_long_before_a_hundred_failures() -> None:
    assert throttle.LAST_FAILURE < 100
