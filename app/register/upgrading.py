"""An older database kept the register in tables alone: what they say is written down in the ledger, once.

Every entry says `source: upgrade` and from when on it holds: plans from their adoption, people from before all entries
(a role that was held earlier is not known), equipment from before all entries or from when it was listed.
"""

from collections.abc import Iterator
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from app import ledger
from app.ledger import COMMAND, Author, Change
from app.models import Credential, Entry, Equipment, Person, PlanVersion, Site
from app.rules.day.register_calendar import BEFORE_ALL

from .plans import written_old_plan
from .recording import site_fields

_SOURCE = "upgrade"


def write_down(session: Session, *, at: datetime) -> list[str]:
    """Write down the register of every site whose ledger does not know it yet; give the codes of these sites.

    The session must come from Database.writing().
    """
    old = [site for site in session.scalars(select(Site).order_by(Site.id)) if not _is_known(session, site)]
    for site in old:
        _write_site_and_plans(session, site, at)
        changes = [*_people(session, site), *_equipment(session, site), *_credentials(session, site)]
        ledger.append_changes(session, site.code, changes, by=COMMAND, at=at)
    return [site.code for site in old]


def _is_known(session: Session, site: Site) -> bool:
    found = select(Entry.seq).where(Entry.site_id == site.id, Entry.kind == "site_set").limit(1)
    return session.scalar(found) is not None


def _change(kind: str, holds_from: datetime, **fields: object) -> Change:
    return Change(kind, {"source": _SOURCE, "holds_from": holds_from, **fields})


def _write_site_and_plans(session: Session, site: Site, at: datetime) -> None:
    about = [_change("site_set", BEFORE_ALL, **site_fields(site))]
    ledger.append_changes(session, site.code, about, by=COMMAND, at=at)
    versions = select(PlanVersion).where(PlanVersion.site_id == site.id).order_by(PlanVersion.version)
    for version in session.scalars(versions).all():
        on = version.adopted_at.astimezone(ZoneInfo(site.timezone)).date()
        adopted = _change("plan_adopted", version.adopted_at, **written_old_plan(version, on=on))
        ledger.append_changes(session, site.code, [adopted], by=Author("command", version.adopted_by), at=at)


def _people(session: Session, site: Site) -> Iterator[Change]:
    for person in session.scalars(select(Person).where(Person.site_id == site.id).order_by(Person.id)):
        about = {"login": person.login, "name": person.name, "role": person.role, "language": person.language}
        yield _change("person_set", BEFORE_ALL, retired=False, **about)
        if person.retired_at is not None:
            yield _change("person_set", person.retired_at, retired=True, **about)


def _equipment(session: Session, site: Site) -> Iterator[Change]:
    first_day_over = _first_day_over(session, site)
    for item in session.scalars(select(Equipment).where(Equipment.site_id == site.id).order_by(Equipment.id)):
        is_old = first_day_over is None or item.added_at < first_day_over
        about = {"type": item.kind, "code": item.code, "scale": item.scale}
        yield _change("equipment_set", BEFORE_ALL if is_old else item.added_at, retired=False, **about)
        if item.retired_at is not None:
            yield _change("equipment_set", item.retired_at, retired=True, **about)


def _first_day_over(session: Session, site: Site) -> datetime | None:
    """Give the end of the business day in which the ledger began: what was listed by then was there from the beginning.

    None while the ledger held nothing of the kitchen.
    """
    first = select(Entry.kind, Entry.recorded_at).where(Entry.site_id == site.id, Entry.seq == 1)
    kind, began = session.execute(first).one()
    if kind == "site_set":
        return None
    calendar = ledger.calendar_of(session, site.code)
    return calendar.bounds(calendar.day_of(began))[1]


def _credentials(session: Session, site: Site) -> Iterator[Change]:
    people = session.execute(select(Person.id, Person.login).where(Person.site_id == site.id))
    logins = {number: login for number, login in people}  # noqa: C416  # rows are no pairs to the types
    for one in session.scalars(select(Credential).where(Credential.site_id == site.id).order_by(Credential.id)):
        login = None if one.person_id is None else logins[one.person_id]
        about: dict[str, object] = {
            "credential": "tablet" if login is None else "token",
            "login": login,
            "tablet": one.tablet,
        }
        about |= {"number": one.id, "until": one.expires_at}
        yield _change("credential_set", one.added_at, revoked=False, **about)
        if one.revoked_at is not None:
            yield _change("credential_set", one.revoked_at, revoked=True, **about)
