"""Every change of the register is written down in the ledger in the transaction that makes it."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from sqlalchemy.orm import Session

from app import ledger
from app.ledger import COMMAND, Author, Change
from app.models import Equipment, Person, Site

__all__ = ["COMMAND", "Author", "lock_site", "record", "record_equipment", "record_person", "site_fields"]


def lock_site(session: Session, site: Site, at: datetime) -> datetime:
    """Hold the site until the transaction ends, so that two changes cannot cross; give the moment that both the change
    and its entry are of."""
    return ledger.moment_of_append(session, site.code, at)


def record(session: Session, site: Site, kind: str, *, by: Author, at: datetime, **fields: Any) -> None:
    """Write one change down. Fields that are None are left out."""
    ledger.append_changes(session, site.code, [Change(kind, fields)], by=by, at=at)


def site_fields(site: Site) -> dict[str, Any]:
    """Give what an entry about the site says."""
    altitude_m = None if site.altitude_cm is None else Decimal(site.altitude_cm) / 100
    about = {"name": site.name, "timezone": site.timezone, "altitude_m": altitude_m}
    return {**about, "address": site.address, "permit": site.permit, "clock": site.clock, "unit": site.unit}


def record_person(session: Session, site: Site, person: Person, *, by: Author, at: datetime) -> None:
    """Write down how somebody stands in the register from now on."""
    about = {"login": person.login, "name": person.name, "role": person.role, "language": person.language}
    about["certificate"] = person.certificate
    record(session, site, "person_set", by=by, at=at, retired=person.retired_at is not None, **about)


def record_equipment(session: Session, site: Site, item: Equipment, *, by: Author, at: datetime) -> None:
    """Write down how a piece of equipment stands in the register from now on."""
    about = {"type": item.kind, "code": item.code, "scale": item.scale}
    record(session, site, "equipment_set", by=by, at=at, retired=item.retired_at is not None, **about)
