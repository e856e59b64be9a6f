"""The small cast of the tests: a kitchen with its people and equipment, another one, and what they write down.

Times of day such as "10:31" are those of the example day at the kitchen in Chicago.
"""

import hashlib
import json
import uuid
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from itertools import count
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app import ledger, models
from app.kinds import Entry, Withdrawal
from app.kinds.reading import entry_of, fields_of
from app.register.plans import written_plan
from app.rules import facts
from app.rules.plans import plan
from tests.support.hashing import CHEAP
from tests.support.ordinary import DAY as DAY
from tests.support.ordinary import ordinary

TIMEZONE = "America/Chicago"
OPENED = datetime(2026, 1, 1, 12, tzinfo=UTC)
"""When the kitchens were set up: people, equipment and the first plan are of this moment."""

PASSWORD = "every bird twice, breast and thigh"
PIN = "2580"
_PASSWORD_HASH, _PIN_HASH = CHEAP.hash(PASSWORD), CHEAP.hash(PIN)

PEOPLE = {
    "cook": facts.Person("cook", "Casey Cook", "cook"),
    "robin": facts.Person("robin", "Robin Reyes", "cook"),
    "pat": facts.Person("pat", "Pat Porter", "in_charge"),
    "sam": facts.Person("sam", "Sam Silva", "in_charge"),
    "ines": facts.Person("ines", "Ines Ito", "inspector"),
}
STRANGERS = {
    "other-cook": facts.Person("other-cook", "Olu Other", "cook"),
    "other-lead": facts.Person("other-lead", "Lee Other", "in_charge"),
    "other-inspector": facts.Person("other-inspector", "Ida Other", "inspector"),
}
"""The people of the other kitchen, S2, who must see nothing of S1."""

EQUIPMENT = {
    "east": facts.Equipment("east", "oven"),
    "west": facts.Equipment("west", "oven"),
    "pass": facts.Equipment("pass", "hot_unit"),
    "cabinet": facts.Equipment("cabinet", "hot_unit"),
    "walk-in": facts.Equipment("walk-in", "cold_unit"),
    "blast": facts.Equipment("blast", "cold_unit"),
    "blue": facts.Equipment("blue", "probe", "dual"),
    "white": facts.Equipment("white", "probe", "F"),
    "green": facts.Equipment("green", "probe", "C"),
}

ADOPTED = plan.Adopted(1, "us_food_code_2022", (), "pat", OPENED)
"""The plan of both kitchens as the rules see it."""


def make_site(
    session: Session,
    code: str = "S1",
    *,
    timezone: str = TIMEZONE,
    people: Mapping[str, facts.Person] = PEOPLE,
    plan_code: str = ADOPTED.code,
    settings: Mapping[str, str] | None = None,
) -> models.Site:
    """Add a kitchen with its people (and a token for each), equipment, an enrolled tablet A and its first plan."""
    site = models.Site(code=code, name=f"Kitchen {code}", timezone=timezone)
    session.add(site)
    session.flush()
    adopter = next(person.login for person in people.values() if person.role == "in_charge")
    tokens = [add_person(session, site, person) for person in people.values()]
    for item in EQUIPMENT.values():
        row = models.Equipment(site_id=site.id, code=item.code, kind=item.kind, scale=item.scale, added_at=OPENED)
        session.add(row)
    changes = [
        ledger.Change("site_set", {"name": site.name, "timezone": timezone}),
        *(_person_set(person) for person in people.values()),
        *(_equipment_set(item) for item in EQUIPMENT.values()),
        *(_credential_set(token) for token in [*tokens, add_token(session, site, tablet="A")]),
    ]
    ledger.append_changes(session, code, changes, by=ledger.COMMAND, at=OPENED)
    add_plan(session, site, 1, code=plan_code, settings=settings, adopted_by=adopter)
    session.flush()
    return site


SET_UP = 22
"""How many entries set kitchen S1 up: the first one of the kitchen itself is the next."""


def nth(number: int) -> int:
    """Give the seq of the kitchen's own first, second … entry."""
    return SET_UP + number


def _person_set(person: facts.Person) -> ledger.Change:
    told = {"login": person.login, "name": person.name, "role": person.role, "retired": False}
    return ledger.Change("person_set", told)


def _equipment_set(item: facts.Equipment) -> ledger.Change:
    told = {"type": item.kind, "code": item.code, "scale": item.scale, "retired": False}
    return ledger.Change("equipment_set", told)


def _credential_set(issued: tuple[str, models.Credential]) -> ledger.Change:
    holder, row = issued
    kind, of = ("tablet", "tablet") if row.tablet else ("token", "login")
    return ledger.Change("credential_set", {"credential": kind, of: holder, "number": row.id, "revoked": False})


def make_other_site(session: Session) -> models.Site:
    """Add kitchen S2, whose people must see nothing of S1."""
    return make_site(session, "S2", people=STRANGERS)


def add_person(session: Session, site: models.Site, person: facts.Person) -> tuple[str, models.Credential]:
    """Add somebody with the password and PIN of the cast, and a token; give their login and the token."""
    row = models.Person(
        site_id=site.id,
        login=person.login,
        name=person.name,
        role=person.role,
        password_hash=_PASSWORD_HASH,
        pin_hash=_PIN_HASH,
        credentials_at=OPENED,
        added_at=OPENED,
    )
    session.add(row)
    session.flush()
    return add_token(session, site, person=row)


def add_plan(
    session: Session,
    site: models.Site,
    version: int,
    *,
    code: str = ADOPTED.code,
    settings: Mapping[str, str] | None = None,
    adopted_by: str = "pat",
    adopted_at: datetime = OPENED,
    variance: str | None = None,
) -> None:
    """Add a plan version as adopted."""
    row = models.PlanVersion(
        site_id=site.id,
        version=version,
        code=code,
        settings=json.dumps(settings or {}, sort_keys=True, ensure_ascii=False),
        adopted_by=adopted_by,
        adopted_at=adopted_at,
        variance=variance,
    )
    session.add(row)
    changes = [ledger.Change("plan_adopted", written_plan(row, on=adopted_at.date()))]
    ledger.append_changes(session, site.code, changes, by=ledger.Author("command", adopted_by), at=adopted_at)


def add_token(
    session: Session, site: models.Site, *, person: models.Person | None = None, tablet: str | None = None
) -> tuple[str, models.Credential]:
    """Add the credential whose text is `token(login or tablet, site)`; give its holder and its row."""
    holder = person.login if person else str(tablet)
    digest = hashlib.sha256(token(holder, site.code).encode()).hexdigest()
    person_id = person.id if person else None
    row = models.Credential(site_id=site.id, person_id=person_id, tablet=tablet, digest=digest, added_at=OPENED)
    session.add(row)
    session.flush()
    return holder, row


def token(holder: str, site: str = "S1") -> str:
    """Give the text of the token of a person (by login) or of tablet `A`."""
    return f"token-of-{holder}-at-{site}"


def bearer(holder: str, site: str = "S1") -> dict[str, str]:
    """Give the request header that carries the token of a person or tablet."""
    return {"Authorization": f"Bearer {token(holder, site)}"}


def site_facts(timezone: str = TIMEZONE) -> facts.Site:
    """Give kitchen S1 as the rules see it, without a database."""
    return facts.Site("S1", "Kitchen S1", ZoneInfo(timezone), None, PEOPLE, EQUIPMENT)


def moment(clock: str, *, day: date = DAY, timezone: str = TIMEZONE) -> datetime:
    """Give a time of day, e.g. `10:31` or `10:31:15.250`, as an instant in UTC."""
    local = datetime.fromisoformat(f"{day.isoformat()}T{clock}").replace(tzinfo=ZoneInfo(timezone))
    return local.astimezone(UTC)


def minutes(number: float) -> timedelta:
    """Give a duration in minutes."""
    return timedelta(minutes=number)


def draft(kind: str, *, at: datetime | str, id: str | None = None, **fields: Any) -> dict[str, Any]:
    """Give an entry as a client posts it, with a fresh id; what is not given is ordinary.

    `at` is an instant or a time of day; a field given as `...` is left out.
    """
    observed_at = moment(at) if isinstance(at, str) else at
    own = {"id": id or str(uuid.uuid4()), "kind": kind, "observed_at": observed_at.isoformat()}
    return {name: value for name, value in {**own, **ordinary(kind), **fields}.items() if value is not ...}


def withdrawal(of: Mapping[str, Any], *, at: datetime | str, reason: str = "never happened") -> dict[str, Any]:
    """Give the draft that withdraws an earlier draft."""
    observed_at = moment(at) if isinstance(at, str) else at
    own = {"id": str(uuid.uuid4()), "kind": of["kind"], "observed_at": observed_at.isoformat()}
    return own | {"amends": of["id"], "amend_reason": reason, "withdrawn": True}


_seqs = count(1001)  # clear of the numbers that a test gives itself


def entry(
    kind: str,
    *,
    at: datetime | str,
    seq: int | None = None,
    person: str = "cook",
    of: Entry | str | None = None,
    withdrawn: bool = False,
    late: bool = False,
    **fields: Any,
) -> Any:
    """Give an entry as the rules see it, without a database: typed, with the next seq and an id made from it.

    `of` is the version that this one amends (or withdraws); of a unit's check it is what was read, air or food.
    """
    number = seq or next(_seqs)
    own_id = f"00000000-0000-4000-8000-{number:012x}"
    observed_at = moment(at) if isinstance(at, str) else at
    given = {} if withdrawn else {**ordinary(kind), **fields}
    if isinstance(of, str):
        of, given = None, {**given, "of": of}
    body = {
        "seq": number,
        "id": own_id,
        "kind": kind,
        "observed_at": observed_at.isoformat(),
        "recorded_at": (observed_at + timedelta(seconds=2)).isoformat(),
        "person": person,
        "via": "tablet:A",
        "late": late,
        **({"amends": of.id} if of else {}),
        **({"withdrawn": True} if withdrawn else {}),
        **{name: _hashed(name, value) for name, value in given.items() if value is not ...},
    }
    return entry_of(body, root_seq=of.root_seq if of else number, root=of.root if of else own_id)


def changed(entry: Entry, **fields: Any) -> Any:
    """Give an entry with other fields, those of its own as in the exchange format; `...` takes one away."""
    common = {name: fields.pop(name) for name in list(fields) if name in _COMMON}
    own = {name: value for name, value in {**fields_of(entry), **fields}.items() if value is not ...}
    body = {"kind": entry.kind, **_ENVELOPE, **{name: _hashed(name, value) for name, value in own.items()}}
    if entry.withdrawn:
        body["withdrawn"] = True
    made = entry_of(body, root_seq=0, root="")
    return replace(made, **{**{name: getattr(entry, name) for name in _COMMON}, **common})


def withdrawn(entry: Entry) -> Entry:
    """Give the version that takes an entry back, numbered as the entry."""
    return Withdrawal(of=type(entry), **{name: getattr(entry, name) for name in _COMMON})


_COMMON = (*("seq", "id", "observed_at", "recorded_at", "person", "via", "late", "root_seq", "root", "amends"),)
_ENVELOPE = {"seq": 0, "id": "", "person": "", "via": "", "late": False} | dict.fromkeys(
    ("observed_at", "recorded_at"), "2026-01-01T00:00:00Z"
)


def _hashed(name: str, value: Any) -> Any:
    """Give a field as it is hashed; times of day are those of the example day."""
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value)
    if name == "marked_discard_by" and isinstance(value, str) and len(value) < 10:
        return moment(value).isoformat()
    return list(value) if isinstance(value, tuple) else value
