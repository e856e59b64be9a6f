"""What the ledger asks of the site's register: people, equipment and plans as the rules see them."""

import json
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from app import models
from app.rules import days, facts
from app.rules.plan import Adopted


@dataclass(frozen=True, slots=True)
class SiteRow:
    """A site's own row."""

    id: int
    code: str
    name: str
    timezone: str
    altitude_cm: int | None

    @property
    def altitude_m(self) -> Decimal | None:
        """Height above the sea, if it is known."""
        return None if self.altitude_cm is None else Decimal(self.altitude_cm) / 100


_SITE = models.Site.__table__.c
_SITE_COLUMNS = (_SITE.id, _SITE.code, _SITE.name, _SITE.timezone, _SITE.altitude_cm)


def find_site_row(session: Session, code: str, *, lock: bool = False) -> SiteRow | None:
    """Give the row of a site; with `lock` no other transaction writes to its ledger until this one ends."""
    query = select(*_SITE_COLUMNS).where(_SITE.code == code)
    row = session.execute(query.with_for_update() if lock else query).one_or_none()
    return None if row is None else SiteRow(*row)


def get_site_row(session: Session, code: str, *, lock: bool = False) -> SiteRow:
    """Give the row of a site. Raises LookupError where there is none of that code."""
    row = find_site_row(session, code, lock=lock)
    if row is None:
        raise LookupError(f"there is no site {code}")
    return row


def read_site(session: Session, code: str) -> facts.Site | None:
    """Give a site with its people and equipment as the rules see them, or None."""
    row = find_site_row(session, code)
    return None if row is None else site_of(session, row)


def site_of(session: Session, row: SiteRow) -> facts.Site:
    """Give the site of a row with its people and equipment."""
    zone = ZoneInfo(row.timezone)
    first_day_over = _first_day_over(session, row, zone)

    def since(added_at: datetime | None) -> datetime | None:
        return None if added_at is None or first_day_over is None or added_at < first_day_over else added_at

    return facts.Site(
        code=row.code,
        name=row.name,
        timezone=zone,
        altitude_m=row.altitude_m,
        people={person.login: replace(person, since=since(person.since)) for person in read_people(session, row)},
        equipment={item.code: replace(item, since=since(item.since)) for item in read_equipment(session, row)},
    )


def read_people(session: Session, row: SiteRow) -> list[facts.Person]:
    """Give a site's people, retired ones too, each with the moment they were added."""
    table = models.Person
    rows = session.execute(
        select(table.login, table.name, table.role, table.added_at, table.retired_at)
        .where(table.site_id == row.id)
        .order_by(table.id)
    )
    return [facts.Person(*columns) for columns in rows]


def read_equipment(session: Session, row: SiteRow) -> list[facts.Equipment]:
    """Give a site's equipment, retired pieces too, each with the moment it was listed."""
    table = models.Equipment
    rows = session.execute(
        select(table.code, table.kind, table.scale, table.added_at, table.retired_at)
        .where(table.site_id == row.id)
        .order_by(table.id)
    )
    return [facts.Equipment(*columns) for columns in rows]


def _first_day_over(session: Session, row: SiteRow, zone: ZoneInfo) -> datetime | None:
    """Give the end of the business day in which the ledger began; None while it is empty."""
    began_at = session.execute(
        select(models.Entry.recorded_at).where(models.Entry.site_id == row.id, models.Entry.seq == 1)
    ).scalar()
    plans = plans_of(session, row)
    if began_at is None or not plans:
        return None
    day = days.business_day(began_at, plans=plans, zone=zone)
    return days.day_bounds(day, plans=plans, zone=zone)[1]


def read_plans(session: Session, code: str) -> tuple[Adopted, ...]:
    """Give the plan versions of a site as adopted, oldest first."""
    return plans_of(session, get_site_row(session, code))


def plans_of(session: Session, row: SiteRow) -> tuple[Adopted, ...]:
    """Give the plan versions of the site of a row, oldest first."""
    table = models.PlanVersion
    rows = session.execute(
        select(
            table.version,
            table.code,
            table.settings,
            table.adopted_by,
            table.adopted_at,
            table.variance,
            table.authority,
        )
        .where(table.site_id == row.id)
        .order_by(table.version)
    )
    return tuple(
        Adopted(version, code, tuple(json.loads(settings).items()), by, at, variance, authority)
        for version, code, settings, by, at, variance, authority in rows
    )
