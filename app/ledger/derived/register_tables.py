"""The tables of the register as its entries add up to them: comparing, and making them anew."""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.db import EPOCH
from app.kinds import CredentialSet, EquipmentSet, PersonSet, PlanAdopted, RegisterEntry, SiteSet
from app.models import Credential, Equipment, Person, PlanVersion, SignIn, Site

from ..form import chain

Row = dict[str, Any]
"""Columns of a row, as far as entries speak of them."""

Rows = dict[tuple[str, str], Row]
"""By table and key: login, code, version or number; the site's own row has the key ""."""


@dataclass(frozen=True, slots=True)
class Difference:
    """Something kept beside the ledger that is not what the ledger says."""

    table: str
    key: str
    what: str
    """The column that differs, `missing`, or `not in the ledger`."""


def rows_of(entries: Iterable[RegisterEntry]) -> Rows:
    """Add entries up, by seq, to the rows that they stand for."""
    rows: Rows = {}
    for entry in entries:
        add = _ADDING.get(type(entry))
        if add is not None:
            add(rows, entry)
    return rows


def _set_site(rows: Rows, entry: SiteSet) -> None:
    altitude = None if entry.altitude_m is None else int(entry.altitude_m * 100)
    about = {"name": entry.name, "timezone": entry.timezone, "altitude_cm": altitude}
    habits = {"clock": entry.clock, "unit": entry.unit}
    rows["sites", ""] = {**about, "address": entry.address, "permit": entry.permit, **habits}


def _set_person(rows: Rows, entry: PersonSet) -> None:
    row = rows.setdefault(("people", entry.login), _first(entry))
    row |= {"name": entry.name, "role": entry.role, "language": entry.language, "certificate": entry.certificate}
    row["retired_at"] = entry.holds_at if entry.retired else None


def _set_equipment(rows: Rows, entry: EquipmentSet) -> None:
    row = rows.setdefault(("equipment", entry.code), _first(entry))
    row |= {"kind": entry.type, "scale": entry.scale}
    row["retired_at"] = entry.holds_at if entry.retired else None


def _first(entry: RegisterEntry) -> Row:
    """Give what the first entry about somebody or something says: of an older database, not since when."""
    return {} if entry.source else {"added_at": entry.holds_at}


def _adopt_plan(rows: Rows, entry: PlanAdopted) -> None:
    allowed_by = next(iter(entry.variance.values())) if entry.variance else None
    rows["plans", str(entry.version)] = {
        "code": entry.code,
        "settings": json.dumps(entry.settings, sort_keys=True, ensure_ascii=False),
        "variance": allowed_by,
        "authority": entry.authority,
        "adopted_by": entry.person,
        "adopted_at": entry.holds_at,
    }


def _set_credential(rows: Rows, entry: CredentialSet) -> None:
    if entry.number is None:
        return
    row = rows.setdefault(("credentials", str(entry.number)), {"added_at": entry.holds_at})
    row |= {"holder": entry.login or entry.tablet, "expires_at": entry.until}
    row["revoked_at"] = entry.holds_at if entry.revoked else None


_ADDING: Mapping[type[RegisterEntry], Callable[[Rows, Any], None]] = {
    SiteSet: _set_site,
    PersonSet: _set_person,
    EquipmentSet: _set_equipment,
    PlanAdopted: _adopt_plan,
    CredentialSet: _set_credential,
}


def kept_rows(session: Session, site_id: int) -> Rows:
    """Give the rows of a site as its tables have them."""
    site = session.get_one(Site, site_id)
    rows: Rows = {("sites", ""): _columns(site, *_SITE)}
    people = session.scalars(select(Person).where(Person.site_id == site_id)).all()
    for person in people:
        row = _columns(person, "name", "role", "language", "certificate", "added_at", "retired_at")
        rows["people", person.login] = row
    for item in session.scalars(select(Equipment).where(Equipment.site_id == site_id)):
        rows["equipment", item.code] = _columns(item, "kind", "scale", "added_at", "retired_at")
    for plan in session.scalars(select(PlanVersion).where(PlanVersion.site_id == site_id)):
        rows["plans", str(plan.version)] = _columns(plan, *_PLAN)
    logins = {person.id: person.login for person in people}
    for one in session.scalars(select(Credential).where(Credential.site_id == site_id)):
        holder = one.tablet if one.person_id is None else logins.get(one.person_id)
        row = _columns(one, "expires_at", "added_at", "revoked_at")
        rows["credentials", str(one.id)] = row | {"holder": holder}
    return rows


_SITE = ("name", "timezone", "altitude_cm", "address", "permit", "clock", "unit")
_PLAN = ("code", "settings", "variance", "authority", "adopted_by", "adopted_at")


def _columns(row: object, *names: str) -> Row:
    return {name: getattr(row, name) for name in names}


def differences(expected: Rows, kept: Rows) -> Iterator[Difference]:
    """Name what the tables have otherwise than the entries tell."""
    for (table, key), row in expected.items():
        there = kept.get((table, key))
        if there is None:
            yield Difference(table, key, "missing")
            continue
        for column, value in row.items():
            if there.get(column) != value:
                yield Difference(table, key, column)
    for table, key in kept.keys() - expected.keys():
        yield Difference(table, key, "not in the ledger")


def make_anew(session: Session, site_id: int, expected: Rows) -> None:
    """Put the tables right by what the entries tell. Secrets are in no entry: what was gone of them is set anew by
    whoever it belongs to, and what no entry speaks of, nobody may use."""
    kept = kept_rows(session, site_id)
    for (table, key), row in expected.items():
        if kept.get((table, key)) is None:
            _add(session, site_id, table, key, row)
        else:
            _put_right(session, site_id, table, key, row)
    for table, key in sorted(kept.keys() - expected.keys()):  # credentials before the people that they belong to
        found = _find(session, site_id, table, key)
        if table == "people":
            session.execute(delete(SignIn).where(SignIn.person_id == found.id))
        session.delete(found)
        session.flush()


def _find(session: Session, site_id: int, table: str, key: str) -> Any:
    if table == "sites":
        return session.get_one(Site, site_id)
    if table == "plans":
        return session.get_one(PlanVersion, (site_id, int(key)))
    if table == "credentials":
        return session.get_one(Credential, int(key))
    if table == "people":
        return session.scalars(select(Person).where(Person.site_id == site_id, Person.login == key)).one()
    return session.scalars(select(Equipment).where(Equipment.site_id == site_id, Equipment.code == key)).one()


def _put_right(session: Session, site_id: int, table: str, key: str, row: Row) -> None:
    found = _find(session, site_id, table, key)
    for column, value in row.items():
        if column == "holder":
            _set_holder(session, site_id, found, value)
        elif getattr(found, column) != value:
            setattr(found, column, value)


def _set_holder(session: Session, site_id: int, credential: Credential, holder: str) -> None:
    person = session.scalar(select(Person).where(Person.site_id == site_id, Person.login == holder))
    if credential.person_id is None and credential.tablet == holder:
        return
    credential.person_id, credential.tablet = (person.id, None) if person else (None, holder)


_LOST = "none"
"""No password or token has this digest: who had none has none, and what was lost is set anew."""


def _add(session: Session, site_id: int, table: str, key: str, row: Row) -> None:
    since = {"added_at": row.get("added_at", EPOCH)}
    if table == "people":
        secret = {"password_hash": _LOST, "credentials_at": since["added_at"]}
        session.add(Person(site_id=site_id, login=key, **row | since | secret))
    elif table == "equipment":
        session.add(Equipment(site_id=site_id, code=key, **row | since))
    elif table == "plans":
        session.add(PlanVersion(site_id=site_id, version=int(key), **row))
    elif table == "credentials":
        values = {name: value for name, value in row.items() if name != "holder"}
        lost = chain.entry_hash(f"{site_id} {key}".encode())
        credential = Credential(id=int(key), site_id=site_id, digest=f"lost-{lost}"[:64], **values)
        _set_holder(session, site_id, credential, row["holder"])
        session.add(credential)
    session.flush()
