"""Sign-ins that go on until somebody signs out."""

from datetime import timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from app import models, register
from tests.support import cast

NOW = cast.OPENED


def _person(session: Session, site: models.Site, login: str = "cook") -> models.Person:
    return register.get_person(session, site, login)


def test_a_sign_in_goes_on_until_it_is_ended(session: Session, site: models.Site) -> None:
    cook = _person(session, site)
    key, other = (register.begin_sign_in(session, cook, at=NOW) for _ in range(2))
    register.end_sign_in(session, key)
    register.end_sign_in(session, key)
    assert not register.is_signed_in(session, cook, key)
    assert register.is_signed_in(session, cook, other)


def test_a_key_is_its_persons_alone(session: Session, site: models.Site) -> None:
    key = register.begin_sign_in(session, _person(session, site), at=NOW)
    assert not register.is_signed_in(session, _person(session, site, "pat"), key)
    assert not register.is_signed_in(session, _person(session, site), "made up \ud800")


def test_only_a_digest_is_kept(session: Session, site: models.Site) -> None:
    key = register.begin_sign_in(session, _person(session, site), at=NOW)
    (digest,) = session.scalars(select(models.SignIn.digest)).all()
    assert len(digest) == 64
    assert digest != key


def test_what_was_never_signed_out_is_dropped_in_the_end(session: Session, site: models.Site) -> None:
    cook = _person(session, site)
    old = register.begin_sign_in(session, cook, at=NOW)
    register.begin_sign_in(session, _person(session, site, "pat"), at=NOW + timedelta(days=3))
    assert not register.is_signed_in(session, cook, old)
