"""The link that opens the set-up of a new kitchen: once, for a day, and only the newest."""

from datetime import timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app import models, register
from app.register import LinkState, Refused
from tests.support import cast

AT = cast.OPENED
END = AT + timedelta(hours=24)


def test_a_link_opens_until_its_end(session: Session) -> None:
    text, ends = register.issue_set_up_link(session, at=AT)
    assert ends == END
    assert register.set_up_link_state(session, text, at=END - timedelta(milliseconds=1)) is LinkState.OPENS
    assert register.set_up_link_state(session, text, at=END) is LinkState.EXPIRED
    with pytest.raises(Refused, match="link: retired"):
        register.use_set_up_link(session, text, at=END)


def test_a_link_is_used_once(session: Session) -> None:
    text, _ends = register.issue_set_up_link(session, at=AT)
    register.use_set_up_link(session, text, at=AT)
    assert register.set_up_link_state(session, text, at=AT) is LinkState.USED
    with pytest.raises(Refused, match="link: retired"):
        register.use_set_up_link(session, text, at=AT)


def test_a_new_link_ends_the_one_before(session: Session) -> None:
    first, _ends = register.issue_set_up_link(session, at=AT)
    register.issue_set_up_link(session, at=AT)
    assert register.set_up_link_state(session, first, at=AT) is LinkState.UNKNOWN


@pytest.mark.parametrize("text", ["", "x", "\ud800", "' OR 1=1 --"])
def test_what_is_no_link_opens_nothing(session: Session, text: str) -> None:
    register.issue_set_up_link(session, at=AT)
    assert register.set_up_link_state(session, text, at=AT) is LinkState.UNKNOWN


def test_the_text_of_a_link_is_not_kept(session: Session) -> None:
    text, _ends = register.issue_set_up_link(session, at=AT)
    kept = session.scalars(select(models.SetUpLink)).one()
    assert text not in kept.digest
    assert len(kept.digest) == 64


def test_a_kitchen_has_a_code_made_of_its_name(session: Session, site: models.Site) -> None:
    assert register.free_site_code(session, "Mill Road Chicken & Co.") == "mill-road-chicken-co"
    assert register.free_site_code(session, "鶏") == "kitchen"
    assert register.free_site_code(session, "s1") == "s1"  # capitals count
    register.add_site(session, "mill-road", name="Mill Road", timezone="UTC", at=AT)
    assert register.free_site_code(session, "Mill Road") == "mill-road-2"
