"""Equipment of a site: ovens, hot-holding units, cold units and probes. Retired, never removed."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.kinds.register import EQUIPMENT_TYPES as KINDS
from app.kinds.register import SCALES
from app.models import Equipment, Site

from .recording import COMMAND, Author, lock_site, record_equipment
from .refused import Refused, checked_code, is_code


def add_equipment(
    session: Session,
    site: Site,
    kind: str,
    code: str,
    *,
    at: datetime,
    scale: str | None = None,
    by: Author = COMMAND,
) -> Equipment:
    """List a piece of equipment; a probe shows both scales unless said otherwise.

    Raises Refused (kind range; code missing, type, taken; scale range, unknown for what is no probe).
    """
    moment = lock_site(session, site, at)
    if kind not in KINDS:
        raise Refused("kind", "range", allowed=KINDS)
    checked = checked_code("code", code)
    if _is_taken(session, site, checked):
        raise Refused("code", "taken", value=checked)
    item = Equipment(site_id=site.id, code=checked, kind=kind, scale=_checked_scale(kind, scale), added_at=moment)
    session.add(item)
    record_equipment(session, site, item, by=by, at=moment)
    return item


def _is_taken(session: Session, site: Site, code: str) -> bool:
    """Whether there is such a code, be it with other capitals: on a screen EAST and east are one oven."""
    codes = session.scalars(select(Equipment.code).where(Equipment.site_id == site.id))
    return code.casefold() in {one.casefold() for one in codes}


def find_equipment(session: Session, site: Site, code: str) -> Equipment | None:
    """Give the equipment of that code, retired or not."""
    if not is_code(code):
        return None
    return session.scalar(select(Equipment).where(Equipment.site_id == site.id, Equipment.code == code))


def list_equipment(session: Session, site: Site) -> Sequence[Equipment]:
    """Give all equipment by kind and code, the retired too."""
    listed = select(Equipment).where(Equipment.site_id == site.id).order_by(Equipment.kind, Equipment.code)
    return session.scalars(listed).all()


def retire_equipment(
    session: Session, site: Site, code: str, *, at: datetime, kind: str | None = None, by: Author = COMMAND
) -> Equipment:
    """Take equipment off the list from now on. Raises Refused (code unknown, also of another kind; retired)."""
    moment = lock_site(session, site, at)
    item = find_equipment(session, site, code)
    if item is None or (kind is not None and item.kind != kind):
        raise Refused("code", "unknown", value=code)
    if item.retired_at is not None:
        raise Refused("code", "retired", value=code)
    item.retired_at = moment
    record_equipment(session, site, item, by=by, at=moment)
    return item


def _checked_scale(kind: str, scale: str | None) -> str | None:
    if kind != "probe":
        if scale is not None:
            raise Refused("scale", "unknown")
        return None
    if scale is None:
        return "dual"
    if scale not in SCALES:
        raise Refused("scale", "range", allowed=SCALES)
    return scale
