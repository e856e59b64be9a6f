"""People are added, retired, given roles, passwords and PINs; somebody in charge always remains."""

from datetime import timedelta

import pytest
from sqlalchemy.orm import Session

from app import models, register
from app.kinds.permissions import ROLES, Permission
from app.register import Hashed, Refused
from tests.support import cast

NOW = cast.OPENED + timedelta(days=1)


def test_a_password_opens_only_its_own_account(session: Session, site: models.Site) -> None:
    password = register.hash_password("four birds on one spit", login="kim")
    kim = register.add_person(session, site, "kim", name="Kim Cook", role="cook", password=password, at=NOW)
    assert register.check_password(session, site, "kim", "four birds on one spit") is kim
    assert register.check_password(session, site, "kim", "four birds on one spi") is None
    assert register.check_password(session, site, "cook", "four birds on one spit") is None
    assert register.check_password(session, None, "kim", "four birds on one spit") is None


def test_a_retired_person_cannot_sign_in(session: Session, site: models.Site) -> None:
    register.retire_person(session, site, "cook", at=NOW)
    assert register.check_password(session, site, "cook", cast.PASSWORD) is None
    assert register.check_pin(session, site, "cook", cast.PIN) is None


def test_a_password_from_another_keyboard_is_the_same(session: Session, site: models.Site) -> None:
    somebody = register.get_person(session, site, "cook")
    register.set_password(session, somebody, register.hash_password("cafe\u0301 con leche", login="cook"), at=NOW)
    assert register.check_password(session, site, "cook", "café con leche") is somebody


@pytest.mark.parametrize("login", ["", "a\x00b", "\ud800", "x" * 100_000, "cook ", "' OR 1=1 --"])
def test_hostile_text_is_nobodys_login(session: Session, site: models.Site, login: str) -> None:
    assert register.check_password(session, register.find_site(session, login), login, login) is None
    assert register.check_password(session, site, login, login) is None
    assert register.find_equipment(session, site, login) is None


@pytest.mark.parametrize(
    ("field", "code", "given"),
    [
        ("login", "missing", {"login": ""}),
        ("login", "type", {"login": "two words"}),
        ("login", "type", {"login": "-x"}),
        ("login", "type", {"login": "é"}),
        ("login", "taken", {"login": "cook"}),
        ("name", "missing", {"name": " "}),
        ("role", "range", {"role": "owner"}),
    ],
)
def test_a_person_is_refused_at_the_field(
    session: Session, site: models.Site, field: str, code: str, given: dict[str, str]
) -> None:
    values = {"login": "kim", "name": "Kim Cook", "role": "cook", **given}
    with pytest.raises(Refused) as refused:
        register.add_person(session, site, **values, password=Hashed(""), at=NOW)
    assert (refused.value.field, refused.value.code) == (field, code)


@pytest.mark.parametrize(
    ("password", "code"),
    [
        ("", "missing"),
        ("seven77", "range"),
        ("x" * 1001, "range"),
        ("password123", "weak"),
        ("PASSWORD123", "weak"),
        ("aaaaaaaaaa", "weak"),
        ("abcdefghij", "weak"),
        ("pat-12345!", "weak"),
        ("half a pair \ud800", "type"),
    ],
)
def test_a_password_that_is_tried_first_is_refused(password: str, code: str) -> None:
    with pytest.raises(Refused) as refused:
        register.hash_password(password, login="pat")
    assert (refused.value.field, refused.value.code) == ("password", code)


@pytest.mark.parametrize(
    ("pin", "code"),
    [("", "missing"), ("123", "range"), ("123456789", "range"), ("12a4", "type"), ("٤٣٢١", "type")]
    + [(pin, "weak") for pin in ("0000", "1234", "8765")],
)
def test_a_pin_is_refused(pin: str, code: str) -> None:
    with pytest.raises(Refused) as refused:
        register.hash_pin(pin)
    assert (refused.value.field, refused.value.code) == ("pin", code)


def test_the_last_person_in_charge_stays(session: Session, site: models.Site) -> None:
    register.retire_person(session, site, "sam", at=NOW)
    for change, field in ((register.retire_person, "login"), (_make_cook, "role")):
        with pytest.raises(Refused) as refused:
            change(session, site, "pat", at=NOW)
        assert (refused.value.field, refused.value.code) == (field, "last")


def test_the_last_person_in_charge_may_get_a_role_that_includes_as_much(
    session: Session, site: models.Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    register.retire_person(session, site, "sam", at=NOW)
    monkeypatch.setitem(ROLES, "owner", frozenset({Permission.KEEP_PEOPLE, Permission.SIGN_DAY}))
    assert register.set_role(session, site, "pat", "owner", at=NOW).role == "owner"
    monkeypatch.setitem(ROLES, "deputy", frozenset({Permission.KEEP_PEOPLE}))
    with pytest.raises(Refused) as refused:
        register.set_role(session, site, "pat", "deputy", at=NOW)
    assert refused.value.code == "last"


def _make_cook(session: Session, site: models.Site, login: str, *, at: object) -> None:
    register.set_role(session, site, login, "cook", at=NOW)


@pytest.mark.parametrize(("login", "code"), [("nobody", "unknown"), ("robin", "retired"), ("other-cook", "unknown")])
def test_retiring_nobody_is_refused(session: Session, site: models.Site, login: str, code: str) -> None:
    cast.make_other_site(session)
    register.retire_person(session, site, "robin", at=NOW)
    with pytest.raises(Refused) as refused:
        register.retire_person(session, site, login, at=NOW)
    assert (refused.value.field, refused.value.code) == ("login", code)


def test_a_changed_role_ends_earlier_sign_ins(session: Session, site: models.Site) -> None:
    person = register.set_role(session, site, "cook", "in_charge", at=NOW)
    assert (person.role, person.credentials_at) == ("in_charge", NOW)


@pytest.mark.parametrize(
    ("name", "login"),
    [
        ("Ana Ruiz", "ana"),
        ("Élodie", "elodie"),
        ("  Pat  Porter", "pat-2"),
        ("李", "person"),
        ("O'Neil", "oneil"),
        ("x" * 100, "x" * 24),
    ],
)
def test_a_sign_in_name_is_made_of_the_first_name(session: Session, site: models.Site, name: str, login: str) -> None:
    assert register.free_login(session, site, name) == login


def test_only_who_works_by_pin_may_have_no_password(session: Session, site: models.Site) -> None:
    kim = register.add_person(session, site, "kim", name="Kim", role="cook", password=None, at=NOW)
    assert register.check_password(session, site, "kim", register.NO_PASSWORD) is None
    for role in ("in_charge", "inspector"):
        with pytest.raises(Refused, match="password: missing"):
            register.add_person(session, site, f"{role}-2", name="Kim", role=role, password=None, at=NOW)
        with pytest.raises(Refused, match="role: no_password"):
            register.set_role(session, site, kim.login, role, at=NOW)
