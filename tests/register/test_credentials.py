"""Tokens and tablets: valid for their holder until they expire, are revoked, or the person is retired."""

from datetime import timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app import models, register
from app.register import Refused
from tests.support import cast

NOW = cast.OPENED + timedelta(days=1)


def test_a_token_is_its_persons(session: Session, site: models.Site) -> None:
    number, text = register.issue_token(session, register.get_person(session, site, "pat"), days=90, at=NOW)
    bearer = register.find_credential(session, text, at=NOW)
    assert bearer is not None
    assert (bearer.site_code, bearer.login, bearer.role, bearer.via) == ("S1", "pat", "in_charge", f"token:{number}")


def test_a_tablet_is_nobody(session: Session, site: models.Site) -> None:
    _number, text = register.issue_tablet(session, site, "B", at=NOW)
    bearer = register.find_credential(session, text, at=NOW + timedelta(days=5000))
    assert bearer is not None
    assert (bearer.login, bearer.tablet, bearer.via) == (None, "B", "tablet:B")


def test_a_token_ends_when_its_days_are_over(session: Session, site: models.Site) -> None:
    _number, text = register.issue_token(session, register.get_person(session, site, "cook"), days=1, at=NOW)
    last = NOW + timedelta(days=1, milliseconds=-1)
    assert register.find_credential(session, text, at=last) is not None
    assert register.find_credential(session, text, at=NOW + timedelta(days=1)) is None


def test_a_revoked_or_retired_token_ends_at_once(session: Session, site: models.Site) -> None:
    number, text = register.issue_token(session, register.get_person(session, site, "robin"), days=9, at=NOW)
    register.revoke_credential(session, site, number, at=NOW)
    register.retire_person(session, site, "cook", at=NOW)
    assert register.find_credential(session, text, at=NOW) is None
    assert register.find_credential(session, cast.token("cook"), at=NOW) is None


def test_a_token_follows_its_persons_role(session: Session, site: models.Site) -> None:
    register.set_role(session, site, "cook", "inspector", at=NOW)
    bearer = register.find_credential(session, cast.token("cook"), at=NOW)
    assert bearer is not None
    assert bearer.role == "inspector"


def test_enrolling_a_tablet_again_ends_its_earlier_credential(session: Session, site: models.Site) -> None:
    _number, text = register.issue_tablet(session, site, "A", at=NOW)
    assert register.find_credential(session, cast.token("A"), at=NOW) is None
    assert register.find_credential(session, text, at=NOW) is not None


@pytest.mark.parametrize(
    "text", ["", "nonsense", "token-of-cook-at-S1 ", "\ud800", "x" * 10_000, "'; DROP TABLE sites"]
)
def test_a_wrong_token_is_nobodys(session: Session, site: models.Site, text: str) -> None:
    assert register.find_credential(session, text, at=NOW) is None


@pytest.mark.parametrize("days", [0, -1, 367, 10**9])
def test_a_token_for_too_many_days_is_refused(session: Session, site: models.Site, days: int) -> None:
    with pytest.raises(Refused, match="days: range"):
        register.issue_token(session, register.get_person(session, site, "pat"), days=days, at=NOW)


def test_another_kitchens_token_cannot_be_revoked(session: Session, site: models.Site) -> None:
    other = cast.make_other_site(session)
    number = register.list_credentials(session, other)[0].number
    for wrong in (number, 0, -1, 10**30):
        with pytest.raises(Refused, match="number: unknown"):
            register.revoke_credential(session, site, wrong, at=NOW)


def test_a_token_is_revoked_once(session: Session, site: models.Site) -> None:
    number = register.list_credentials(session, site)[0].number
    register.revoke_credential(session, site, number, at=NOW)
    with pytest.raises(Refused, match="number: retired"):
        register.revoke_credential(session, site, number, at=NOW)


def test_the_text_of_a_token_is_kept_nowhere(session: Session, site: models.Site) -> None:
    _number, text = register.issue_tablet(session, site, "B", at=NOW)
    assert text not in set(session.scalars(select(models.Credential.digest)))
