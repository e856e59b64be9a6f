"""What the ledger asks of the site's register: people, equipment and plans as the rules see them."""

import json
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from functools import lru_cache
from typing import Any, cast
from zoneinfo import ZoneInfo

from sqlalchemy import Table, bindparam, select
from sqlalchemy.sql.base import ReadOnlyColumnCollection

from app import models
from app.db import Base, Prepared, Source, moment
from app.rules import facts
from app.rules.day import days
from app.rules.plans.plan import Adopted


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


def _table(model: type[Base]) -> ReadOnlyColumnCollection[str, Any]:
    return cast(Table, model.__table__).c


_SITE, _PERSON, _EQUIPMENT, _PLAN, _ENTRY = map(
    _table, (models.Site, models.Person, models.Equipment, models.PlanVersion, models.Entry)
)

_FIND_SITE = select(_SITE.id, _SITE.code, _SITE.name, _SITE.timezone, _SITE.altitude_cm).where(
    _SITE.code == bindparam("code")
)
_FIND, _LOCK = Prepared(_FIND_SITE), Prepared(_FIND_SITE.with_for_update())
_PEOPLE = Prepared(
    select(_PERSON.login, _PERSON.name, _PERSON.role, _PERSON.added_at, _PERSON.retired_at)
    .where(_PERSON.site_id == bindparam("site_id"))
    .order_by(_PERSON.id)
)
_PIECES = Prepared(
    select(_EQUIPMENT.code, _EQUIPMENT.kind, _EQUIPMENT.scale, _EQUIPMENT.added_at, _EQUIPMENT.retired_at)
    .where(_EQUIPMENT.site_id == bindparam("site_id"))
    .order_by(_EQUIPMENT.id)
)
_LISTED = Prepared(
    select(_EQUIPMENT.code, _EQUIPMENT.kind).where(
        _EQUIPMENT.site_id == bindparam("site_id"), _EQUIPMENT.retired_at.is_(None)
    )
)
_VERSIONS = Prepared(
    select(*(_PLAN.version, _PLAN.code, _PLAN.settings, _PLAN.adopted_by, _PLAN.adopted_at))
    .add_columns(_PLAN.variance, _PLAN.authority)
    .where(_PLAN.site_id == bindparam("site_id"))
    .order_by(_PLAN.version)
)
_BEGAN = Prepared(select(_ENTRY.recorded_at).where(_ENTRY.site_id == bindparam("site_id"), _ENTRY.seq == 1))


def find_site_row(source: Source, code: str, *, lock: bool = False) -> SiteRow | None:
    """Give the row of a site; with `lock` no other transaction writes to its ledger until this one ends."""
    found = (_LOCK if lock else _FIND).run(source, code=code)
    return SiteRow(*found[0]) if found else None


def get_site_row(source: Source, code: str, *, lock: bool = False) -> SiteRow:
    """Give the row of a site. Raises LookupError where there is none of that code."""
    row = find_site_row(source, code, lock=lock)
    if row is None:
        raise LookupError(f"there is no site {code}")
    return row


def read_site(source: Source, code: str) -> facts.Site | None:
    """Give a site with its people and equipment as the rules see them, or None."""
    row = find_site_row(source, code)
    return None if row is None else site_of(source, row, plans_of(source, row))


def site_of(source: Source, row: SiteRow, plans: tuple[Adopted, ...]) -> facts.Site:
    """Give the site of a row with its people and equipment."""
    zone = ZoneInfo(row.timezone)
    first_day_over = _first_day_over(source, row, plans, zone)

    def since(added_at: datetime | None) -> datetime | None:
        return None if added_at is None or first_day_over is None or added_at < first_day_over else added_at

    return facts.Site(
        code=row.code,
        name=row.name,
        timezone=zone,
        altitude_m=row.altitude_m,
        people={person.login: replace(person, since=since(person.since)) for person in read_people(source, row)},
        equipment={item.code: replace(item, since=since(item.since)) for item in read_equipment(source, row)},
    )


def read_people(source: Source, row: SiteRow) -> list[facts.Person]:
    """Give a site's people, retired ones too, each with the moment they were added."""
    return [
        facts.Person(login, name, role, moment(added_at), _if_any(retired_at))
        for login, name, role, added_at, retired_at in _PEOPLE.run(source, site_id=row.id)
    ]


def read_equipment(source: Source, row: SiteRow) -> list[facts.Equipment]:
    """Give a site's equipment, retired pieces too, each with the moment it was listed."""
    return [
        facts.Equipment(code, kind, scale, moment(added_at), _if_any(retired_at))
        for code, kind, scale, added_at, retired_at in _PIECES.run(source, site_id=row.id)
    ]


def read_listed(source: Source, row: SiteRow) -> dict[str, str]:
    """Give the kinds of a site's equipment by code, without what is retired."""
    return {found[0]: found[1] for found in _LISTED.run(source, site_id=row.id)}


def _if_any(stored: int | None) -> datetime | None:
    return None if stored is None else moment(stored)


def _first_day_over(source: Source, row: SiteRow, plans: tuple[Adopted, ...], zone: ZoneInfo) -> datetime | None:
    """Give the end of the business day in which the ledger began; None while it is empty."""
    began = _BEGAN.run(source, site_id=row.id)
    if not began or not plans:
        return None
    day = days.business_day(moment(began[0][0]), plans=plans, zone=zone)
    return days.day_bounds(day, plans=plans, zone=zone)[1]


def read_plans(source: Source, code: str) -> tuple[Adopted, ...]:
    """Give the plan versions of a site as adopted, oldest first."""
    return plans_of(source, get_site_row(source, code))


def plans_of(source: Source, row: SiteRow) -> tuple[Adopted, ...]:
    """Give the plan versions of the site of a row, oldest first."""
    return tuple(_adopted(*columns) for columns in _VERSIONS.run(source, site_id=row.id))


@lru_cache(maxsize=256)
def _adopted(
    version: int, code: str, settings: str, by: str, at: int, variance: str | None, authority: str | None
) -> Adopted:
    return Adopted(version, code, tuple(json.loads(settings).items()), by, moment(at), variance, authority)
