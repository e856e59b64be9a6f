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


def test_no_name_takes_more_than_a_hundred_failures() -> None:
    """NIST SP 800-63B-4 (2025), 3.2.2."""
    assert max(throttle.LAST_FAILURE.values()) <= 100


def _guess(place: str, *, login: str = "pat", is_known: bool = False) -> register.Guess:
    return register.Guess("login", 1, login, place, is_known=is_known)


def _guess_wrong(session: Session, times: int, guesses: list[register.Guess]) -> None:
    for _ in range(times):
        for guess in guesses:
            register.record_guess(session, guess, NOW)


def test_a_place_waits_for_its_own_guesses(session: Session) -> None:
    _guess_wrong(session, 6, [_guess("192.0.2.7")])
    assert register.guess_wait_s(session, _guess("192.0.2.7"), NOW) == 4
    assert register.guess_wait_s(session, _guess("192.0.2.8"), NOW) == 0


def test_a_name_guessed_at_from_many_places_waits_everywhere_but_where_it_is_known(session: Session) -> None:
    _guess_wrong(session, 1, [_guess(f"192.0.2.{number}") for number in range(100)])
    assert register.guess_wait_s(session, _guess("198.51.100.1"), NOW) == register.NEVER_S
    assert register.guess_wait_s(session, _guess("browser x", is_known=True), NOW) == 0


def test_a_known_place_has_guesses_of_its_own_that_end(session: Session) -> None:
    known = _guess("browser x", is_known=True)
    _guess_wrong(session, 50, [known])
    assert register.guess_wait_s(session, known, NOW + timedelta(days=80)) == register.NEVER_S
    assert register.guess_wait_s(session, _guess("192.0.2.7"), NOW) == 0


def test_made_up_names_from_one_place_make_it_wait(session: Session) -> None:
    _guess_wrong(session, 1, [_guess("192.0.2.7", login=f"name{number}") for number in range(50)])
    assert register.guess_wait_s(session, _guess("192.0.2.7", login="new"), NOW) == 2
    assert register.guess_wait_s(session, _guess("192.0.2.8", login="new"), NOW) == 0


def test_a_right_guess_forgets_the_failures_of_its_place_only(session: Session) -> None:
    own, others = _guess("192.0.2.7"), [_guess(f"198.51.100.{number}") for number in range(31)]
    _guess_wrong(session, 4, [own])
    _guess_wrong(session, 1, others)
    register.record_right_guess(session, own)
    total = session.get_one(models.Throttle, register.throttle_key("total", 1, "pat"))
    assert total.failures == 31
    assert session.get(models.Throttle, own.own) is None


def test_a_new_password_forgets_the_failures_from_everywhere(session: Session, site: models.Site) -> None:
    places = [register.Guess("login", site.id, "pat", f"192.0.2.{number}", is_known=False) for number in range(100)]
    _guess_wrong(session, 1, places)
    register.set_password(session, register.get_person(session, site, "pat"), register.Hashed("new"), at=NOW)
    assert not any(register.guess_wait_s(session, place, NOW) for place in places)
