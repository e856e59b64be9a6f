"""Sites: each a kitchen with a code, a name, a time zone and perhaps its address, permit and height above the sea."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo, available_timezones

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from app import ledger
from app.models import Person, SignIn, Site

from .recording import COMMAND, Author, lock_site, record, site_fields
from .refused import Refused, checked_code, checked_line, is_code, numbered, plain_words

_LOWEST_M, _HIGHEST_M = -500, 9000
_LONGEST_LINE = 200
_LOWEST_COST, _HIGHEST_COST = Decimal("0.01"), 1000


class BirdCost(NamedTuple):
    """What a bird costs, in an ISO 4217 currency (`USD`)."""

    amount: Decimal
    currency: str


def add_site(
    session: Session,
    code: str,
    *,
    name: str,
    timezone: str,
    at: datetime,
    by: Author = COMMAND,
    **about: object,
) -> Site:
    """Add a kitchen; `about` is what `change_site` takes.

    Raises Refused (site taken, name, timezone unknown, altitude_m range, address, permit, clock, unit).
    """
    site_code = checked_code("site", code)
    if find_site(session, site_code) is not None:
        raise Refused("site", "taken", value=site_code)
    given = {"name": name, "timezone": timezone, **about}
    site = Site(code=site_code, **dict(_CHECKED[field](value) for field, value in given.items()))
    session.add(site)
    session.flush()
    _record_site(session, site, by=by, at=at)
    return site


def change_site(session: Session, site: Site, *, at: datetime, by: Author = COMMAND, **about: object) -> bool:
    """Change what is said of the kitchen, as one entry: `name`, `timezone`, `altitude_m`, `address`, `permit`,
    `clock` (the hours of it by which times are shown: 12 or 24), `unit` (the scale in which a pad begins: F or C).

    Whatever is not named stays. A day keeps what held at its noon. False, and no entry, where nothing is changed.
    Raises Refused at the first that cannot be.
    """
    moment = lock_site(session, site, at)
    checked = dict(_CHECKED[name](value) for name, value in about.items())
    changed = {column: value for column, value in checked.items() if getattr(site, column) != value}
    for column, value in changed.items():
        setattr(site, column, value)
    if changed:
        _record_site(session, site, by=by, at=moment)
    return bool(changed)


def _record_site(session: Session, site: Site, *, by: Author, at: datetime) -> None:
    record(session, site, "site_set", by=by, at=at, **site_fields(site))


def accept_clock(session: Session, site: Site, reason: str, *, at: datetime, by: Author = COMMAND) -> None:
    """Accept that the server's clock is behind the site's records; entries follow it from now on.

    Everybody signs in anew: how long a sign-in lasts was counted by the other clock. Raises Refused (reason; clock
    not_behind).
    """
    text = checked_line("reason", reason, longest=1000)
    if not ledger.accept_clock(session, site.code, reason=text, by=by, at=at):
        raise Refused("clock", "not_behind")
    people = select(Person.id).where(Person.site_id == site.id)
    session.execute(delete(SignIn).where(SignIn.person_id.in_(people)))
    # A password or PIN of a moment that is still to come by this clock would let nobody in until then.
    session.execute(
        update(Person).where(Person.site_id == site.id, Person.credentials_at > at).values(credentials_at=at)
    )


def set_bird_cost(site: Site, cost: Decimal | None, currency: str) -> None:
    """Say what a bird that is thrown away costs, with an ISO 4217 code (`USD`); None forgets it. Raises Refused."""
    checked = _checked_cost(cost)
    site.bird_currency = None if checked is None else _checked_currency(currency)
    site.bird_cost = checked


def find_bird_cost(site: Site) -> BirdCost | None:
    """Give what a bird that is thrown away costs, if the site said so."""
    if site.bird_cost is None or site.bird_currency is None:
        return None
    return BirdCost(Decimal(site.bird_cost) / 100, site.bird_currency)


def free_site_code(session: Session, name: str) -> str:
    """Give a code made of a kitchen's name that no kitchen here has yet: `mill-road`, else `mill-road-2`."""
    plain = "-".join(plain_words(name))[:24].strip("-") or "kitchen"
    return next(code for code in numbered(plain) if find_site(session, code) is None)


def find_site(session: Session, code: str) -> Site | None:
    """Give the site of that code, if there is one."""
    return session.scalar(select(Site).where(Site.code == code)) if is_code(code) else None


def get_site(session: Session, code: str) -> Site:
    """Give the site of that code. Raises Refused (site unknown)."""
    site = find_site(session, code)
    if site is None:
        raise Refused("site", "unknown", value=code)
    return site


def hold_site(session: Session, code: str) -> Site:
    """Give the site of that code; nobody else changes it until the transaction ends. Raises Refused (site unknown)."""
    if is_code(code):
        ledger.hold(session, code)
    return get_site(session, code)


def list_sites(session: Session) -> Sequence[Site]:
    """Give all sites by code."""
    return session.scalars(select(Site).order_by(Site.code)).all()


def _checked_timezone(text: str) -> str:
    name = text.strip()
    if not name:
        raise Refused("timezone", "missing")
    # Looked up in the list, not on the disk: a name is never a path.
    if name not in available_timezones():
        raise Refused("timezone", "unknown", value=text, expected="America/Chicago")
    return ZoneInfo(name).key


def _checked_altitude(altitude_m: Decimal | None) -> int | None:
    if altitude_m is None:
        return None
    if not altitude_m.is_finite() or not _LOWEST_M <= altitude_m <= _HIGHEST_M:
        raise Refused("altitude_m", "range", low=_LOWEST_M, high=_HIGHEST_M)
    if round(altitude_m, 2) != altitude_m:
        raise Refused("altitude_m", "type", expected="number")
    return int(altitude_m * 100)


def _checked_line(field: str, text: str | None) -> str | None:
    """Give a line that may be left out; None for an empty one."""
    return checked_line(field, text, longest=_LONGEST_LINE) if text and text.strip() else None


def _checked_choice(field: str, value: object, choices: Sequence[object]) -> object:
    """Give one of a few; None for what nobody said."""
    if value is not None and value not in choices:
        raise Refused(field, "unknown", value=value, allowed=choices)
    return value


_CHECKED: Mapping[str, Callable[[Any], tuple[str, object]]] = {
    "name": lambda name: ("name", checked_line("name", name)),
    "timezone": lambda timezone: ("timezone", _checked_timezone(timezone)),
    "altitude_m": lambda altitude_m: ("altitude_cm", _checked_altitude(altitude_m)),
    "address": lambda address: ("address", _checked_line("address", address)),
    "permit": lambda permit: ("permit", _checked_line("permit", permit)),
    "clock": lambda hours: ("clock", _checked_choice("clock", hours, (12, 24))),
    "unit": lambda unit: ("unit", _checked_choice("unit", unit, ("F", "C"))),
}
"""What may be changed of a site: its column, and the value as it is kept."""


def _checked_cost(cost: Decimal | None) -> int | None:
    if cost is None:
        return None
    if not cost.is_finite() or not _LOWEST_COST <= cost <= _HIGHEST_COST:
        raise Refused("bird_cost", "range", low=_LOWEST_COST, high=_HIGHEST_COST)
    if round(cost, 2) != cost:
        raise Refused("bird_cost", "type", expected="number")
    return int(cost * 100)


def _checked_currency(text: str) -> str:
    code = text.strip().upper()
    if not code:
        raise Refused("bird_currency", "missing")
    if len(code) != 3 or not code.isascii() or not code.isalpha():
        raise Refused("bird_currency", "type", value=text.strip(), expected="USD")
    return code
