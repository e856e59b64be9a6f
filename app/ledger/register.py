"""What the ledger asks of the register's tables while it takes entries in: who and what is there now."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, cast

from sqlalchemy import Table, bindparam, select
from sqlalchemy.sql.base import ReadOnlyColumnCollection

from app import models
from app.db import Base, Prepared, Source, moment
from app.rules import facts


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


_SITE, _PERSON, _EQUIPMENT = map(_table, (models.Site, models.Person, models.Equipment))

_FIND_SITE = select(_SITE.id, _SITE.code, _SITE.name, _SITE.timezone, _SITE.altitude_cm).where(
    _SITE.code == bindparam("code")
)
_FIND, _LOCK = Prepared(_FIND_SITE), Prepared(_FIND_SITE.with_for_update())
_PEOPLE = Prepared(
    select(_PERSON.login, _PERSON.name, _PERSON.role, _PERSON.added_at, _PERSON.retired_at)
    .where(_PERSON.site_id == bindparam("site_id"))
    .order_by(_PERSON.id)
)
_LISTED = Prepared(
    select(_EQUIPMENT.code, _EQUIPMENT.kind).where(
        _EQUIPMENT.site_id == bindparam("site_id"), _EQUIPMENT.retired_at.is_(None)
    )
)


def find_site_row(source: Source, code: str, *, lock: bool = False) -> SiteRow | None:
    """Give the row of a site; with `lock` no other transaction writes to its ledger until this one ends."""
    found = (_LOCK if lock else _FIND).run(source, code=code)
    return SiteRow(*found[0]) if found else None


def hold(source: Source, code: str) -> SiteRow | None:
    """Hold a site, if there is one of that code, and give its row: until this transaction ends no other one writes."""
    return find_site_row(source, code, lock=True)


def get_site_row(source: Source, code: str, *, lock: bool = False) -> SiteRow:
    """Give the row of a site. Raises LookupError where there is none of that code."""
    row = find_site_row(source, code, lock=lock)
    if row is None:
        raise LookupError(f"there is no site {code}")
    return row


def read_people(source: Source, row: SiteRow) -> list[facts.Person]:
    """Give a site's people, retired ones too, each with the moment they were added."""
    return [
        facts.Person(login, name, role, moment(added_at), _if_any(retired_at))
        for login, name, role, added_at, retired_at in _PEOPLE.run(source, site_id=row.id)
    ]


def read_listed(source: Source, row: SiteRow) -> dict[str, str]:
    """Give the kinds of a site's equipment by code, without what is retired."""
    return {found[0]: found[1] for found in _LISTED.run(source, site_id=row.id)}


def _if_any(stored: int | None) -> datetime | None:
    return None if stored is None else moment(stored)
