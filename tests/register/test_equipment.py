"""Equipment is listed under codes that are unique in a site, and retired, never removed."""

from datetime import timedelta

import pytest
from sqlalchemy.orm import Session

from app import models, register, words
from app.kinds.register import EQUIPMENT_TYPES
from app.register import Refused
from tests.support import cast

NOW = cast.OPENED + timedelta(days=1)


@pytest.mark.parametrize("kind", EQUIPMENT_TYPES)
def test_a_piece_of_every_type_is_kept_and_has_a_word(session: Session, site: models.Site, kind: str) -> None:
    register.add_equipment(session, site, kind, "new-1", at=NOW)
    session.flush()
    assert [item.kind for item in register.list_equipment(session, site) if item.code == "new-1"] == [kind]
    assert "_" not in words.equipment_word(kind)


def test_a_probe_shows_both_scales_unless_said_otherwise(session: Session, site: models.Site) -> None:
    assert register.add_equipment(session, site, "probe", "red", at=NOW).scale == "dual"
    assert register.add_equipment(session, site, "probe", "grey", scale="F", at=NOW).scale == "F"
    assert register.add_equipment(session, site, "oven", "north", at=NOW).scale is None


@pytest.mark.parametrize(
    ("field", "code", "given"),
    [
        ("kind", "range", {"kind": "grill"}),
        ("code", "missing", {"code": ""}),
        ("code", "type", {"code": "a b"}),
        ("code", "taken", {"code": "east"}),
        ("code", "taken", {"kind": "oven", "code": "blue"}),
        ("scale", "range", {"scale": "K"}),
        ("scale", "unknown", {"kind": "oven", "scale": "F"}),
    ],
)
def test_equipment_is_refused_at_the_field(
    session: Session, site: models.Site, field: str, code: str, given: dict[str, str]
) -> None:
    values = {"kind": "probe", "code": "new", **given}
    with pytest.raises(Refused) as refused:
        register.add_equipment(session, site, **values, at=NOW)
    assert (refused.value.field, refused.value.code) == (field, code)


def test_retired_equipment_keeps_its_code(session: Session, site: models.Site) -> None:
    assert register.retire_equipment(session, site, "blue", at=NOW).retired_at == NOW
    with pytest.raises(Refused, match="retired"):
        register.retire_equipment(session, site, "blue", at=NOW)
    with pytest.raises(Refused, match="taken"):
        register.add_equipment(session, site, "probe", "blue", at=NOW)


def test_retiring_under_another_kind_is_refused(session: Session, site: models.Site) -> None:
    with pytest.raises(Refused, match="unknown"):
        register.retire_equipment(session, site, "blue", kind="oven", at=NOW)


def test_two_kitchens_may_use_the_same_code(session: Session, site: models.Site) -> None:
    other = cast.make_other_site(session)
    assert register.find_equipment(session, other, "east") is not register.find_equipment(session, site, "east")
