"""Sites are added once, with a name, a known time zone and a possible altitude."""

from decimal import Decimal

import pytest
from sqlalchemy.orm import Session

from app import ledger, models, register
from app.register import Refused
from tests.support import cast


def test_a_site_is_kept_as_given(session: Session) -> None:
    about = {"name": "Café", "timezone": "Europe/Madrid"}
    site = register.add_site(session, " S7 ", **about, altitude_m=Decimal("667.5"), at=cast.OPENED)
    assert (site.code, site.name, site.timezone, site.altitude_cm) == ("S7", "Café", "Europe/Madrid", 66750)


@pytest.mark.parametrize(
    ("field", "code", "given"),
    [
        ("site", "missing", {"code": " "}),
        ("site", "type", {"code": "two words"}),
        ("site", "type", {"code": "x" * 33}),
        ("site", "type", {"code": "../S1"}),
        ("site", "taken", {"code": "S1"}),
        ("name", "missing", {"name": "\t"}),
        ("name", "type", {"name": "one\ntwo"}),
        ("name", "type", {"name": "\u202eevil"}),
        ("name", "type", {"name": "\ud800"}),
        ("name", "range", {"name": "x" * 101}),
        ("timezone", "missing", {"timezone": ""}),
        ("timezone", "unknown", {"timezone": "Mars/Olympus"}),
        ("timezone", "unknown", {"timezone": "../../etc/passwd"}),
        ("altitude_m", "range", {"altitude_m": Decimal(9001)}),
        ("altitude_m", "range", {"altitude_m": Decimal("NaN")}),
        ("altitude_m", "type", {"altitude_m": Decimal("0.001")}),
    ],
)
def test_a_site_is_refused_at_the_field(
    session: Session, site: models.Site, field: str, code: str, given: dict[str, object]
) -> None:
    values: dict[str, object] = {"code": "S9", "name": "Kitchen", "timezone": "UTC", **given}
    with pytest.raises(Refused) as refused:
        register.add_site(session, str(values.pop("code")), at=cast.OPENED, **values)
    assert (refused.value.field, refused.value.code) == (field, code)


def test_an_unknown_site_is_refused(session: Session) -> None:
    with pytest.raises(Refused) as refused:
        register.get_site(session, "S404")
    assert (refused.value.field, refused.value.code) == ("site", "unknown")


def test_a_bird_has_a_cost_and_its_currency_or_neither(site: models.Site) -> None:
    register.set_bird_cost(site, Decimal("4.80"), " usd ")
    assert (site.bird_cost, site.bird_currency) == (480, "USD")
    register.set_bird_cost(site, None, "USD")
    assert (site.bird_cost, site.bird_currency) == (None, None)


@pytest.mark.parametrize(
    ("cost", "currency", "field", "code"),
    [
        ("0", "USD", "bird_cost", "range"),
        ("1000.01", "USD", "bird_cost", "range"),
        ("NaN", "USD", "bird_cost", "range"),
        ("4.805", "USD", "bird_cost", "type"),
        ("4.80", " ", "bird_currency", "missing"),
        ("4.80", "US$", "bird_currency", "type"),
        ("4.80", "euro", "bird_currency", "type"),
    ],
)
def test_a_cost_is_refused_at_its_field(site: models.Site, cost: str, currency: str, field: str, code: str) -> None:
    with pytest.raises(Refused) as refused:
        register.set_bird_cost(site, Decimal(cost), currency)
    assert (refused.value.field, refused.value.code) == (field, code)
    assert site.bird_cost is None


def test_what_is_said_of_a_site_is_changed_as_one_entry(session: Session, site: models.Site) -> None:
    before = ledger.head(session, "S1")[0]
    about = {"name": "Café", "address": " 12 Mill Road, Springfield ", "permit": "FS-0417", "altitude_m": Decimal(0)}
    assert register.change_site(session, site, at=cast.OPENED, **about) is True
    assert (site.name, site.address, site.permit, site.altitude_cm) == (
        "Café",
        "12 Mill Road, Springfield",
        "FS-0417",
        0,
    )
    assert register.change_site(session, site, at=cast.OPENED, **about) is False
    assert ledger.head(session, "S1")[0] == before + 1


def test_an_address_and_a_permit_are_taken_away_by_nothing(session: Session, site: models.Site) -> None:
    register.change_site(session, site, address="12 Mill Road", permit="FS-0417", at=cast.OPENED)
    register.change_site(session, site, address=" ", permit=None, at=cast.OPENED)
    assert (site.address, site.permit) == (None, None)


@pytest.mark.parametrize(
    ("field", "code", "value"),
    [
        ("address", "range", "x" * 201),
        ("permit", "type", "FS\n0417"),
        ("timezone", "unknown", "Mars/Olympus"),
        ("name", "missing", ""),
        ("altitude_m", "range", Decimal(-501)),
    ],
)
def test_a_change_that_cannot_be_changes_nothing(
    session: Session, site: models.Site, field: str, code: str, value: object
) -> None:
    with pytest.raises(Refused) as refused:
        register.change_site(session, site, at=cast.OPENED, **{"permit": "FS-0417", field: value})
    assert (refused.value.field, refused.value.code, site.permit) == (field, code, None)
